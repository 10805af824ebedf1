"""Every fact that a report takes from the log of a job, one by one, and the small rules behind them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from types import SimpleNamespace
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from engineering.codes import CodeStatus
from engineering.faults import Cleared, Hold, Seen, settle
from findings.readings.working import Input, Working
from findings.reports.aboard import aboard
from findings.reports.gather_codes import CodesOfJob, ended_by
from findings.reports.gather_readings import readings_of, results_of, working_facts
from findings.reports.record import (
    ClearFacts,
    EpisodeFacts,
    FaultFacts,
    InputFacts,
    ReadingFacts,
    ScanFacts,
    SeenFacts,
    WorkFacts,
    WorkingFacts,
)
from findings.reports.source import Source, made_with, witnesses
from tests.cast import Cast
from tests.findings import story
from vessels.actions import retract
from workorders.models import Job

ZONE = ZoneInfo("America/New_York")
UNIT = "Engine control unit (port)"


def morning(month: int, day: int) -> datetime:
    return datetime(2025, month, day, 8, 0, tzinfo=ZONE)


WORK = WorkFacts(
    at=morning(4, 12), hours=Decimal("786.2"), job="1001", by="Tomas Reef", text="Replaced the thermostat.",
    codes=("SPN 110 FMI 0",), units=(UNIT,), engine="Port",
)  # fmt: skip
BEFORE = EpisodeFacts(
    opened_at=morning(4, 1), opened_hours=Decimal(700), beginning_unknown=False, last_status="active",
    last_seen_at=morning(4, 1), last_seen_hours=Decimal(700), closed_at=morning(4, 2), closed_hours=Decimal(702),
    closed_by="clear", gap_hours=None, gap_days=None, sightings=1, not_fixed_yet=False,
)  # fmt: skip
AGAIN = EpisodeFacts(
    opened_at=morning(4, 11), opened_hours=Decimal(786), beginning_unknown=False, last_status="active",
    last_seen_at=morning(4, 11), last_seen_hours=Decimal(786), closed_at=morning(4, 12),
    closed_hours=Decimal("786.2"), closed_by="clear", gap_hours=Decimal(84), gap_days=9, sightings=1,
    not_fixed_yet=False,
)  # fmt: skip
STORED = EpisodeFacts(
    opened_at=morning(4, 11), opened_hours=Decimal(786), beginning_unknown=True, last_status="stored",
    last_seen_at=morning(4, 11), last_seen_hours=Decimal(786), closed_at=morning(4, 12),
    closed_hours=Decimal("786.2"), closed_by="clear", gap_hours=None, gap_days=None, sightings=1, not_fixed_yet=False,
)  # fmt: skip


def reading(engine: str, value: str, verdict: str, says: str) -> ReadingFacts:
    return ReadingFacts(
        at=morning(4, 13), hours=Decimal(788), engine=engine, parameter="Oil pressure", value=Decimal(value),
        unit="psi", unit_label="psi", minimum=None, maximum=None, condition="warm, 2000 rpm", instrument="Gauge G-12",
        phase="Sea trial", low=Decimal(40), nominal=None, high=Decimal(65),
        limits_from="D6T warm: Norrland D6T manual, ed. 4, p. 112", verdict=verdict, says=says, by="Tomas Reef",
    )  # fmt: skip


def fault(code: str, meaning: str, episodes: tuple[EpisodeFacts, ...], work: WorkFacts | None) -> FaultFacts:
    return FaultFacts(
        code=code, system="SPN/FMI", meaning=meaning, unit=UNIT, engine="Port", state="cleared", status_now="",
        says="Cleared at 786.2 h and absent at 788 h: holding for 1.8 h.", proven_to_at=morning(4, 13),
        proven_to_hours=Decimal(788), in_this_job=True, episodes=episodes, last_work=work,
    )  # fmt: skip


@pytest.mark.django_db
def test_every_fact_of_the_job_with_findings(cast: Cast, job: Job) -> None:
    source = Source(job, ZONE, aboard(job))
    codes = CodesOfJob(source)
    told: dict[str, Any] = {"by": "Tomas Reef", "unit": UNIT, "engine": "Port"}
    scan: dict[str, Any] = {**told, "is_complete": True, "not_understood": 0}
    listed = (
        SeenFacts(code="SPN 110 FMI 0", status="active", count=3),
        SeenFacts(code="SPN 100 FMI 1", status="stored", count=None),
    )
    assert list(codes.scans()) == [
        ScanFacts(
            at=morning(4, 11), hours=Decimal(786), phase="On arrival", instrument="Reader R2", seen=listed, **scan
        ),
        ScanFacts(at=morning(4, 13), hours=Decimal(788), phase="Sea trial", instrument="", seen=(), **scan),
    ]
    assert list(codes.clears()) == [
        ClearFacts(at=morning(4, 2), hours=Decimal(702), codes=(), job="", text="", **told),
        ClearFacts(at=morning(4, 12), hours=Decimal("786.2"), codes=(), job="1001", text="", **told),
    ]
    assert list(codes.work()) == [WORK]
    last = WorkFacts(**{name: getattr(WORK, name) for name in ("at", "hours", "job", "by", "text", "codes")})
    oil = fault("SPN 100 FMI 1", "Engine oil pressure: below the normal range, most severe", (STORED,), None)
    coolant = fault(
        "SPN 110 FMI 0", "Engine coolant temperature: above the normal range, most severe", (BEFORE, AGAIN), last
    )
    assert list(codes.faults()) == [oil, coolant]
    assert sorted(readings_of(source), key=lambda one: one.engine) == [
        reading("Port", "52.5", "in range", "52.5 psi, in range"),
        reading("Starboard", "38", "out", "38 psi, 2 psi below the band"),
    ]
    assert list(results_of(source)) == []
    told_at = [*codes.scans(), *codes.clears(), *codes.work(), *readings_of(source)]
    zones = {one.at.tzinfo for one in told_at}
    assert zones == {ZONE}


@pytest.mark.django_db
def test_a_clear_of_some_codes_and_what_is_not_of_the_job(cast: Cast, job: Job) -> None:
    """What another visit found and cleared is told, and is none of this job's."""
    story.scan(cast, 2, 703, [story.seen(story.LEAN)], unit=cast.starboard_unit)
    story.clear(cast, 3, 704, [story.fault(story.LEAN)], unit=cast.starboard_unit)
    source = Source(job, ZONE, aboard(job))
    codes = CodesOfJob(source)
    some = next(one for one in codes.clears() if one.codes)
    assert (some.codes, some.unit, some.engine, some.job) == (
        ("P0171",), "Engine control unit (starboard)", "Starboard", "",
    )  # fmt: skip
    assert {one.code: one.in_this_job for one in codes.faults()} == {
        "SPN 100 FMI 1": True, "SPN 110 FMI 0": True, "P0171": False,
    }  # fmt: skip
    assert source.engine_name(None) == source.engine_name(0) == ""


@pytest.mark.django_db
def test_voided_work_is_none_of_the_report_and_what_is_open_has_its_status(cast: Cast, job: Job) -> None:
    again = story.scan(cast, 14, 789, [story.seen(story.COOLANT, "pending")], job=job)
    done = story.work(cast, 14.1, 789, [story.fault(story.COOLANT)], "Cleaned the connector.", job=job)
    source = Source(job, ZONE, aboard(job))
    codes = CodesOfJob(source)
    assert [one.text for one in codes.work()] == [WORK.text, "Cleaned the connector."]
    retract(by=cast.manager, entry=done.entry, reason="It was on the other engine.")
    source = Source(job, ZONE, aboard(job))
    codes = CodesOfJob(source)
    assert [one.text for one in codes.work()] == [WORK.text]
    assert {one.code: one.status_now for one in codes.faults()} == {"SPN 100 FMI 1": "", "SPN 110 FMI 0": "pending"}
    retract(by=cast.manager, entry=again.entry, reason="It was on the other engine.")
    assert {one.status_now for one in CodesOfJob(Source(job, ZONE, aboard(job))).faults()} == {""}


def test_a_clear_that_came_when_the_code_was_gone_ended_nothing() -> None:
    seen = Seen("a", morning(4, 1), Decimal(700), CodeStatus.ACTIVE)
    history, _ = settle([seen, Cleared("b", morning(4, 2), Decimal(702))], hold=Hold())
    (episode,) = history.episodes
    assert ended_by(episode, {"b": morning(4, 2)})
    assert not ended_by(episode, {"c": morning(4, 2)})
    assert not ended_by(episode, {"b": morning(4, 3)})
    (still_open,) = settle([seen], hold=Hold())[0].episodes
    assert not ended_by(still_open, {"a": morning(4, 1), "x": morning(4, 2)})


def test_how_a_reading_was_worked_out_is_told_whole() -> None:
    assert working_facts(None) is None
    working = Working(
        tool="drop", title="Resistance from a voltage drop", inputs=[Input(label="Drop", value="0.3", unit="V")],
        outcome="2.5 mΩ", figures=[], formula="R = U / I", source="Ohm", is_measured=True,
    )  # fmt: skip
    assert working_facts(working) == WorkingFacts(
        title="Resistance from a voltage drop", inputs=(InputFacts(label="Drop", value="0.3", unit="V"),),
        outcome="2.5 mΩ", formula="R = U / I", source="Ohm", is_measured=True,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (
            {"registered_as": None, "instrument": "a borrowed gauge", "instrument_serial": None},
            {"instrument": "a borrowed gauge", "instrument_serial": ""},
        ),
        (
            {"registered_as": "Tidewell T4", "instrument": "", "instrument_serial": "1182"},
            {"instrument": "Tidewell T4", "instrument_serial": "1182"},
        ),
    ],
)
def test_what_it_was_made_with(found: dict[str, Any], said: dict[str, Any]) -> None:
    days = {"calibrated_on": date(2025, 1, 2), "calibrated_until": date(2026, 1, 2)}
    made: Any = SimpleNamespace(**found, **days)
    assert made_with(made) == said | days


def test_who_found_it_and_who_corrected_what_was_written_of_it() -> None:
    entry: Any = SimpleNamespace(pk=uuid4(), author=SimpleNamespace(name="Mina Sparrow"))
    assert witnesses(entry, {}) == {"by": "Mina Sparrow"}
    assert witnesses(entry, {entry.pk: "Tomas Reef"}) == {"by": "Tomas Reef", "corrected_by": "Mina Sparrow"}
