"""What a report takes of a job's readings and results: every fact that one can have, and in which order."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from findings.instruments.actions import add_instrument
from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.results import log_words
from findings.readings.working import Input, Working
from findings.reports.aboard import aboard
from findings.reports.gather_readings import readings_of, results_of
from findings.reports.record import CorrectionFacts, InputFacts, ReadingFacts, ResultFacts, WorkingFacts
from findings.reports.source import Source
from tests.cast import Cast
from tests.findings.story import at, open_job
from vessels.actions import amend_text, retract
from workorders.models import Job

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("America/New_York")


def source_of(job: Job) -> Source:
    job.refresh_from_db()
    return Source(job, ZONE, aboard(job))


def named(name: str) -> Parameter:
    return Parameter.objects.get(name=name)


def measure(cast: Cast, job: Job, day: float, value: str, **more: Any) -> Reading:
    told = {"engine": cast.port, "parameter": named("Oil pressure"), "unit": "psi", "phase": "arrival"} | more
    return log_reading(by=cast.tech, vessel=cast.vessel, job=job, value=Decimal(value), happened_at=at(day), **told)


def test_every_fact_of_a_corrected_reading_with_limits_extremes_and_an_instrument(cast: Cast) -> None:
    job = open_job(cast)
    limit = NewLimit(named("Oil pressure"), "psi", "warm", Decimal(40), Decimal(55), Decimal(65), page="41")
    add_card(by=cast.tech, family=cast.family, title="D6T", document="Manual", limits=[limit])
    gauge = add_instrument(
        by=cast.manager, kind="Pressure gauge", make="Tidewell T4", serial="1182", calibrated_on=date(2025, 1, 2),
        due_on=date(2026, 1, 2),
    )  # fmt: skip
    wrong = measure(cast, job, 1, "5.2", condition="warm")
    right = measure(
        cast, job, 1, "52", condition="warm", minimum=Decimal(38), maximum=Decimal(66), registered=gauge,
        engine_hours=Decimal("700.5"), phase="sea-trial", amends=wrong.entry,
    )  # fmt: skip
    note = amend_text(by=cast.manager, entry=right.entry, text="At the second gallery.")
    (told,) = readings_of(source_of(job))
    assert told == ReadingFacts(
        at=at(1), hours=Decimal("700.5"), engine="Port", parameter="Oil pressure", value=Decimal(52), unit="psi",
        unit_label="psi", minimum=Decimal(38), maximum=Decimal(66), condition="warm",
        instrument="Pressure gauge, Tidewell T4", instrument_serial="1182", calibrated_on=date(2025, 1, 2),
        calibrated_until=date(2026, 1, 2), phase="Sea trial", low=Decimal(40), nominal=Decimal(55), high=Decimal(65),
        limits_from="D6T: Manual, page 41", verdict="out", says=told.says, by="Tomas Reef", corrected_by="Tomas Reef",
        is_correction=True, corrections=(CorrectionFacts(by="Mina Sparrow", at=note.recorded_at, text=note.text),),
    )  # fmt: skip
    assert "38 psi" in told.says
    assert told.at.tzinfo == ZONE


def test_a_value_that_was_worked_out_says_how_and_one_from_a_log_which_file(cast: Cast) -> None:
    job = open_job(cast)
    working = Working(
        tool="drop", title="Resistance from a voltage drop",
        inputs=[Input("Drop", "0.3", "V"), Input("Current", "120")], outcome="2.5 mΩ",
        figures=[("R", "2.5")], formula="R = U / I", source="Ohm", is_measured=True,
    )  # fmt: skip
    volts = {"engine": None, "parameter": named("Charging voltage"), "unit": "V"}
    measure(cast, job, 1, "14.1", **volts, worked_from=working.as_json())
    measure(cast, job, 2, "14.2", **volts, file_sha256="a" * 64)
    measure(cast, job, 3, "14.3", **volts)
    worked, read, plain = readings_of(source_of(job))
    inputs = (InputFacts(label="Drop", value="0.3", unit="V"), InputFacts(label="Current", value="120", unit=""))
    assert worked.working == WorkingFacts(
        title="Resistance from a voltage drop", inputs=inputs, outcome="2.5 mΩ", formula="R = U / I", source="Ohm",
        is_measured=True,
    )  # fmt: skip
    assert (worked.engine, worked.file_sha256, read.working, read.file_sha256) == ("", "", None, "a" * 64)
    assert (plain.working, plain.file_sha256, plain.by_hand, plain.remark) == (None, "", "", "")


def test_who_changed_a_value_of_a_log_by_hand_and_what_is_odd_is_told(cast: Cast) -> None:
    job = open_job(cast)
    logged = measure(cast, job, 1, "50", file_sha256="a" * 64)
    measure(cast, job, 1, "900", file_sha256="a" * 64, amends=logged.entry)
    (told,) = readings_of(source_of(job))
    assert told.by_hand == "corrected by hand by Tomas Reef; the CAN log had 50 psi"
    assert told.remark.endswith("Kept as it was written.")


def test_readings_are_told_by_parameter_then_as_they_happened(cast: Cast) -> None:
    job = open_job(cast)
    first, second = (
        Parameter.objects.create(name=name, kind="pressure", position=0) for name in ("Alpha", "Beta")
    )  # of one place in the list: by name
    days = (3, 1, 2, 4)
    for day in days:
        measure(cast, job, day, str(50 + day), entry_id=uuid4())
    measure(cast, job, 5, "14", parameter=named("Charging voltage"), unit="V")
    measure(cast, job, 6, "20", parameter=second)
    measure(cast, job, 7, "21", parameter=first)
    voided = measure(cast, job, 1, "49")
    retract(by=cast.tech, entry=voided.entry, reason="Another boat.")
    measure(cast, open_job(cast), 2, "48")
    told = [(one.parameter, one.value) for one in readings_of(source_of(job))]
    assert told[:2] == [("Alpha", 21), ("Beta", 20)]
    places = {name: named(name).position for name in ("Oil pressure", "Charging voltage")}
    assert [one for one, _ in told[2:]] == sorted((one for one, _ in told[2:]), key=places.__getitem__)
    assert [value for name, value in told if name == "Oil pressure"] == [51, 52, 53, 54]
    assert len(told) == 7


def test_results_in_words_are_told_whole_and_as_they_happened(cast: Cast) -> None:
    job = open_job(cast)
    for day, text in ((2, "AWG 4."), (1, "AWG 6.")):
        log_words(
            by=cast.tech, job=job, engine=cast.port, title="Wire size", text=text, engine_hours=Decimal(700 + day),
            happened_at=at(day),
        )  # fmt: skip
    voided = log_words(by=cast.tech, job=job, engine=None, title="Wire size", text="AWG 8.", happened_at=at(3))
    retract(by=cast.tech, entry=voided, reason="Another boat.")
    told = list(results_of(source_of(job)))
    assert told == [
        ResultFacts(at=at(1), hours=Decimal(701), title=f"Wire size, {cast.port}", text="AWG 6.", by="Tomas Reef"),
        ResultFacts(at=at(2), hours=Decimal(702), title=f"Wire size, {cast.port}", text="AWG 4.", by="Tomas Reef"),
    ]
    assert told[0].at.tzinfo == ZONE
