"""From what the hour meter shows to the engine's true hours, and back."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.hours import hours_words
from engineering.measures import MeasureProblem, parse_measure
from vessels.hours import (
    TENTH,
    backwards,
    engine_hours_at_zero,
    hours_around,
    impossible_hours,
    meter_at,
    not_known_words,
    outrun,
    unread_since,
)
from vessels.models import Engine
from vessels.queries import hours_at, latest_hours
from vessels.wording import day_words

HIGHEST = Decimal(10) ** 7
LEAVE_OUT = "Leave the hours out here, and log what the meter shows on the engine’s page."


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
        raise impossible_hours("Enter the hours as the meter shows them, such as 1204.5.")
    return measure.value.quantize(TENTH)


def true_hours(engine: Engine | None, shown: Decimal | None, at: datetime | None) -> Decimal | None:
    """The engine's true hours when its meter shows ``shown``; None where there is no engine or no figure.

    Whether they can be is for the action to say: it knows whether the same form was sent before.

    Raises:
        Refused: hours were written, and there is no engine that they could be of, or the meter does not tell the
            engine's hours.
    """
    if shown is None:
        return None
    if engine is None:
        raise impossible_hours("Hours belong to an engine, and no engine is chosen. Leave them empty.")
    since = unread_since(engine, at)
    if since is not None:
        raise impossible_hours(f"{not_known_words(since)} {LEAVE_OUT}")
    return hours_at(engine, shown, at=at)


def doubt_about(engine: Engine | None, shown: Decimal | None, at: datetime) -> str:
    """Why hours that nobody read off the meter cannot be the engine's, by those on record; empty where they can."""
    if engine is None or shown is None:
        return ""
    since = unread_since(engine, at)
    if since is not None:
        return not_known_words(since)
    hours, around = hours_at(engine, shown, at=at), hours_around(engine, at)
    if hours is None:
        return ""
    return backwards(hours, around) or outrun(hours, at, around) or ""


def shown_for(engine: Engine | None, hours: Decimal | None, *, at: datetime | None = None) -> Decimal | None:
    """What the meter that was fitted then, or is now, shows at these true hours."""
    if engine is None or hours is None:
        return None
    meter = meter_at(engine, at or timezone.now())
    if meter is None:
        return hours
    start = engine_hours_at_zero(meter)
    if start is None:
        return None
    shown = hours - start
    return shown if shown >= 0 else None


def hours_text(engine: Engine | None, hours: Decimal | None, at: datetime) -> str:
    """True hours as the meter of that moment showed them, for a form's field; empty where they are unknown."""
    shown = shown_for(engine, hours, at=at)
    return "" if shown is None else plain_decimal(shown)


def last_hours(engine: Engine | None) -> str:
    """What was last known of an engine's hours, as its meter shows them: beside a field that stays empty.

    Hours are never filled in where they would be logged as read now: nobody read them.
    """
    if engine is None:
        return "No engine is chosen: leave the hours empty."
    known, since = latest_hours(engine), unread_since(engine)
    if known is None or known.engine_hours is None:
        return f"{not_known_words(since)} {LEAVE_OUT}" if since else "None on record yet."
    if since is not None:
        known_then = f"Last known {hours_words(known.engine_hours)}, {day_words(known.happened_at)}."
        return f"{known_then} {not_known_words(since)} {LEAVE_OUT}"
    shown = shown_for(engine, known.engine_hours)
    words = f"{hours_words(known.engine_hours)} in all" if shown is None else hours_words(shown)
    return f"Last {words}, {day_words(known.happened_at)}."
