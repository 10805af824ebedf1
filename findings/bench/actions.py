"""Logging what a tool worked out."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import Decimal

from commands.envelope import command
from commands.refusals import Refused
from engineering.measures import UNITS
from findings.bench.answer import Answer
from findings.bench.tool import Tool
from findings.bench.working import note_of, working_of
from findings.instruments.models import Instrument
from findings.readings.actions import add_parameter, log_reading
from findings.readings.judging import compare
from findings.readings.models import Parameter
from findings.readings.results import log_words
from staff.models import Person
from staff.policy import Permission
from vessels.models import Engine, LogEntry
from workorders.models import Job


@command(
    "log_result",
    needs=Permission.LOG_FINDINGS,
    writes_to="job.vessel",
    as_kept={"tool": lambda tool: tool.slug, "answer": lambda answer: answer.entered},
)
def log_result(
    *,
    by: Person,
    job: Job,
    engine: Engine | None,
    tool: Tool,
    answer: Answer,
    phase: str = "",
    instrument: str = "",
    registered: Instrument | None = None,
    engine_hours: Decimal | None = None,
    text: str = "",
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> LogEntry:
    """Log a tool's answer on a job: as a reading with how it was worked out, or in words where it is no one value.

    Raises:
        Refused: the tool's results are not logged, the value cannot be, or the hours are impossible.
    """
    if not tool.is_logged:
        raise Refused("What this tool works out is no finding and is not logged.")
    if not answer.may_be_logged:
        raise Refused("This says nothing of what was asked, so there is no result to log. Log the reading itself.")
    if answer.measure is None or not answer.logs_as:
        return log_words(
            by=by,
            job=job,
            engine=engine,
            title=tool.title,
            text=note_of(tool, answer, text),
            engine_hours=engine_hours,
            entry_id=entry_id,
            happened_at=happened_at,
        )
    measure = answer.measure
    parameter = Parameter.objects.filter(name__iexact=answer.logs_as).first() or add_parameter(
        by=by, name=answer.logs_as, kind=UNITS[measure.unit].kind.value
    )
    reading = log_reading(
        by=by,
        vessel=job.vessel,
        engine=engine,
        parameter=parameter,
        value=measure.value,
        unit=measure.unit,
        condition=answer.condition[:120],
        instrument=instrument,
        registered=registered,
        phase=phase,
        job=job,
        engine_hours=engine_hours,
        text=text,
        worked_from=working_of(tool, answer).as_json(),
        compared=answer.compared or compare(measure.value, measure.unit, None),
        entry_id=entry_id,
        happened_at=happened_at,
    )
    return reading.entry
