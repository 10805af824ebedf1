"""What goes into the replay of one fault, its evidence, and what comes out, its history."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta, tzinfo
from decimal import Decimal
from enum import StrEnum
from typing import Literal

from engineering.codes.code import CodeStatus
from engineering.days import days_between

ONE_DAY = timedelta(days=1)


class FaultState(StrEnum):
    """Where a fault stands. Active, stored, returned and not fixed yet are open; cleared and historic are closed."""

    NONE = "none"
    """Never seen: there is no fault yet."""
    ACTIVE = "active"
    STORED = "stored"
    CLEARED = "cleared"
    RETURNED = "returned"
    NOT_FIXED_YET = "not fixed yet"
    """Back on the very visit on which it had ended: the repair never held, so that it has not returned either."""
    HISTORIC = "historic"

    @property
    def is_open(self) -> bool:
        """Whether the fault is there, as far as the evidence goes."""
        return self not in (FaultState.NONE, FaultState.CLEARED, FaultState.HISTORIC)


@dataclass(frozen=True, slots=True)
class Length:
    """How long something lasted: engine hours, None where unknown or running backward; and days of the calendar.

    ``most``: the hours that it can have lasted at the most, where its own are unknown and those of a moment before are
    known.
    """

    hours: Decimal | None
    days: int
    most: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Hold:
    """How long a clear must hold before the fault counts as historic: engine hours, or days where hours are unknown.

    Days are those of the calendar in ``zone``; without one, in the zone that the evidence is given in.
    """

    hours: Decimal = Decimal(50)
    days: int = 365
    zone: tzinfo | None = None

    def is_reached(self, away: Length) -> bool:
        """Whether so long is at or past the hold. Days say nothing of an engine that is known to have run for less."""
        if away.hours is not None:
            return away.hours >= self.hours
        return away.days >= self.days and (away.most is None or away.most >= self.hours)


def length_between(
    start_at: datetime,
    start_hours: Decimal | None,
    end_at: datetime,
    end_hours: Decimal | None,
    *,
    earlier_hours: Decimal | None = None,
) -> Length:
    """The one way in which times away, holds and gaps are counted; days are those of the zone of the end.

    ``earlier_hours`` are those of a moment before the start: they bound the length where the start's own say nothing.
    """
    hours = _run(start_hours, end_hours)
    most = _run(earlier_hours, end_hours) if hours is None else None
    return Length(hours, days_between(start_at, end_at), most)


def _run(start: Decimal | None, end: Decimal | None) -> Decimal | None:
    return end - start if start is not None and end is not None and end >= start else None


@dataclass(frozen=True, slots=True)
class Seen:
    """A scan listed the code with this status. ``key`` is the log entry's id; ``hours`` the engine's true hours.

    ``visit`` names the unfinished job on which it was, None for none: a fault that is back on the visit on which it
    ended was not fixed yet.
    """

    key: str
    at: datetime
    hours: Decimal | None
    status: CodeStatus
    visit: str | None = None


@dataclass(frozen=True, slots=True)
class Absent:
    """A complete scan of the unit did not list the code."""

    key: str
    at: datetime
    hours: Decimal | None
    visit: str | None = None


@dataclass(frozen=True, slots=True)
class Cleared:
    """A clear on the unit covered the code."""

    key: str
    at: datetime
    hours: Decimal | None
    visit: str | None = None


@dataclass(frozen=True, slots=True)
class Worked:
    """Work about the fault. It changes no state; it says from when on a fault that is then found gone was away."""

    key: str
    at: datetime
    hours: Decimal | None
    visit: str | None = None


Evidence = Seen | Absent | Cleared | Worked


@dataclass(frozen=True, slots=True)
class Episode:
    """One appearance of a fault, from first seen to cleared or gone."""

    number: int
    opened_at: datetime
    opened_hours: Decimal | None
    opened_with: CodeStatus
    beginning_unknown: bool
    """First seen stored or permanent, so it began at some time before; a gap before it is then the longest possible."""
    last_seen_at: datetime
    last_seen_hours: Decimal | None
    last_status: CodeStatus
    closed_at: datetime | None
    closed_hours: Decimal | None
    closed_by: Literal["clear", "absent"] | None
    sightings: int
    """Scans that listed the code in this episode; a permanent copy that was listed alone is none of it."""
    status_changes: int
    """How often active and stored took turns: more than none is an intermittent fault."""
    keys: tuple[str, ...]
    """The log entries this episode rests on, in order of happening, the closing one included."""
    gap_hours: Decimal | None
    """Engine hours from where the clock of the episode before started (its ``since``) to the opening of this one."""
    gap_days: int | None
    """Days of the calendar from there to the opening of this one."""
    gap_least_hours: Decimal | None = None
    """The part of the gap in which it is proven to have been away: up to the last complete scan without it; 0 without
    such a scan. It came back somewhere between these hours and the scan that saw it."""
    gap_most_hours: Decimal | None = None
    """The longest that it can have been away: the gap, and where it went by itself, also the hours between the last
    scan that saw it and the one that found it gone."""
    since_at: datetime | None = None
    """From when on the fault counts as away: the clear that ended the episode; where it was found gone without a
    clear, the last work about it after it was last seen; without any, the scan that found it gone. Nothing later moves
    it."""
    since_hours: Decimal | None = None
    gap_least_days: int | None = None
    """The days of the calendar in which it is proven to have been away; None without such a scan."""
    gap_run_hours: Decimal | None = None
    """Where the hours of the gap are not known as what ended the episode before has none: what the engine ran at the
    least until this one was seen. ``gap_least_hours`` is then what it was away at the least. None where nothing bounds
    them."""
    gone_hours: Decimal | None = None
    """The engine hours of the first complete scan without it since it ended that has any."""
    after_work: bool = False
    """Found gone without a clear of ours, but after work about it."""
    not_fixed_yet: bool = False
    """Seen again on the very visit on which the episode before ended: that one was not fixed yet, and this is no
    return."""
    again_at: datetime | None = None
    """The last clear after its end of which no scan right before shows that the code had stayed away: what had come
    back by then would not show any more. None without such a clear."""
    again_hours: Decimal | None = None
    shown_at: datetime | None = None
    """The last complete scan without it before the first such clear: up to there it is shown away without a break."""
    shown_hours: Decimal | None = None

    def away_until(self, at: datetime, hours: Decimal | None) -> Length | None:
        """How long the fault had been away by then since its clock started; None where it has not ended."""
        if self.since_at is None:
            return None
        return length_between(self.since_at, self.since_hours, at, hours, earlier_hours=self.last_seen_hours)


@dataclass(frozen=True, slots=True)
class FaultHistory:
    """Everything that the evidence of one fault says."""

    state: FaultState
    status_now: CodeStatus | None
    """The unit's own status when last seen, while the fault is open; None when closed."""
    episodes: tuple[Episode, ...]
    last_seen_at: datetime | None
    last_seen_hours: Decimal | None
    cleared_at: datetime | None
    """The last clear of ours that ended an episode; what was cleared again later changes nothing."""
    cleared_hours: Decimal | None
    proven_to_at: datetime | None
    """The last complete scan without the code since the last episode ended."""
    proven_to_hours: Decimal | None
    """The engine hours of that scan: the repair is proven to that hour."""
    held: bool
    """Absent at or past the shop's hold after the clear, or the work, that ended the last episode."""
    permanent_copy: bool
    """The unit keeps a permanent copy (SAE J1979 service 0A), which no instrument can clear."""
    unused_keys: tuple[str, ...]
    """Evidence that changed nothing, such as a clear before the code was ever seen."""

    @property
    def is_open(self) -> bool:
        """Active, stored, returned and not fixed yet are open."""
        return self.state.is_open

    @property
    def returns(self) -> int:
        """How often the fault came back after it had ended, other than on the unfinished job that had ended it."""
        return sum(not episode.not_fixed_yet for episode in self.episodes[1:])

    def in_zone(self, zone: tzinfo) -> FaultHistory:
        """The same history with every time in one zone, whose days are then counted."""

        def there(at: datetime | None) -> datetime | None:
            return at.astimezone(zone) if at is not None else None

        episodes = tuple(
            replace(
                one,
                opened_at=one.opened_at.astimezone(zone),
                last_seen_at=one.last_seen_at.astimezone(zone),
                closed_at=there(one.closed_at),
                since_at=there(one.since_at),
                again_at=there(one.again_at),
                shown_at=there(one.shown_at),
            )
            for one in self.episodes
        )
        return replace(
            self,
            episodes=episodes,
            last_seen_at=there(self.last_seen_at),
            cleared_at=there(self.cleared_at),
            proven_to_at=there(self.proven_to_at),
        )

    def longest_away(self, index: int) -> Length | None:
        """The longest that it can have been away before an episode; None before the first.

        Where it went by itself that counts from when it was last seen. Days are whole ones, begun ones included, and
        no fewer than the calendar's.
        """
        if index < 1:
            return None
        before, back = self.episodes[index - 1], self.episodes[index]
        if before.since_at is None or back.gap_days is None:
            return None
        went_by_itself = before.closed_by == "absent" and not before.after_work
        left_at = before.last_seen_at if went_by_itself else before.since_at
        days = max(days_between(left_at, back.opened_at), -((left_at - back.opened_at) // ONE_DAY))
        known = [one for one in (back.gap_hours, back.gap_most_hours) if one is not None]
        return Length(max(known) if back.gap_hours is not None else None, days)

    @property
    def away(self) -> Length | None:
        """How long the last complete scan has shown the fault away since its clock started; None without such a scan.

        This is the one clock: the hold, what a repair has held so far, and the hours away are all this length.
        """
        last = self.episodes[-1] if self.episodes else None
        if self.is_open or last is None or last.since_at is None or self.proven_to_at is None:
            return None
        return last.away_until(self.proven_to_at, self.proven_to_hours)

    @property
    def away_most_hours(self) -> Decimal | None:
        """The longest that ``away`` can have been in hours: where it went by itself, from when it was last seen."""
        last, away = self.episodes[-1] if self.episodes else None, self.away
        if away is None or last is None or self.proven_to_at is None:
            return None
        if last.closed_by == "clear" or last.after_work:
            return away.hours
        longest = length_between(last.last_seen_at, last.last_seen_hours, self.proven_to_at, self.proven_to_hours)
        return away.hours if longest.hours is None else longest.hours

    @property
    def first_seen_at(self) -> datetime | None:
        """When the first episode opened."""
        return self.episodes[0].opened_at if self.episodes else None

    @property
    def sightings(self) -> int:
        """Scans that listed the code, over all episodes."""
        return sum(episode.sightings for episode in self.episodes)
