"""Comebacks and what they cost: only what the log says, each case as a careful manager would count it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from billing.figures.pages import Asked
from billing.figures.pages.comebacks import figure
from billing.figures.period import Period
from billing.figures.queries.comebacks import comebacks, comebacks_behind
from engineering.codes import Code, CodeSystem
from findings.faults.actions import log_work
from tests.cast import Cast
from tests.findings.story import COOLANT, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.log.chain import NewEntry, append
from workorders.actions import add_charge, strike_charge
from workorders.jobparts.actions import fit_part
from workorders.labor.actions import note_hours, void_hours
from workorders.models import Job

HOT = Code(CodeSystem.SPN, "110-15")

ZONE = ZoneInfo("America/New_York")
PERIOD = Period(date(2025, 3, 1), date(2025, 12, 31), date(2025, 12, 31), ZONE)
HOLD = Decimal(50)


@pytest.fixture(autouse=True)
def _now(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: at(250))


def outcomes(**changed: int) -> dict[str, int]:
    nothing = dict.fromkeys(
        ["repairs", "came_back", "same_job", "in_doubt", "late", "held", "unknown", "no_job", "returns", "unanswered",
         "minutes", "fitted"], 0,
    )  # fmt: skip
    return nothing | changed


def counts() -> dict[str, int]:
    found = comebacks(PERIOD, HOLD, 2)
    return {name: getattr(found, name) for name in outcomes()}


def repaired(cast: Cast, day: float, hours: float, job: Job | None, *codes: Any) -> None:
    """Seen, worked on under a job, cleared."""
    codes = codes or (COOLANT,)
    scan(cast, day, hours, [seen(code) for code in codes], job=job)
    faults = [fault(code) for code in codes]
    work(cast, day + 0.1, hours, faults, job=job, **({"line": job.lines.get()} if job else {}))
    clear(cast, day + 0.2, hours, faults, job=job)


def answered(cast: Cast, day: float, hours: float, job: Job) -> None:
    """The comeback is worked on, on a line of another job."""
    log_work(
        by=cast.tech, vessel=cast.vessel, faults=[fault()], text="New sender.", job=job, line=job.lines.get(),
        engine_hours=Decimal(hours), happened_at=at(day),
    )  # fmt: skip


def test_an_empty_shop_says_so(cast: Cast) -> None:
    assert counts() == outcomes()
    shown = figure(Asked(PERIOD, "USD", sees_prices=True))
    assert list(shown.told) == ["No repair under a job is on record for these days."]
    assert shown.picture is None


@pytest.mark.parametrize(
    ("back_hours", "back_job", "expected"),
    [
        (None, "", {"unknown": 1}),  # nobody has looked since
        (120, "another", {"came_back": 1, "returns": 1, "unanswered": 1}),
        (120, "none", {"came_back": 1, "returns": 1, "unanswered": 1}),  # a scan at the dock, no job open
        (120, "same", {"same_job": 1}),  # at the sea trial
        (151, "another", {"in_doubt": 1}),  # somewhere from 0 to 51 h later
        ((130, 151), "another", {"in_doubt": 1}),  # from 30 to 51 h later
        ((150, 151), "another", {"late": 1}),  # past the hold
    ],
)
def test_what_a_comeback_is(cast: Cast, back_hours: Any, back_job: str, expected: dict[str, int]) -> None:
    first = open_job(cast)
    repaired(cast, 0, 100, first)
    if isinstance(back_hours, tuple):
        away, back_hours = back_hours
        scan(cast, 5, away)
    if back_hours is not None:
        job = {"another": open_job(cast, 10), "same": first, "none": None}[back_job]
        scan(cast, 10, back_hours, [seen(COOLANT)], job=job)
    assert counts() == outcomes(repairs=1, **expected)


def test_a_repair_under_no_job_and_one_that_held_and_another_code(cast: Cast) -> None:
    repaired(cast, 0, 100, None)
    repaired(cast, 1, 101, open_job(cast), OIL)
    scan(cast, 30, 160, [seen(HOT)])  # complete: neither is there, both held
    assert counts() == outcomes(repairs=2, no_job=1, held=1)


def test_one_piece_of_work_that_cured_two_codes_is_one_repair_and_both_returns_are_told(cast: Cast) -> None:
    repaired(cast, 0, 100, open_job(cast), COOLANT, OIL)
    scan(cast, 10, 120, [seen(COOLANT), seen(OIL)], job=open_job(cast, 10))
    assert counts() == outcomes(repairs=1, came_back=1, returns=2, unanswered=2)


def test_days_outside_are_not_counted(cast: Cast) -> None:
    repaired(cast, -60, 90, open_job(cast, -60))
    assert counts() == outcomes()


def test_what_a_comeback_cost(cast: Cast) -> None:
    """By paper: 90 min (60 + 30; 600 voided) and two parts fitted; parts charged 2 × $12.505 and $40, $9 voided.

    The first job's own hours, and the second job's other line, cost nothing here.
    """
    first, second = open_job(cast), open_job(cast, 10)
    other = second.lines.create(position=2, concern="Wash it")
    repaired(cast, 0, 100, first)
    note_hours(by=cast.tech, line=first.lines.get(), day=date(2025, 4, 1), minutes=45)
    scan(cast, 10, 120, [seen(COOLANT)], job=second)
    line = second.lines.get(position=1)
    log_work(
        by=cast.tech, vessel=cast.vessel, faults=[fault()], text="New sender.", job=second, line=line,
        engine_hours=Decimal(120), happened_at=at(10.1),
    )  # fmt: skip
    for minutes in (60, 30):
        note_hours(by=cast.tech, line=line, day=date(2025, 4, 11), minutes=minutes)
    gone = note_hours(by=cast.tech, line=line, day=date(2025, 4, 11), minutes=600)
    void_hours(by=cast.tech, stretch=gone, reason="Slip")
    note_hours(by=cast.tech, line=other, day=date(2025, 4, 11), minutes=20)
    for number in ("S-1", "S-2"):
        fit_part(
            by=cast.tech, job=second, number=number, quantity=Decimal(1), condition="new", line=line, engine=cast.port
        )
    for price, quantity, kind in [("12.51", 2, "part"), ("40", 1, "part"), ("9", 1, "part"), ("200", 1, "fee")]:
        made = add_charge(
            by=cast.desk, job=second, kind=kind, description=price, quantity=Decimal(quantity),
            unit_price=Decimal(price), line=line,
        )  # fmt: skip
        if price == "9":
            strike_charge(by=cast.desk, charge=made)
    assert counts() == outcomes(repairs=1, came_back=1, returns=1, minutes=90, fitted=2)
    assert comebacks(PERIOD, HOLD, 2).parts == Decimal("65.02")
    (row,) = comebacks_behind(PERIOD, 2, 0, None)
    assert (row.job, list(row.jobs), row.minutes, row.fitted, row.parts) == (
        first.number, [second.number], 90, 2, Decimal("65.02"),
    )  # fmt: skip
    told = figure(Asked(PERIOD, "USD", sees_prices=True)).told
    assert told[:3] == [
        "Of 1 repair, 1 came back within 50 h (365 days where hours are unknown).",
        "Too few repairs have been followed that long to say how many of all come back.",
        "What came back has cost until today: 1.50 h of work and 2 parts fitted; parts were charged at $65.02.",
    ]
    hidden = figure(Asked(PERIOD, "USD", sees_prices=False))
    assert "$" not in " ".join(hidden.told)
    assert "$" not in "".join(cell.words for row in hidden.rows.rows for cell in row)
    assert [column.heading for column in hidden.rows.columns][-1] == "Parts fitted"


def test_work_that_was_taken_back_costs_nothing(cast: Cast) -> None:
    repaired(cast, 0, 100, open_job(cast))
    second = open_job(cast, 10)
    scan(cast, 10, 120, [seen(COOLANT)], job=second)
    answered(cast, 10.1, 120, second)
    note_hours(by=cast.tech, line=second.lines.get(), day=date(2025, 4, 11), minutes=30)
    assert counts()["minutes"] == 30
    from findings.faults.models import WorkDone

    entry = WorkDone.objects.get(line__job=second).entry
    append(NewEntry(kind="retraction", vessel=cast.vessel, author=cast.tech, summary="Void", text="Slip", amends=entry))
    assert (counts()["minutes"], counts()["unanswered"]) == (0, 1)


def test_enough_repairs_have_bounds_and_few_have_none(cast: Cast) -> None:
    from vessels.models import ControlUnit, Engine, Vessel

    for number in range(18):
        vessel = Vessel.objects.create(name=f"Boat {number}", owner=cast.customer)
        engine = Engine.objects.create(vessel=vessel, family=cast.family, maker="Norrland", model="X")
        unit = ControlUnit.objects.create(vessel=vessel, engine=engine)
        job = open_job(cast)
        Job.objects.filter(pk=job.pk).update(vessel=vessel)
        job.refresh_from_db()
        shared = {"unit": unit, "job": job}
        scan(cast, 0, 100, [seen(COOLANT)], **shared)
        log_work(
            by=cast.tech, vessel=vessel, faults=[fault(unit=unit)], text="x", job=job, engine_hours=Decimal(100),
            happened_at=at(0.1),
        )  # fmt: skip
        clear(cast, 0.2, 100, **shared)
        is_back = number < 4
        scan(cast, 40, 120 if is_back else 200, [seen(COOLANT)] if is_back else [], unit=unit)
        if number == 3:
            found = comebacks(PERIOD, HOLD, 2)
            assert (found.share, bool(found.why_no_share)) == ("", True)
    found = comebacks(PERIOD, HOLD, 2)
    assert (found.repairs, found.came_back, found.held) == (18, 4, 14)
    assert found.share == "22% (95% sure: 8% to 53%)"


def test_what_is_not_known_of_a_return_is_told_beside_the_comebacks(cast: Cast) -> None:
    repaired(cast, 0, 100, open_job(cast))
    scan(cast, 10, 151, [seen(COOLANT)], job=open_job(cast, 10))
    shown = figure(Asked(PERIOD, "USD", sees_prices=True))
    assert shown.told[0] == (
        "Of 1 repair, 0 are known to have come back within 50 h (365 days where hours are unknown). Of 1 that came "
        "back it is not known: no scan in between shows when."
    )
    (table,) = shown.parts
    told = {row[0].words: row[1].words for row in table.rows}
    assert (told["Came back, within that or later"], told["Came back later"]) == ("1", "0")
