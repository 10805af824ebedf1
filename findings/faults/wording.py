"""Lengths, places and memories of a fault in words. Pure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from engineering.days import days_between, days_words
from engineering.faults import WITHIN_A_DAY, FaultHistory, FaultState
from engineering.hours import hours_words

ENDED = {"clear": "cleared", "absent": "gone, with no clear on record in between", "": "no end on record"}
"""How an episode ended, by what closed it."""


AWAY_WORDS = {"held": "stayed away", "holding": "away so far"}
"""What came of an episode that no work of ours ended: only a repair holds."""


def outcome_words(outcome: str, label: str, *, is_repair: bool) -> str:
    """What came of an episode; ``label`` is what it is called after a repair."""
    return label if is_repair else AWAY_WORDS.get(outcome, label)


def length_words(hours: Decimal | None, days: int | None) -> str:
    """A length in hours and days, as far as they are known: "84 h · 12 days", "1.5 h" within a day."""
    if days == 0 and hours is None:
        return WITHIN_A_DAY
    return " · ".join(([hours_words(hours)] if hours is not None else []) + ([days_words(days)] if days else []))


def times_words(count: int) -> str:
    """How often: "once", "twice", "3 times"."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


HELD, HAD_HELD = ", and it held", ", and it had held"


@dataclass(frozen=True)
class Now:
    """From where one looks back: the moment, in the zone whose days count, and the engine's last hours, if known.

    ``read_at`` is when those hours were read; None: now. ``is_earlier``: one looks back from a day that is over.
    """

    at: datetime
    hours: Decimal | None
    read_at: datetime | None = None
    is_earlier: bool = False

    def ago(self, at: datetime, hours: Decimal | None) -> str:
        """How long ago something was: "84 h ago (12 days)", "today", "12 days ago"; seen from then "12 days before".

        Where the hours are of an earlier day, the engine may have run since: "12 days ago (at least 84 h of running)".
        """
        days = days_between(at, self.at)
        today, ago = ("the same day", "before") if self.is_earlier else ("today", "ago")
        calendar = today if days < 1 else days_words(days)
        if hours is None or self.hours is None or self.hours <= hours:
            return today if days < 1 else f"{calendar} {ago}"
        ran = hours_words(self.hours - hours)
        if self.read_at is None or days_between(self.read_at, self.at) < 1:
            return f"{ran} {ago} ({calendar})"
        return f"{calendar} {ago} (at least {ran} of running)"


def as_listed(words: str) -> str:
    """What happened last time, said beside a code that is on a list again: a repair that held does so no longer."""
    return words.replace(HELD, HAD_HELD)


def gone_words(fates: Collection[str]) -> str:
    """Of a code that only entries tell of which no longer count: whether those were voided, corrected, or either."""
    which = " or ".join(word for word in ("corrected", "voided") if word in fates)
    return (
        f"seen before only in entries that were {which}" if which else "seen before only in entries that do not count"
    )


def last_time(history: FaultHistory, now: Now, *, job_number: int | None, fates: Collection[str] = ()) -> str:
    """What happened the last time this code was about: "cleared 84 h ago on job 1032, has returned twice".

    ``fates``: what became of the entries that tell of it, "corrected" or "voided", where none of them counts.
    """
    if not history.episodes:
        return gone_words(fates)
    on_job = f" on job {job_number}" if job_number else ""
    episode = history.episodes[-1]
    if history.is_open:
        words = f"{history.status_now} when last seen, {now.ago(episode.last_seen_at, episode.last_seen_hours)}{on_job}"
    elif episode.closed_by == "clear" and history.cleared_at is not None:
        words = f"cleared {now.ago(history.cleared_at, history.cleared_hours)}{on_job}"
        if episode.again_at is not None:
            words += f" and again {now.ago(episode.again_at, episode.again_hours)}"
        elif history.state is FaultState.HISTORIC and history.held:
            words += HELD
    else:
        assert episode.closed_at is not None  # noqa: S101  (a closed fault's last episode is closed)
        after = " after work on it, " if episode.after_work else " "
        last_seen = now.ago(episode.last_seen_at, episode.last_seen_hours)
        gone = now.ago(episode.closed_at, episode.closed_hours)
        words = f"last seen {last_seen} and gone {gone}{after}with no clear on record in between"
    if history.returns:
        words += f", has returned {times_words(history.returns)}"
    return words
