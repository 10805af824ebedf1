"""Why a promised date is at risk, in sentences: only what is known, each with its figures. Pure but for words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from engineering.canonical import plain_decimal
from engineering.plurals import plural
from vessels.wording import date_words
from workorders.appointments.kinds import KIND_WORDS, Kind
from workorders.states import JobState

SOON = timedelta(days=7)
HOURS_A_DAY = 8
"""What one person works in a day, for the question whether the hours left fit. Common practice, no source."""
BEFORE_WORK = {JobState.ESTIMATE: "It still stands in Estimate."}
BEFORE_IT_IS_READY = (Kind.ARRIVAL, Kind.HAUL_OUT, Kind.LAUNCH, Kind.SEA_TRIAL, Kind.SURVEY, Kind.VISIT)
"""What of the planned has to be over before a job is ready. A pickup comes after that; of others nobody knows."""
WAITS = {
    JobState.WAITING_CUSTOMER: "It waits for the customer.",
    JobState.WAITING_WEATHER: "It waits for weather.",
}


class Planned(NamedTuple):
    """An appointment that is still to come: what for, its first day and its last."""

    kind: str
    first: date
    last: date


@dataclass(frozen=True)
class Facts:
    """What is known of a job that was promised."""

    state: JobState
    promised_on: date
    has_technician: bool = True
    parts: Sequence[date | None] = field(default_factory=tuple)
    """The expected day of each part that is still awaited; None where it is not known."""
    planned: Sequence[Planned] = field(default_factory=tuple)
    """What is planned for the job, in order, and must have been before it is ready."""
    estimated: Decimal | None = None
    is_all_estimated: bool = True
    worked: Decimal = Decimal(0)


def _days(count: int) -> str:
    return f"{count} {plural(count, 'day')}"


def risks(facts: Facts, today: date) -> list[str]:
    """Why the promise is at risk; nothing where it is not, as far as is known, or is too far ahead to say."""
    if facts.state in {JobState.READY, JobState.CLOSED, JobState.CANCELED}:
        return []
    promised = facts.promised_on
    found = []
    if promised < today:
        found.append(f"The day passed {_days((today - promised).days)} ago.")
    if promised == today:
        found.append("It is promised for today and is not ready.")
    later = [day for day in facts.parts if day is not None and day > promised]
    if later:
        apart = _days((max(later) - promised).days)
        found.append(f"{_expected(later)}, {apart} after it.")
    found += [_planned(one, promised) for one in facts.planned if one.last > promised and one.last >= today]
    if promised > today + SOON:
        return found
    late = [day for day in facts.parts if day is not None and day <= promised and day < today]
    if late:
        found.append(_still_to_come(late))
    unknown = sum(day is None for day in facts.parts)
    if unknown:
        found.append(f"Of {unknown} {plural(unknown, 'part')} still to come the day is not known.")
    found += [words for words in (BEFORE_WORK.get(facts.state), WAITS.get(facts.state)) if words]
    if not facts.has_technician:
        found.append("No technician is assigned.")
    found += _hours(facts, today)
    return found


def _expected(days: Sequence[date]) -> str:
    """“1 part is expected on Nov 3”, “3 parts are expected, the last on Nov 3”."""
    on = date_words(max(days))
    return f"1 part is expected on {on}" if len(days) == 1 else f"{len(days)} parts are expected, the last on {on}"


def _still_to_come(days: Sequence[date]) -> str:
    """“1 part that was expected on Nov 3 is still to come.”; true as well of an order of which a part is here."""
    on = date_words(min(days))
    if len(days) == 1:
        return f"1 part that was expected on {on} is still to come."
    return f"{len(days)} parts that were expected, the first on {on}, are still to come."


def _planned(one: Planned, promised: date) -> str:
    """“Sea trial is planned for Nov 20, 2026, 2 days after it”; “until” of what begins before."""
    day, until = (one.first, "for") if one.first > promised else (one.last, "until")
    apart = _days((day - promised).days)
    return f"{KIND_WORDS[Kind(one.kind)]} is planned {until} {date_words(day)}, {apart} after it."


def _hours(facts: Facts, today: date) -> list[str]:
    """The hours left against the days left, where an estimate names hours and they do not fit one person's days."""
    if facts.estimated is None or facts.promised_on < today:
        return []
    left = facts.estimated - facts.worked
    days = (facts.promised_on - today).days + 1
    if left <= days * HOURS_A_DAY:
        return []
    least = "At least " if not facts.is_all_estimated else ""
    said = f"{plain_decimal(left)} h of the {plain_decimal(facts.estimated)} h that the estimate names are left"
    return [f"{least}{said}, and {_days(days)} with today: more than {HOURS_A_DAY} h a day for one person."]
