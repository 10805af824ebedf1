"""From what the hour meter shows to the engine's true hours, and back."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.measures import MeasureProblem, parse_measure
from vessels.hours import TENTH, impossible_hours, meter_at
from vessels.log.evidence import standing
from vessels.models import Engine, LogEntry
from vessels.queries import hours_at
from workorders.models import Job

HIGHEST = Decimal(10) ** 7


def shown_hours(text: str) -> Decimal | None:
    """What a person wrote for the meter, in hours; None for nothing.

    Raises:
        Refused: it is no number of hours.
    """
    if not text.strip():
        return None
    try:
        measure = parse_measure(text, default_unit="h")
    except MeasureProblem as problem:
        raise impossible_hours(problem.sentence) from problem
    if measure.unit != "h" or not 0 <= measure.value < HIGHEST:
        raise impossible_hours("Write the hours as the meter shows them, such as 1204.5.")
    return measure.value.quantize(TENTH)


def true_hours(engine: Engine | None, shown: Decimal | None, at: datetime | None) -> Decimal | None:
    """The engine's true hours when its meter shows ``shown``; None where there is no engine or no figure.

    Whether they can be is for the action to say: it knows whether the same form was sent before.
    """
    if engine is None or shown is None:
        return None
    return hours_at(engine, shown, at=at)


def shown_for(engine: Engine | None, hours: Decimal | None) -> Decimal | None:
    """What the meter fitted now shows at these true hours."""
    if engine is None or hours is None:
        return None
    meter = meter_at(engine, timezone.now())
    if meter is None:
        return hours
    shown = hours - meter.engine_hours_when_fitted + meter.shown_when_fitted
    return shown if shown >= 0 else None


def hours_on_job(job: Job, engine: Engine | None) -> Decimal | None:
    """The last true hours of an engine that were written down on a job."""
    if engine is None:
        return None
    entries = standing(LogEntry.objects.filter(job=job, engine=engine, engine_hours__isnull=False))
    return entries.order_by("-happened_at", "-position").values_list("engine_hours", flat=True).first()


def hours_text(engine: Engine | None, hours: Decimal | None) -> str:
    """True hours as the meter fitted now shows them, for a form's field; empty where they are unknown."""
    shown = shown_for(engine, hours)
    return "" if shown is None else plain_decimal(shown)


def usual_hours(job: Job, engine: Engine | None) -> str:
    """What the meter showed when hours were last written down on this job, for a form's field."""
    return hours_text(engine, hours_on_job(job, engine))
