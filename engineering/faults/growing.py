"""An episode while it is being replayed, and the gap before it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Literal

from engineering.codes.code import CodeStatus
from engineering.faults.evidence import Absent, Cleared, Episode, Seen, Worked, length_between

_ONE_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Rest:
    """What a history does not say and a replay that goes on from it has to know.

    ``visit`` is the one on which the last episode ended; ``worked`` time and hours of the last work about an episode
    that has not ended.
    """

    visit: str | None = None
    worked: tuple[datetime, Decimal | None] | None = None


@dataclass(frozen=True, slots=True)
class Gap:
    """From where the clock of an episode started to the next sighting: hours, days, and what they lie between.

    ``run`` is what the engine ran at the least where the hours are not known.
    """

    hours: Decimal | None = None
    days: int | None = None
    least: Decimal | None = None
    most: Decimal | None = None
    least_days: int | None = None
    run: Decimal | None = None


@dataclass(slots=True)
class GrowingEpisode:
    """An episode while it is being replayed."""

    first: Seen
    last: Seen
    gap: Gap
    status: CodeStatus
    sightings: int = 1
    changes: int = 0
    keys: list[str] = field(default_factory=list)
    closing: Absent | Cleared | None = None
    worked: Worked | None = None
    """The last work since it was last seen; once the episode has ended without a clear, where its clock starts."""
    not_fixed_yet: bool = False
    gone_hours: Decimal | None = None
    again: Cleared | None = None
    """The last clear after its end that may have hidden a return."""
    shown: Absent | None = None
    """The last complete scan without it before the first of those."""

    @classmethod
    def from_episode(cls, episode: Episode, rest: Rest) -> GrowingEpisode:
        """The last episode of a history, to grow on."""
        first, last = episode.keys[0], episode.last_status
        closing: Absent | Cleared | None = None
        if episode.closed_at is not None:
            ended = Cleared if episode.closed_by == "clear" else Absent
            closing = ended("", episode.closed_at, episode.closed_hours, rest.visit)
        worked = Worked("", *rest.worked) if rest.worked is not None else None
        if episode.after_work and episode.since_at is not None:
            worked = Worked("", episode.since_at, episode.since_hours)
        return cls(
            first=Seen(first, episode.opened_at, episode.opened_hours, episode.opened_with),
            last=Seen("", episode.last_seen_at, episode.last_seen_hours, last),
            gap=Gap(
                episode.gap_hours,
                episode.gap_days,
                episode.gap_least_hours,
                episode.gap_most_hours,
                episode.gap_least_days,
                episode.gap_run_hours,
            ),
            status=last,
            sightings=episode.sightings,
            changes=episode.status_changes,
            keys=list(episode.keys),
            closing=closing,
            worked=worked,
            not_fixed_yet=episode.not_fixed_yet,
            again=Cleared("", episode.again_at, episode.again_hours) if episode.again_at is not None else None,
            shown=Absent("", episode.shown_at, episode.shown_hours) if episode.shown_at is not None else None,
            gone_hours=episode.gone_hours,
        )

    def note_gone(self, absence: Absent) -> None:
        """Keep the hours of the first scan without it since it ended: what ended it was no later."""
        if self.gone_hours is None:
            self.gone_hours = absence.hours

    def clear_again(self, clear: Cleared, proof: Absent | None) -> None:
        """Take a clear after its end. ``proof`` is the last complete scan without it.

        Where that scan, or the end itself, was right before, nothing can have come back and been cleared.
        """
        last = proof or self.closing
        if last is not None and _is_right_before(last, clear):
            return
        if self.again is None:
            self.shown = proof
        self.again = clear

    @property
    def since(self) -> Absent | Cleared | Worked | None:
        """Where the clock of the time away starts."""
        return self.worked if isinstance(self.closing, Absent) and self.worked else self.closing

    def episode(self, number: int) -> Episode:
        """It as it stands by now, the fault's episode of this number."""
        closed_by: Literal["clear", "absent"] | None = None
        if self.closing is not None:
            closed_by = "clear" if isinstance(self.closing, Cleared) else "absent"
        since = self.since
        return Episode(
            number=number,
            opened_at=self.first.at,
            opened_hours=self.first.hours,
            opened_with=self.first.status,
            beginning_unknown=self.first.status in (CodeStatus.STORED, CodeStatus.PERMANENT),
            last_seen_at=self.last.at,
            last_seen_hours=self.last.hours,
            last_status=self.status,
            closed_at=self.closing.at if self.closing else None,
            closed_hours=self.closing.hours if self.closing else None,
            closed_by=closed_by,
            sightings=self.sightings,
            status_changes=self.changes,
            keys=tuple(self.keys),
            gap_hours=self.gap.hours,
            gap_days=self.gap.days,
            gap_least_hours=self.gap.least,
            gap_most_hours=self.gap.most,
            gap_least_days=self.gap.least_days,
            gap_run_hours=self.gap.run,
            since_at=since.at if since else None,
            since_hours=since.hours if since else None,
            after_work=isinstance(since, Worked),
            not_fixed_yet=self.not_fixed_yet,
            gone_hours=self.gone_hours,
            again_at=self.again.at if self.again else None,
            again_hours=self.again.hours if self.again else None,
            shown_at=self.shown.at if self.shown else None,
            shown_hours=self.shown.hours if self.shown else None,
        )


def _is_right_before(last: Absent | Cleared, clear: Cleared) -> bool:
    """Whether the engine did not run in between: by its hours; where they are not known, within the hour."""
    if last.hours is not None and clear.hours is not None:
        return last.hours == clear.hours
    return clear.at - last.at <= _ONE_HOUR


def gap_between(ended: GrowingEpisode, seen: Seen, proof: Absent | None) -> Gap:
    """The gap between an episode and the next sighting; ``proof`` is the last complete scan without it in between."""
    since = ended.since
    if since is None:
        return Gap()
    away = length_between(since.at, since.hours, seen.at, seen.hours)
    proof = ended.shown if ended.again is not None else proof
    shown = proof if proof is not None and proof.at >= since.at else None
    least_days = min(length_between(since.at, None, shown.at, None).days, away.days) if shown is not None else None
    if away.hours is None:
        if since.hours is not None or shown is None:
            return Gap(None, away.days, least_days=least_days)
        ran = length_between(since.at, ended.gone_hours, seen.at, seen.hours).hours
        proven = length_between(since.at, ended.gone_hours, shown.at, shown.hours).hours
        return Gap(None, away.days, proven if ran is not None else None, least_days=least_days, run=ran)
    least, most = Decimal(0), away.hours
    if shown is not None:
        proven = length_between(since.at, since.hours, shown.at, shown.hours).hours
        least = min(proven or least, away.hours)
    if isinstance(since, Absent):
        longest = length_between(ended.last.at, ended.last.hours, seen.at, seen.hours).hours
        most = max(longest or most, most)
    return Gap(away.hours, away.days, least, most, least_days)
