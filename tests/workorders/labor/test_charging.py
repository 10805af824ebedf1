"""Hours become charges: once, at the shop's rate, to the shop's step; what changes afterwards is told."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from uuid import uuid4

import lxml.html
import pytest
from django.db import IntegrityError, transaction
from django.test import Client

from commands.models import Command
from commands.refusals import Refused
from staff.queries import shop_profile
from tests.cast import Cast
from workorders.actions import add_charge, move_job, strike_charge
from workorders.labor.actions import charge_hours, correct_hours, note_hours, start_clock, stop_clock, void_hours
from workorders.labor.models import Sold
from workorders.labor.queries import JobLabor, job_labor
from workorders.models import Charge, Job, JobLine

Now = Callable[[str], datetime]
DAY = date(2026, 3, 9)


def labor(job: Job) -> JobLabor:
    return job_labor(job, shop=shop_profile())


def note(cast: Cast, line: JobLine, minutes: int, **more: object) -> object:
    return note_hours(by=cast.tech, line=line, day=DAY, minutes=minutes, **more)  # type: ignore[arg-type]


def charge(cast: Cast, job: Job) -> list[Charge]:
    known = set(Charge.objects.values_list("pk", flat=True))
    charge_hours(by=cast.desk, job=job, seen_minutes=labor(job).offered_minutes)
    return list(Charge.objects.exclude(pk__in=known).order_by("pk"))


def test_one_labor_charge_a_line_at_the_shops_rate(cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
    stretch = start_clock(by=cast.tech, line=lines[0])
    now("2026-03-10 09:32")
    stop_clock(by=cast.tech, stretch=stretch)
    note(cast, lines[0], 60)
    note(cast, lines[1], 45)
    made = charge(cast, job)
    assert [(one.kind, one.line, one.description, one.quantity, one.unit_price) for one in made] == [
        ("labor", lines[0], "Labor", Decimal("2.5"), Decimal(120)),  # 92 and 60 minutes are 2.53 h
        ("labor", lines[1], "Labor", Decimal("0.8"), Decimal(120)),  # 0.75 h, half up
    ]
    now_ = labor(job)
    assert (now_.clocked, now_.sold, now_.unsold, now_.charged_hours) == (197, 197, 0, Decimal("3.3"))
    told = Command.objects.filter(kind="charge_hours").get().told
    assert told == {"job_total": ["0.00", "396.00"], "hours": [None, "3.30"]}


def test_rounding_is_as_the_shop_says(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    shop = shop_profile()
    shop.labor_step, shop.labor_rate = Decimal("0.25"), Decimal("97.30")
    shop.save()
    note(cast, lines[0], 68)
    (made,) = charge(cast, job)
    assert (made.quantity, made.unit_price) == (Decimal("1.25"), Decimal("97.30"))


def test_each_stretch_is_charged_at_most_once(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 60)
    charge(cast, job)
    with pytest.raises(Refused, match="No hours are left"):
        charge_hours(by=cast.desk, job=job, seen_minutes=0)
    note(cast, lines[0], 30)
    assert [one.quantity for one in charge(cast, job)] == [Decimal("0.5")]
    sold = Sold.objects.first()
    assert sold is not None
    with pytest.raises(IntegrityError, match="charged_once"), transaction.atomic():
        Sold.objects.create(charge=sold.charge, root=sold.root, stretch=sold.stretch, minutes=5)


def test_sent_twice_it_is_charged_once(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 60)
    key = uuid4()
    for _ in range(2):
        charge_hours(by=cast.desk, job=job, seen_minutes=60, entry_id=key)
    assert Charge.objects.count() == 1


def test_hours_that_changed_meanwhile_are_told(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 60)
    seen = labor(job).offered_minutes
    note(cast, lines[1], 90)
    with pytest.raises(Refused, match=r"changed since this page was opened: 1 h then, 2.5 h now"):
        charge_hours(by=cast.desk, job=job, seen_minutes=seen)
    assert Charge.objects.count() == 0


def test_less_than_half_a_step_waits(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 2)
    assert (labor(job).offers, labor(job).unsold) == ([], 2)
    note(cast, lines[0], 2)
    assert [one.quantity for one in charge(cast, job)] == [Decimal("0.1")]


def test_what_runs_or_is_not_known_is_not_charged(cast: Cast, job: Job, lines: list[JobLine], now: Now) -> None:
    start_clock(by=cast.tech, line=lines[0])
    start_clock(by=cast.manager, line=lines[0])
    assert len(labor(job).running) == 2
    now("2026-03-11 08:00")
    start_clock(by=cast.tech, line=lines[1])
    now_ = labor(job)
    assert {one.person for one in now_.asked} == {cast.tech, cast.manager}
    assert [one.person for one in now_.running] == [cast.tech]
    assert (now_.clocked, now_.offers) == (0, [])


def test_a_voided_charge_frees_its_hours(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 60)
    (made,) = charge(cast, job)
    strike_charge(by=cast.desk, charge=made)
    assert (labor(job).sold, labor(job).unsold, labor(job).charged_hours) == (0, 60, 0)
    assert [one.quantity for one in charge(cast, job)] == [Decimal(1)]
    assert Sold.objects.count() == 2


class TestHoursThatChangeAfterTheyWereCharged:
    def changed(self, job: Job) -> list[tuple[int, int]]:
        return [(one.charged, one.now) for one in labor(job).changed]

    def test_a_correction_is_told_and_not_charged_again(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        stretch = note_hours(by=cast.tech, line=lines[0], day=DAY, minutes=120)
        charge(cast, job)
        assert self.changed(job) == []
        again = correct_hours(by=cast.tech, stretch=stretch, line=lines[0], day=DAY, minutes=90, reason="Lunch.")
        assert self.changed(job) == [(120, 90)]
        assert (labor(job).clocked, labor(job).sold, labor(job).unsold) == (90, 90, 0)
        strike_charge(by=cast.desk, charge=Charge.objects.get())
        assert [one.quantity for one in charge(cast, job)] == [Decimal("1.5")]
        assert self.changed(job) == []
        void_hours(by=cast.tech, stretch=again, reason="Another boat.")
        assert self.changed(job) == [(90, 0)]

    def test_moved_to_another_line(self, cast: Cast, job: Job, lines: list[JobLine]) -> None:
        stretch = note_hours(by=cast.tech, line=lines[0], day=DAY, minutes=120)
        charge(cast, job)
        correct_hours(by=cast.tech, stretch=stretch, line=lines[1], day=DAY, minutes=120, reason="The pump.")
        assert self.changed(job) == [(120, 0)]
        assert (labor(job).lines[lines[1].pk].sold, labor(job).offers) == (120, [])


def test_a_charge_by_hand_stands_beside_the_clock(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    add_charge(by=cast.desk, job=job, kind="labor", line=lines[0], quantity=Decimal("2.5"))
    add_charge(by=cast.desk, job=job, kind="fee", line=lines[0], description="Haul-out", unit_price=Decimal(80))
    note(cast, lines[0], 60)
    one = labor(job).lines[lines[0].pk]
    assert (one.charged_hours, one.by_hand, one.clocked, one.unsold) == (0, Decimal("2.5"), 60, 60)


def test_labor_at_a_flat_price_is_told_as_no_hours(cast: Cast, job: Job, lines: list[JobLine], client: Client) -> None:
    add_charge(by=cast.desk, job=job, kind="labor", line=lines[0], quantity=Decimal(1), unit_price=Decimal(450))
    note(cast, lines[0], 90)
    client.force_login(cast.desk)
    text = " ".join(re.sub(r"<[^>]+>", "", client.get(f"/jobs/{job.number}/lines/").content.decode()).split())
    assert "Worked 1.5 h; labor charged by hand: quantity 1" in text
    assert "charged 1 h" not in text
    assert "charged for it 0 h" not in text


def text_of(client: Client, address: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", "", client.get(address).content.decode()).split())


@pytest.mark.parametrize(
    ("worked", "on_line", "on_job", "said"),
    [
        (0, "", "", "Worked 0 h, charged for it 0 h."),
        (90, "", "", "Worked 1.5 h, charged for it 0 h."),
        (0, "", "500", "Worked 0 h; labor charged by hand: quantity 500, of it 500 for the job as a whole."),
        (0, "3.25", "", "Worked 0 h; labor charged by hand: quantity 3.25."),
        (0, "3.25", "2.5", "Worked 0 h; labor charged by hand: quantity 5.75, of it 2.5 for the job as a whole."),
        (90, "3.25", "2.5", "Worked 1.5 h; labor charged by hand: quantity 5.75, of it 2.5 for the job as a whole."),
        (90, "3.25", "", "Worked 1.5 h; labor charged by hand: quantity 3.25."),
        (6, "", "0.01", "Worked 0.1 h; labor charged by hand: quantity 0.01, of it 0.01 for the job as a whole."),
    ],
)
def test_labor_charged_for_the_job_as_a_whole_is_told(
    cast: Cast, job: Job, lines: list[JobLine], client: Client, worked: int, on_line: str, on_job: str, said: str
) -> None:
    """The overview and the hours tab say one thing of the job; a line says nothing of what is on none."""
    for quantity, line in ((on_line, lines[0]), (on_job, None)):
        if quantity:
            add_charge(by=cast.desk, job=job, kind="labor", line=line, quantity=Decimal(quantity))
    if worked:
        note(cast, lines[0], worked)
    found = labor(job)
    assert found.all_by_hand == Decimal(on_line or 0) + Decimal(on_job or 0)
    client.force_login(cast.desk)
    rest = f"charged for it 0 h, not charged yet {worked / 60:.2g} h".replace("0.0 h", "0 h")
    overview, hours = (text_of(client, f"/jobs/{job.number}/{tab}") for tab in ("", "hours/"))
    assert said in overview
    told = f"The job: {said[0].lower()}{said[1:]}".replace("charged for it 0 h", rest)
    if worked and (on_line or on_job):
        told = f"{told.removesuffix('.')}; it may pay for {worked / 60:.2g} h that were worked."
    assert told in hours
    assert ("not charged yet" in hours) == (not on_line and not on_job)
    assert ("charged for it" in hours) == (not on_line and not on_job)
    charged = [row["Charged"] for row in rows_of(client, job).values()]
    assert charged == ["" if on_line or on_job else "0 h", "" if on_job else "0 h"]
    assert ("on the job as a whole already" in hours) == bool(on_job and worked)


def rows_of(client: Client, job: Job) -> dict[str, dict[str, str]]:
    """The table of the hours tab: of each line what stands under each heading."""
    page = lxml.html.fromstring(client.get(f"/jobs/{job.number}/hours/").content)
    return {
        row.xpath("string(./th)").split(".")[0].strip(): {
            cell.get("data-label"): " ".join(cell.text_content().split()) for cell in row.xpath("./td[@data-label]")
        }
        for row in page.xpath("//*[@id='to-charge']//tbody/tr")
    }


def test_where_labor_was_charged_by_hand_hours_are_not_called_uncharged(
    cast: Cast, job: Job, lines: list[JobLine], client: Client
) -> None:
    """Whether typed labor pays for them is not on record; hours of a line without any are not charged."""
    note(cast, lines[0], 60)
    charge(cast, job)
    add_charge(by=cast.desk, job=job, kind="labor", line=lines[0], quantity=Decimal(2))
    note(cast, lines[0], 30)
    note(cast, lines[1], 90)
    found = labor(job)
    assert (found.unsold, found.uncharged, found.beside_hand) == (120, 90, 30)
    client.force_login(cast.desk)
    told = "worked 3 h, charged for it 1 h, not charged yet 1.5 h; labor charged by hand besides: quantity 2; it may "
    assert f"The job: {told}pay for 0.5 h more that were worked." in text_of(client, f"/jobs/{job.number}/hours/")
    first, second = rows_of(client, job).values()
    assert (first["Labor by hand"], first["Not charged yet"]) == ("0.5 h", "")
    assert (second["Labor by hand"], second["Not charged yet"]) == ("", "1.5 h")
    strike_charge(by=cast.desk, charge=Charge.objects.get(quantity=2))
    assert (labor(job).uncharged, labor(job).beside_hand) == (120, 0)
    assert "Labor by hand" not in str(rows_of(client, job))


def test_a_voided_charge_of_the_whole_job_is_not_told(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    made = add_charge(by=cast.desk, job=job, kind="labor", quantity=Decimal(500))
    add_charge(by=cast.desk, job=job, kind="fee", description="Haul-out", unit_price=Decimal(80))
    assert labor(job).for_job == 500
    strike_charge(by=cast.desk, charge=made)
    assert (labor(job).for_job, labor(job).all_by_hand) == (0, 0)


def test_who_prices_charges_hours(cast: Cast, job: Job, lines: list[JobLine]) -> None:
    note(cast, lines[0], 60)
    with pytest.raises(Refused, match="priced lines"):
        charge_hours(by=cast.tech, job=job, seen_minutes=60)
    move_job(by=cast.desk, job=job, to="canceled", reason="Sold.", seen_version=job.version)
    with pytest.raises(Refused, match="is canceled"):
        charge_hours(by=cast.desk, job=job, seen_minutes=60)
