"""The times that one fault was away, on the clock of the engine's hours.

A fault that is there cannot come back, so hours with it do not count. The clock starts as its first episode ends; each
return is an event; it stops at the last complete scan without it, or at its last return. What nobody scanned does not
count either.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from engineering.faults import Episode, FaultHistory
from engineering.recurrence.events import AT_ZERO_H, EventRecord
from engineering.recurrence.problem import RecurrenceProblem, refuse_unless_finite


@dataclass(frozen=True, slots=True)
class Away:
    """How long a fault was away before each return, oldest first, and how long it has been away since, in hours.

    ``away_now_h`` is None while it is there, 0 where it went and no scan has shown it gone since.
    """

    gaps_h: tuple[float, ...]
    away_now_h: float | None
    unknown_gaps: int = 0
    longest_possible: int = 0
    """Gaps before a return that was first seen as a stored code: it may have come back sooner."""
    least_h: tuple[float, ...] | None = None
    """The part of each gap that scans prove, in the same order; None where every gap is known to the hour."""
    most_h: tuple[float, ...] | None = None
    """The longest that each gap can have been; None where none can have been longer."""
    away_now_most_h: float | None = None
    unread: tuple[str, ...] = ()
    """Why the gaps that are not known are not, each once: no hours with the scan that saw it "back", none with what
    ended it before ("clear", "work", or the scan that found it "gone"), or hours that run "backward"."""
    back_on_the_job: int = 0
    """How often it was back on the job that was to mend it, which is no return."""

    def __post_init__(self) -> None:
        """Refuse times that no meter counts."""
        for hours in (*self.gaps_h, *self.least, *self.most, self.away_now_h or 0.0):
            refuse_unless_finite(hours, "The hours a fault was away", field="gaps_h")
        if not len(self.gaps_h) == len(self.least) == len(self.most):
            raise RecurrenceProblem("Give the least and the most hours of every time away, or of none.", field="gaps_h")

    @property
    def least(self) -> tuple[float, ...]:
        """The part of each gap that is proven."""
        return self.gaps_h if self.least_h is None else self.least_h

    @property
    def most(self) -> tuple[float, ...]:
        """The longest that each gap can have been."""
        return self.gaps_h if self.most_h is None else self.most_h

    @property
    def is_between(self) -> bool:
        """Whether some gap is only known to lie between two figures."""
        return self.least != self.gaps_h or self.most != self.gaps_h

    @property
    def is_narrow(self) -> bool:
        """Whether every gap is known to a tenth of it, or to the meter's step (common practice, no source)."""
        known = zip(self.least, self.gaps_h, self.most, strict=True)
        return all(most - least <= max(0.1 * seen, 0.11) for least, seen, most in known)

    @property
    def returns(self) -> int:
        """How often it came back, those at unknown hours included."""
        return len(self.gaps_h) + self.unknown_gaps

    def record(self) -> EventRecord | None:
        """The returns on the clock of hours away; None where the clock never ran or its hours are not all known."""
        return None if self.unknown_gaps else _record(self.gaps_h, self.away_now_h)

    def halves(self) -> tuple[EventRecord, EventRecord]:
        """Two of ``between``: the first half of the gaps as short as may be and the others as long, and the reverse."""
        half = len(self.gaps_h) // 2
        now = self.away_now_h
        made = (
            _record((*self.least[:half], *self.most[half:]), now),
            _record((*self.most[:half], *self.least[half:]), now),
        )
        none = EventRecord((0.0,) * len(self.gaps_h), AT_ZERO_H)
        return made[0] or none, made[1] or none

    def between(self) -> list[EventRecord]:
        """The records that speak most for ever longer and for ever shorter gaps, among all that the scans allow.

        Gaps up to one of them as short as may be and the later ones as long as may be, and the other way round.
        """
        count = len(self.gaps_h)
        made = [
            _record((*first[:turn], *then[turn:]), self.away_now_h)
            for first, then in ((self.least, self.most), (self.most, self.least))
            for turn in range(count + 1)
        ]
        return [record for record in made if record is not None]


def _record(gaps: Sequence[float], away_now_h: float | None) -> EventRecord | None:
    hours, events = 0.0, []
    for gap in gaps:
        hours = round(hours + gap, 6)
        events.append(hours)
    end = round(hours + (away_now_h or 0.0), 6)
    if end <= 0:
        return None
    return EventRecord(tuple(events), end, ends_with_event=bool(events) and end == events[-1])


_METERS_STEP = Decimal("0.1")


def _gap_of(before: Episode, back: Episode) -> tuple[float, float, float] | None:
    """Least, seen and most hours of one gap.

    Where what ended the episode before has no hours, scans on both sides of it may know them to the meter's step.
    """
    if back.gap_hours is not None:
        return float(back.gap_least_hours or 0), float(back.gap_hours), float(back.gap_most_hours or 0)
    if back.gap_run_hours is None or before.last_seen_hours is None or back.opened_hours is None:
        return None
    most = back.opened_hours - before.last_seen_hours
    if not 0 <= most - back.gap_run_hours <= _METERS_STEP:
        return None
    return float(back.gap_least_hours or 0), float(most), float(most)


def _why_unknown(before: Episode, back: Episode) -> str:
    if back.opened_hours is None:
        return "back"
    if before.since_hours is None:
        if before.after_work:
            return "work"
        return "clear" if before.closed_by == "clear" else "gone"
    return "backward"


def away_of(history: FaultHistory) -> Away:
    """The times away that a fault's replayed history tells of.

    Where it was back on the job that had ended it, it was not fixed yet: that is no return, and those hours are none
    without the fault.
    """
    returns = [pair for pair in pairwise(history.episodes) if not pair[1].not_fixed_yet]
    gaps = [(before, back, _gap_of(before, back)) for before, back in returns]
    known = [gap for _, _, gap in gaps if gap is not None]
    now: float | None = None
    if history.episodes and not history.is_open:
        now = float(history.away.hours) if history.away and history.away.hours is not None else 0.0
    return Away(
        tuple(seen for _, seen, _ in known),
        now,
        unknown_gaps=len(returns) - len(known),
        longest_possible=sum(back.beginning_unknown for _, back in returns),
        least_h=tuple(least for least, _, _ in known),
        most_h=tuple(max(seen, most) for _, seen, most in known),
        away_now_most_h=None if history.away_most_hours is None else float(history.away_most_hours),
        unread=tuple(dict.fromkeys(_why_unknown(before, back) for before, back, gap in gaps if gap is None)),
        back_on_the_job=sum(episode.not_fixed_yet for episode in history.episodes),
    )
