"""A job's readings and calculated results out of the log, as facts for the record; a fixed number of queries each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from uuid import UUID

from engineering.measures import UNITS
from findings.faults.models import Scan
from findings.readings.judging import stored_judgment
from findings.readings.models import Reading
from findings.readings.queries import (
    DRAWN,
    add_marks,
    afterwards_of_reading,
    by_hand_of,
    effective_readings,
    value_remark,
)
from findings.readings.results import results_of_job
from findings.readings.working import Working, working_from_json
from findings.reports.record import InputFacts, ReadingFacts, ResultFacts, WorkingFacts
from findings.reports.source import Source, authors_before, made_with, witnesses

PHASES = dict(Scan.PHASES)


def readings_of(source: Source) -> Iterator[ReadingFacts]:
    """The readings of the job that stand, in order of parameter, then of happening."""
    readings = effective_readings().filter(entry__job=source.job)
    in_order = list(readings.order_by("parameter__position", "parameter__name", "entry__happened_at", "pk"))
    add_marks(in_order)
    first = authors_before(reading.entry for reading in in_order)
    for reading in in_order:
        yield _reading_facts(source, reading, first)


def results_of(source: Source) -> Iterator[ResultFacts]:
    """The calculated results in words that stand on the job, in order of happening."""
    for entry in results_of_job(source.job):
        yield ResultFacts(
            at=source.at(entry.happened_at),
            hours=entry.engine_hours,
            title=entry.summary,
            text=entry.text,
            by=entry.author.name,
        )


def _reading_facts(source: Source, reading: Reading, first: Mapping[UUID, str]) -> ReadingFacts:
    judgment = stored_judgment(reading)
    return ReadingFacts(
        at=source.at(reading.entry.happened_at),
        hours=reading.entry.engine_hours,
        engine=source.engine_name(reading.entry.engine_id),
        parameter=reading.parameter.name,
        value=reading.value,
        unit=reading.unit,
        unit_label=UNITS[reading.unit].label,
        minimum=reading.minimum,
        maximum=reading.maximum,
        condition=reading.condition,
        **made_with(reading),
        phase=PHASES.get(reading.phase, reading.phase),
        low=reading.low,
        nominal=reading.nominal,
        high=reading.high,
        limits_from=reading.limits_from,
        verdict=DRAWN[judgment.verdict].value,
        says=judgment.sentence,
        remark=value_remark(reading),
        working=working_facts(working_from_json(reading.worked_from)),
        **witnesses(reading.entry, first),
        is_correction=reading.entry.amends_id is not None,
        file_sha256=reading.file_sha256 or "",
        by_hand=by_hand_of(reading),
        corrections=source.told(afterwards_of_reading(reading)),
    )


def working_facts(working: Working | None) -> WorkingFacts | None:
    """How a reading was worked out, where it was."""
    if working is None:
        return None
    inputs = tuple(InputFacts(label=one.label, value=one.value, unit=one.unit) for one in working.inputs)
    return WorkingFacts(
        title=working.title,
        inputs=inputs,
        outcome=working.outcome,
        formula=working.formula,
        source=working.source,
        is_measured=working.is_measured,
    )
