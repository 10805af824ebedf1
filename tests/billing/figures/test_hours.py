"""Hours sold against hours worked: a week that was worked out on paper first, and what must always add up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.test import Client

from billing.figures.pages import Asked
from billing.figures.pages.hours import _parts, figure
from billing.figures.period import Period
from billing.figures.queries.hours import Worked, hours_behind, hours_worked
from staff.queries import shop_profile
from tests.billing.invoices.conftest import Money
from tests.cast import Cast
from tests.findings.story import COOLANT, fault, seen
from workorders.actions import add_charge, move_job, open_job
from workorders.labor.actions import charge_hours, correct_hours, note_hours, start_clock, stop_clock, void_hours
from workorders.labor.queries import job_labor
from workorders.models import Job, JobLine

Now = Callable[[str], datetime]
ZONE = ZoneInfo("America/New_York")
MONDAY, TUESDAY, SUNDAY = date(2026, 3, 9), date(2026, 3, 10), date(2026, 3, 15)
WEEK = Period(MONDAY, SUNDAY, SUNDAY, ZONE)


def opened(cast: Cast, *concerns: str) -> tuple[Job, list[JobLine]]:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=list(concerns))
    return job, list(job.lines.select_related("job__vessel").order_by("position"))


def charge(cast: Cast, job: Job) -> None:
    charge_hours(by=cast.desk, job=job, seen_minutes=job_labor(job, shop=shop_profile()).offered_minutes)


def moved(cast: Cast, job: Job, to: str, reason: str = "") -> None:
    job.refresh_from_db()
    move_job(by=cast.manager, job=job, to=to, reason=reason, seen_version=job.version)


def places(one: Worked) -> tuple[int, ...]:
    return one.minutes, one.sold, one.credited, one.by_hand, one.open, one.ended


def adds_up(period: Period) -> None:
    """Whatever there is: every minute is in one place, and each way of cutting it comes to the whole."""
    found = hours_worked(period)
    cuts = [found.people, found.kinds, hours_behind(period, 0, None)]
    assert found.whole.minutes == sum(places(found.whole)[1:])
    for cut in cuts:
        assert tuple(map(sum, zip(*map(places, cut), strict=True))) == (places(found.whole) if cut else ())
    for cut in cuts[:2]:
        assert sum((one.hours for one in cut), Decimal(0)) == found.whole.hours


def test_an_empty_shop_says_so(cast: Cast, now: Now) -> None:
    adds_up(WEEK)
    shown = figure(Asked(WEEK, "USD", sees_prices=True))
    assert list(shown.told) == ["No hours of work are on record for these days."]
    assert shown.picture is None
    assert not shown.parts
    assert not shown.rows.rows


def test_a_week_as_it_was_worked_out_on_paper(cast: Cast, now: Now, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tomas: 120 + 60 on line 1, charged with Mina's 30 on line 2; 90 more on line 2, not charged.

    Besides: 45 on a line whose labor was typed (3 h); 15 on a job that was canceled; 50 for 60 that were wrong; a void;
    a clock that runs, another day's hours on either side of the week.
    """
    job, (first, second) = opened(cast, "Will not hold 3000 rpm", "Bilge pump runs often")
    note_hours(by=cast.tech, line=first, day=MONDAY, minutes=120)
    clock = start_clock(by=cast.tech, line=first)
    now("2026-03-10 09:00")
    stop_clock(by=cast.tech, stretch=clock)
    note_hours(by=cast.manager, line=second, day=TUESDAY, minutes=30)
    charge(cast, job)
    note_hours(by=cast.tech, line=second, day=TUESDAY, minutes=90)

    typed, (line,) = opened(cast, "Winterize")
    note_hours(by=cast.tech, line=line, day=TUESDAY, minutes=45)
    add_charge(
        by=cast.desk, job=typed, kind="labor", description="Winterize", quantity=Decimal(3), unit_price=Decimal(100),
        line=line,
    )  # fmt: skip
    add_charge(
        by=cast.desk, job=typed, kind="labor", description="Talk", quantity=Decimal("0.5"), unit_price=Decimal(100)
    )

    gone, (dropped,) = opened(cast, "Rattles")
    note_hours(by=cast.tech, line=dropped, day=TUESDAY, minutes=15)
    wrong = note_hours(by=cast.tech, line=dropped, day=TUESDAY, minutes=60)
    correct_hours(by=cast.tech, stretch=wrong, line=dropped, day=TUESDAY, minutes=50, reason="Lunch")
    void = note_hours(by=cast.tech, line=dropped, day=TUESDAY, minutes=600)
    void_hours(by=cast.tech, stretch=void, reason="Another day")
    moved(cast, gone, "canceled", "Sold the boat")

    before, (early,) = opened(cast, "Hums")
    note_hours(by=cast.tech, line=early, day=date(2026, 3, 8), minutes=77)
    start_clock(by=cast.tech, line=early)

    found = hours_worked(WEEK)
    assert places(found.whole) == (410, 210, 0, 45, 90, 65)
    assert found.whole.hours == Decimal("3.50")
    assert [(one.name, *places(one), one.hours) for one in found.people] == [
        ("Tomas Reef", 380, 180, 0, 45, 90, 65, Decimal("3.00")),
        ("Mina Sparrow", 30, 30, 0, 0, 0, 0, Decimal("0.50")),
    ]
    assert [(one.kind, one.minutes) for one in found.kinds] == [("other", 410)]
    assert (found.besides.running, found.besides.left) == (1, 0)
    assert (found.besides.charges, found.besides.quantity, found.besides.alone) == (2, Decimal("3.50"), 1)
    behind = [(one.name, one.job, one.minutes) for one in hours_behind(WEEK, 0, None)]
    assert behind == [
        ("Tomas Reef", job.number, 270), ("Tomas Reef", gone.number, 65), ("Tomas Reef", typed.number, 45),
        ("Mina Sparrow", job.number, 30),
    ]  # fmt: skip
    adds_up(WEEK)
    shown = figure(Asked(WEEK, "USD", sees_prices=False))
    assert list(shown.told) == [
        "3.50 h were sold of 6.83 h worked: 51%.",
        "1.08 h that stand in no charge were worked on jobs that have ended.",
        "1 clock that began on these days still runs.",
        "Besides, labor was charged by hand on these days: 2 charges, together a quantity of 3.5, as hours or at a "
        "flat price, 1 of them where nobody’s hours are on record.",
    ]
    assert before.number not in [row[1].words for row in shown.rows.rows]


@pytest.mark.parametrize("last", [MONDAY, TUESDAY])
def test_one_charge_over_two_days_and_two_people_is_shared_out(cast: Cast, now: Now, last: date) -> None:
    """20 + 20 + 20 minutes are 1.0 h: on Monday a third of it, to the cent of an hour."""
    job, (line, *_) = opened(cast, "Will not hold 3000 rpm")
    note_hours(by=cast.tech, line=line, day=MONDAY, minutes=20)
    note_hours(by=cast.tech, line=line, day=TUESDAY, minutes=20)
    note_hours(by=cast.manager, line=line, day=TUESDAY, minutes=20)
    charge(cast, job)
    period = Period(MONDAY, last, SUNDAY, ZONE)
    assert hours_worked(period).whole.hours == (Decimal("0.33") if last == MONDAY else Decimal("1.00"))
    adds_up(period)


def test_kinds_of_work_are_what_the_log_says_of_the_line(cast: Cast, now: Now) -> None:
    from findings.faults.actions import log_scan, log_work

    _, lines = opened(cast, "Alarm sounds", "Something else")
    log_scan(
        by=cast.tech, unit=cast.port_unit, phase="arrival", is_complete=True, codes=[seen(COOLANT)],
        engine_hours=Decimal(100), job=lines[0].job,
    )  # fmt: skip
    log_work(
        by=cast.tech, vessel=cast.vessel, faults=[fault()], text="Cleaned it.", job=lines[0].job, line=lines[0],
        engine_hours=Decimal(100),
    )  # fmt: skip
    for line in lines:
        note_hours(by=cast.tech, line=line, day=MONDAY, minutes=10)
    assert {one.kind: one.minutes for one in hours_worked(WEEK).kinds} == {"fault": 10, "other": 10}


def test_what_was_credited_or_voided_is_not_sold(cast: Cast, now: Now, job: Job, money: Money) -> None:
    from workorders.actions import strike_charge

    line = job.lines.select_related("job__vessel").get()
    note_hours(by=cast.tech, line=line, day=MONDAY, minutes=60)
    charge(cast, job)
    made = money.invoice()
    assert places(hours_worked(WEEK).whole) == (60, 60, 0, 0, 0, 0)
    money.credit(made, charges=list(job.charges.all()))
    assert places(hours_worked(WEEK).whole) == (60, 0, 60, 0, 0, 0)
    assert hours_worked(WEEK).whole.hours == 0
    other, (line, *_) = opened(cast, "Hums")
    note_hours(by=cast.tech, line=line, day=MONDAY, minutes=30)
    charge(cast, other)
    strike_charge(by=cast.desk, charge=other.charges.get())
    assert places(hours_worked(WEEK).whole) == (90, 0, 60, 0, 30, 0)
    adds_up(WEEK)


def both(job: Job) -> tuple[int, int]:
    """What the job's own page says of hours in no charge: beside labor that was typed, and not charged."""
    found = job_labor(job, shop=shop_profile())
    return found.beside_hand, found.uncharged


def test_the_jobs_own_page_says_the_same_of_labor_by_hand(cast: Cast, now: Now, job: Job, money: Money) -> None:
    """On a line, on the job as a whole, and credited: the figures and the hours tab put each minute in one place."""
    from workorders.actions import strike_charge

    line = job.lines.select_related("job__vessel").get()
    note_hours(by=cast.tech, line=line, day=MONDAY, minutes=60)
    other, (first, second) = opened(cast, "Hums", "Rattles")
    for one in (first, second):
        note_hours(by=cast.tech, line=one, day=MONDAY, minutes=30)
    add_charge(by=cast.desk, job=job, kind="labor", line=line, quantity=Decimal(2), unit_price=Decimal(100))
    assert (both(job), both(other)) == ((60, 0), (0, 60))
    assert places(hours_worked(WEEK).whole) == (120, 0, 0, 60, 60, 0)
    money.credit(money.invoice(), charges=list(job.charges.all()))
    assert both(job) == (0, 60)
    assert places(hours_worked(WEEK).whole) == (120, 0, 0, 0, 120, 0)
    whole = add_charge(by=cast.desk, job=other, kind="labor", quantity=Decimal("0.5"), unit_price=Decimal(100))
    assert both(other) == (60, 0)
    assert places(hours_worked(WEEK).whole) == (120, 0, 0, 60, 60, 0)
    strike_charge(by=cast.desk, charge=whole)
    assert both(other) == (0, 60)
    charge(cast, other)
    add_charge(by=cast.desk, job=other, kind="labor", quantity=Decimal("0.5"), unit_price=Decimal(100))
    assert both(other) == (0, 0)
    assert places(hours_worked(WEEK).whole) == (120, 60, 0, 0, 60, 0)
    adds_up(WEEK)


def test_hours_corrected_after_they_were_charged_count_as_corrected(cast: Cast, now: Now, job: Job) -> None:
    line = job.lines.select_related("job__vessel").get()
    stretch = note_hours(by=cast.tech, line=line, day=MONDAY, minutes=60)
    charge(cast, job)
    correct_hours(by=cast.tech, stretch=stretch, line=line, day=MONDAY, minutes=90, reason="Stayed longer")
    whole = hours_worked(WEEK).whole
    assert (whole.minutes, whole.sold, whole.hours) == (90, 90, Decimal("1.00"))
    adds_up(WEEK)


def test_hours_corrected_onto_another_line_stay_in_their_charge(cast: Cast, now: Now) -> None:
    """The charge stands on the line on which they were worked at first."""
    job, (first, second) = opened(cast, "Will not hold 3000 rpm", "Bilge pump runs often")
    stretch = note_hours(by=cast.tech, line=first, day=MONDAY, minutes=60)
    note_hours(by=cast.manager, line=first, day=TUESDAY, minutes=30)
    charge(cast, job)
    correct_hours(by=cast.tech, stretch=stretch, line=second, day=MONDAY, minutes=60, reason="Was the pump")
    monday = hours_worked(Period(MONDAY, MONDAY, SUNDAY, ZONE)).whole
    assert places(monday) == (60, 60, 0, 0, 0, 0)
    assert monday.hours == Decimal("1.00")
    assert places(hours_worked(WEEK).whole) == (90, 90, 0, 0, 0, 0)
    assert hours_worked(WEEK).whole.hours == Decimal("1.50")
    adds_up(WEEK)


def test_the_page_and_its_table(client: Client, cast: Cast, now: Now, job: Job) -> None:
    line = job.lines.select_related("job__vessel").get()
    note_hours(by=cast.tech, line=line, day=MONDAY, minutes=90)
    client.force_login(cast.owner)
    page = client.get("/insight/shop/hours/", {"first": "2026-03-09", "last": "2026-03-10"})
    text = page.content.decode()
    assert "0.00 h were sold of 1.50 h worked: 0%." in text
    assert "Mar 9, 2026 to Mar 10, 2026" in text
    assert f'href="/jobs/{job.number}/hours/"' in text
    kept = client.get("/insight/shop/hours.csv", {"first": "2026-03-09", "last": "2026-03-10"})
    lines = kept.content.decode().splitlines()
    assert lines[0].startswith("Person,Job,Vessel,Worked,")
    assert lines[1] == f"Tomas Reef,{job.number},Second Wind,1.50,0.00,0.00,0%,0.00,0.00,1.50,0.00"
    assert "hours-2026-03-09-2026-03-10.csv" in kept["Content-Disposition"]


def test_hours_of_each_kind_add_up_to_all_of_them_as_they_are_read(cast: Cast, now: Now) -> None:
    """1318 and 196 minutes are 21.97 and 3.27 h each by itself, and 25.23 h together: one of them gives way."""
    job, lines = opened(cast, "Overheats", "Coolant low")
    fault_line, other = lines
    for day, minutes in ((MONDAY, 659), (TUESDAY, 659)):
        note_hours(by=cast.tech, line=other, day=day, minutes=minutes)
    note_hours(by=cast.tech, line=fault_line, day=TUESDAY, minutes=196)
    found = hours_worked(WEEK)
    first, second = (
        replace(found.whole, minutes=minutes, kind=kind) for minutes, kind in ((1318, "other"), (196, "fault"))
    )
    table = _parts("By kind", "kinds", "Kind", [first, second], found.whole)
    hours = [Decimal(row[1].plain) for row in table.rows]
    assert found.whole.minutes == 1514
    assert sum(hours) == Decimal((table.sums or [])[1].plain) == Decimal("25.23")
    assert hours in ([Decimal("21.97"), Decimal("3.26")], [Decimal("21.96"), Decimal("3.27")])
    assert job.number
