"""A record of events over hours: what every calculation about recurrence starts from."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from engineering.recurrence.problem import NotEnough, RecurrenceProblem, refuse_unless_finite

FEWEST_FOR_A_TREND = 4
"""Below so many usable events no trend is told (check values of the project: Laplace on fewer is not enough data)."""
MOST_EVENTS = 100_000
SHORTEST_RECORD_H = 1.0
"""Of a shorter record no trend is told: its events lie within a few steps of a meter. Common practice, no source."""
ONE_OCCASION_H = 1.0
"""Events that lie less than so many hours of running after the first of them are one occasion (decision 0161)."""
AT_ZERO_H = 0.05
"""Hours are written to a tenth: what is written as zero was on average within half of that."""


@dataclass(frozen=True, slots=True)
class EventRecord:
    """Events of one thing, in hours since its observation began, the first one first.

    ``observed_h`` is where the observation ended. ``ends_with_event``: it ended because of the last event
    (failure-truncated), else it went on without one (time-truncated); then the last event is where the record ends
    and cannot tell of a trend by itself.

    Raises:
        RecurrenceProblem: events out of order, negative, not finite, or after the end of observation.
    """

    event_hours: tuple[float, ...]
    observed_h: float
    ends_with_event: bool = False
    hull: Hashable | None = None
    """Whatever tells the records of one hull from those of another; None for a hull of its own."""

    def __post_init__(self) -> None:
        """Refuse records that no engine could have."""
        refuse_unless_finite(self.observed_h, "The hours observed", field="observed_h", above=0)
        if len(self.event_hours) > MOST_EVENTS:
            raise RecurrenceProblem(f"At most {MOST_EVENTS:,} events can be judged at once.", field="event_hours")
        for hours in self.event_hours:
            refuse_unless_finite(hours, "The hours of an event", field="event_hours")
        if list(self.event_hours) != sorted(self.event_hours):
            raise RecurrenceProblem("Give the events in order of their hours.", field="event_hours")
        if self.event_hours and self.event_hours[-1] > self.observed_h:
            raise RecurrenceProblem(
                f"An event at {self.event_hours[-1]:g} h is after the end of observation at {self.observed_h:g} h.",
                field="observed_h",
            )
        if self.ends_with_event and (not self.event_hours or self.event_hours[-1] != self.observed_h):
            raise RecurrenceProblem(
                "A record that ends with an event must be observed up to its last event.", field="observed_h"
            )

    @property
    def usable(self) -> tuple[float, ...]:
        """The events that can tell of a trend: all, or all but the one that ended the record."""
        return self.event_hours[:-1] if self.ends_with_event else self.event_hours

    @property
    def occasions(self) -> tuple[float, ...]:
        """The hours of the first usable event of each occasion, those within an hour after it being the same one."""
        return first_of_each(self.usable)


def first_of_each(event_hours: Sequence[float]) -> tuple[float, ...]:
    """Of hours in order, the first of each occasion; see ``ONE_OCCASION_H``."""
    found: list[float] = []
    for hours in event_hours:
        if not found or hours - found[-1] > ONE_OCCASION_H - 1e-6:
            found.append(hours)
    return tuple(found)


def record_of(event_hours: Sequence[float], observed_h: float | None = None) -> EventRecord:
    """A record from hours in any order; without ``observed_h`` it ends with its last event.

    Raises:
        RecurrenceProblem: as :class:`EventRecord`, or neither events nor an end.
    """
    ordered = tuple(sorted(float(hours) for hours in event_hours))
    if observed_h is None:
        if not ordered:
            raise RecurrenceProblem("Give at least one event, or the hours observed without one.", field="event_hours")
        return EventRecord(ordered, ordered[-1], ends_with_event=True)
    return EventRecord(ordered, float(observed_h))


def too_thin_for_a_trend(records: Sequence[EventRecord]) -> NotEnough | None:
    """Why a trend cannot be told from the records, or None: fewer than four usable events, or occasions of them.

    The tests suppose a Poisson process, in which no two events come at once: what comes several times at one reading
    of the meter is one occasion, whatever number of times it was counted (decision 0161). An event at zero hours lies
    half a step of the meter after it (``AT_ZERO_H``).
    """
    usable = sum(len(record.usable) for record in records)
    after = " after leaving out the one that ends the record" if any(r.ends_with_event for r in records) else ""
    if usable < FEWEST_FOR_A_TREND:
        counted = {0: "no event", 1: "one event"}.get(usable, f"{usable} events")
        return NotEnough(
            f"Not enough data for a trend: {counted} on record{after}, and it takes {FEWEST_FOR_A_TREND} or more."
        )
    if all(record.observed_h < SHORTEST_RECORD_H for record in records):
        return NotEnough("Not enough data for a trend: the record is not an hour long.")
    occasions = sum(len(record.occasions) for record in records)
    if occasions < FEWEST_FOR_A_TREND:
        return NotEnough(
            f"Not enough data for a trend: {usable} events on record{after}, but on {occasion_words(occasions)} only "
            f"(less than an hour of running apart is one), and it takes {FEWEST_FOR_A_TREND} or more."
        )
    return None


def occasion_words(occasions: int) -> str:
    """A number of occasions: "one occasion", "3 occasions"."""
    return "one occasion" if occasions == 1 else f"{occasions} occasions"
