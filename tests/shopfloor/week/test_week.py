"""The week page."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from billing.estimates.actions import add_estimate_line, give_estimate, start_estimate
from shopfloor.week.labor import estimated_labor
from shopfloor.week.page import asked_week, week_of
from shopfloor.week.promises import at_risk
from tests.asking import asked
from tests.cast import Cast, make_cast
from tests.workorders.counter import many_jobs, signed_in
from workorders.actions import open_job
from workorders.appointments.actions import add_bay, plan_appointment, settle_appointment
from workorders.labor.actions import note_hours
from workorders.models import Job

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 11, 16)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


@pytest.mark.parametrize(
    ("text", "first", "said"),
    [
        ("", MONDAY, ""),
        ("2026-11-22", MONDAY, ""),
        ("2026-11-23", date(2026, 11, 23), ""),
        ("2024-02-29", date(2024, 2, 26), ""),
        ("2026-02-30", MONDAY, "“2026-02-30” cannot be read as a day: enter one such as 2026-05-01."),
        ("0001-01-01", MONDAY, "“0001-01-01” is too long ago: enter a day no earlier than 2000-01-03."),
        ("9999-12-31", MONDAY, "“9999-12-31” is too far ahead: enter a day no later than 2199-12-30."),
        ("x", MONDAY, "“x” cannot be read as a day: enter one such as 2026-05-01."),
        ("2026-W47-1", MONDAY, ""),
    ],
)
def test_which_week_an_address_asks_for(text: str, first: date, said: str) -> None:
    assert asked_week(text, date(2026, 11, 18)) == (first, said)


def test_the_week_shows_bays_technicians_hours_and_promises(cast: Cast) -> None:
    today = timezone.localdate()
    first = today - timedelta(days=today.weekday())
    lift = add_bay(by=cast.owner, name="Lift")
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil leak"], technician=cast.tech)
    Job.objects.filter(pk=job.pk).update(promised_on=first + timedelta(days=6), state="in-work")
    said: dict[str, Any] = {"by": cast.desk, "vessel": cast.vessel, "technician": cast.tech}
    one = plan_appointment(kind="haul-out", day=first, at="09:00", minutes=90, bay=lift, **said)
    plan_appointment(kind="launch", day=first, at="10:00", minutes=60, bay=lift, **said)
    long = plan_appointment(kind="survey", day=first + timedelta(days=5), when="day", days=4, **said)
    off = plan_appointment(kind="sea-trial", day=first + timedelta(days=2), when="morning", **said)
    settle_appointment(by=cast.desk, appointment=off, state="off", reason="Wind")
    if first < today:
        note_hours(by=cast.tech, line=job.lines.get(), day=first, minutes=150)
    week = week_of(first, today)
    (bay, none), (person,) = week.bays, week.people
    assert (bay.name, none.name, person.name) == ("Lift", "In no bay", "Tomas Reef")
    assert [len(cell.appointments) for cell in bay.cells] == [2, 0, 0, 0, 0, 0, 0]
    assert [cell.meets for cell in bay.cells] == [True] + [False] * 6
    assert [len(cell.appointments) for cell in none.cells] == [0, 0, 1, 0, 0, 1, 1]
    assert person.cells[0].planned_minutes == 150
    assert person.cells[2].planned_minutes == 0
    assert "planned 2.5 h in appointments" in person.notes
    assert "1 appointment without a length in hours" in person.notes
    assert "1 open job, no hours estimated" in person.notes
    assert [[one.pk for one in day.promised] for day in week.days] == [[]] * 6 + [[job.pk]]
    after = week_of(first + timedelta(days=7), today)
    assert [len(cell.appointments) for cell in after.bays[-1].cells] == [1, 1, 0, 0, 0, 0, 0]
    text = signed_in(cast.tech).get("/week/").content.decode()
    for words in ("Haul-out: Second Wind", "called off", "at the same time, or it may be", 'aria-current="date"'):
        assert words in text
    assert f'href="/appointments/{one.pk}/"' in text
    assert f'href="/appointments/{long.pk}/"' in text
    if first < today:
        assert person.cells[0].hours == ["worked 2.5 h", "planned 2.5 h"]
        assert "worked 2.5 h this week, clocked or noted so far" in text
    nonsense = signed_in(cast.desk).get("/week/", {"week": "2026-13-40"}).content.decode()
    assert "“2026-13-40” cannot be read as a day: enter one such as 2026-05-01. This week is shown." in nonsense


def test_hours_that_estimates_name(cast: Cast) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil leak"], technician=cast.tech)
    Job.objects.filter(pk=job.pk).update(promised_on=timezone.localdate(), state="in-work")
    assert estimated_labor([job.pk]) == {}
    for hours, total in (("6", 600), ("12.5", 1250)):
        made = start_estimate(by=cast.desk, job=job)
        for line in list(made.lines.all()):
            line.delete()
        told = {"kind": "labor", "description": "Reseal", "quantity": Decimal(hours), "unit_price": Decimal(100)}
        add_estimate_line(by=cast.desk, estimate=made, told=told)
        give_estimate(by=cast.desk, estimate=made, how="printed", seen_total=Decimal(total))
    assert estimated_labor([job.pk])[job.pk].hours == Decimal("12.5")
    (risk,) = at_risk(timezone.localdate()).promises
    assert risk.job_id == job.pk
    assert "12.5 h of the 12.5 h that the estimate names are left, and 1 day with today" in risk.reasons[1]
    text = signed_in(cast.desk).get("/week/").content.decode()
    assert "Promised dates at risk" in text
    assert "1 open job, estimates of 1 name 12.5 h of labor" in text


def reasons(today: date) -> dict[int, list[str]]:
    return {one.job_id: list(one.reasons) for one in at_risk(today).promises}


def test_what_is_planned_after_a_promise_puts_it_at_risk(cast: Cast) -> None:
    """Of the job, or a sea trial of a boat that has no other job open; what was called off and pickups do not."""
    today = timezone.localdate()
    day = today + timedelta(days=3)
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Oil leak"], technician=cast.tech)
    Job.objects.filter(pk=job.pk).update(promised_on=day, state="in-work")
    said: dict[str, Any] = {"by": cast.desk, "when": "morning"}
    plan_appointment(kind="pickup", day=day + timedelta(days=1), job=job, **said)
    plan_appointment(kind="launch", day=day + timedelta(days=1), vessel=cast.vessel, **said)
    plan_appointment(kind="sea-trial", day=day, job=job, **said)
    assert reasons(today) == {}
    off = plan_appointment(kind="haul-out", day=day + timedelta(days=2), job=job, **said)
    assert [one.partition(" is planned")[0] for one in reasons(today)[job.pk]] == ["Haul-out"]
    settle_appointment(by=cast.desk, appointment=off, state="off", reason="Wind")
    assert reasons(today) == {}
    plan_appointment(kind="sea-trial", day=day + timedelta(days=1), vessel=cast.vessel, **said)
    assert [one.partition(" is planned")[0] for one in reasons(today)[job.pk]] == ["Sea trial"]
    page = signed_in(cast.desk).get("/week/").content.decode()
    assert "Sea trial is planned for" in page
    assert "1 day after it." in page
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Hums"], technician=cast.tech)
    assert reasons(today) == {}  # of which job it is nobody said
    Job.objects.filter(pk=job.pk).update(promised_on=today)
    first, second = reasons(today)[job.pk]
    assert first == "It is promised for today and is not ready."
    assert second.startswith("Sea trial is planned for")
    Job.objects.filter(pk__in=[job.pk, other.pk]).update(promised_on=today + timedelta(days=60), state="in-work")
    plan_appointment(kind="sea-trial", day=today + timedelta(days=62), job=other, **said)
    assert list(reasons(today)) == [other.pk]


def test_the_week_costs_the_same_at_two_sizes(cast: Cast) -> None:
    client = signed_in(cast.desk)
    add_bay(by=cast.owner, name="Lift")
    many_jobs(cast, 4)
    client.get("/week/")
    counts = []
    for size in (4, 300):
        many_jobs(cast, size)
        for place in range(size // 20):
            plan_appointment(
                by=cast.desk, kind="arrival", day=timezone.localdate(), at=f"{8 + place % 9:02}:00", minutes=30,
                name="Somebody",
            )  # fmt: skip
        with asked() as counted:
            assert client.get("/week/").status_code == 200
        counts.append(counted.queries)
    assert counts[0] == counts[1] <= 12
