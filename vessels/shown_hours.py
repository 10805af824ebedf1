"""From what the hour meter shows to the engine's true hours, and back."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.forms import BaseForm

from commands.refusals import Refused
from engineering.canonical import plain_decimal
from engineering.measures import MeasureProblem, parse_measure
from vessels.hours import (
    TENTH,
    backwards,
    hours_around,
    impossible_hours,
    not_known_words,
    outrun,
    refuse_impossible_hours,
    shown_for,
    slightly_outrun,
    unread_since,
)
from vessels.models import Engine, LogEntry
from vessels.queries import hours_at
from vessels.queries.hours import last_hours_words

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


def show_hours_in_doubt(form: BaseForm, engine: Engine | None, *, amends: LogEntry | None = None) -> None:
    """Say beside the field what is wrong or unusual with the hours of a form that is not right for other reasons.

    So that all is asked at once, and mending one thing does not lead to the next.
    """
    data = form.cleaned_data
    if data.get("hours") is None or {"hours", "engine", "happened_at"} & set(form.errors):
        return
    at = data.get("happened_at")
    try:
        refuse_impossible_hours(engine, true_hours(engine, data["hours"], at), at, amends=amends)
    except Refused as refusal:
        form.add_error("hours", refusal.fields["hours"])


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
    return backwards(hours, around) or outrun(hours, at, around) or slightly_outrun(hours, at, around) or ""


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
    return last_hours_words(engine, if_unread=LEAVE_OUT)
