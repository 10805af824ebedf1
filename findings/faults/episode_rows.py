"""The rows of a fault's episodes: with what work each ended, what came of that, and after how long."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from uuid import UUID

from engineering.faults import Episode as ReplayedEpisode
from engineering.faults import FaultHistory, FaultState, Hold
from findings.faults.evidence import UnitEvidence
from findings.faults.models import Episode, Fault
from vessels.models import LogEntry

ONE_DAY = timedelta(days=1)


def episode_rows(fault: Fault, history: FaultHistory, evidence: UnitEvidence, hold: Hold) -> list[Episode]:
    """The rows of a fault's episodes, in order."""
    rows: list[Episode] = []
    turn = 0
    work = evidence.work.get(fault.pk, [])
    for index, episode in enumerate(history.episodes):
        closing = evidence.entries[_closing_key(episode, evidence)] if episode.closed_at else None
        opening = evidence.entries[episode.keys[0]].pk
        row = episode_row(
            fault, history, index, opening=opening, closing=closing, work=work, hold=hold,
            previous=rows[-1] if rows else None, turn=turn,
        )  # fmt: skip
        turn = row.turn or turn
        rows.append(row)
    return rows


def episode_row(
    fault: Fault,
    history: FaultHistory,
    index: int,
    *,
    opening: UUID,
    closing: LogEntry | None,
    work: Sequence[LogEntry],
    hold: Hold,
    previous: Episode | None,
    turn: int,
) -> Episode:
    """The row of one episode. ``turn`` is how often the fault was away before, ``work`` what was done since then."""
    episode = history.episodes[index]
    following = history.episodes[index + 1] if index + 1 < len(history.episodes) else None
    done = _work_of(work, episode, closing, following)
    outcome, hours, days = _outcome(history, episode, following)
    least, most = _between(history, outcome, hours, following)
    is_after_repair = previous is not None and previous.is_repair
    is_away = episode.closed_at is not None and outcome != "unfixed"
    return Episode(
        fault=fault,
        number=episode.number,
        opened_at=episode.opened_at,
        opened_hours=episode.opened_hours,
        opening_id=opening,
        closed_at=episode.closed_at,
        closed_hours=episode.closed_hours,
        closing=closing,
        gap_hours=episode.gap_hours,
        gap_days=episode.gap_days,
        work_id=done.pk if done else None,
        since_at=episode.since_at,
        since_hours=episode.since_hours,
        turn=turn + 1 if is_away else None,
        is_repair=is_away and done is not None,
        is_comeback=is_after_repair and _is_within(history, index, hold),
        may_be_comeback=is_after_repair and _may_be_within(history, index, hold),
        outcome=outcome,
        outcome_hours=hours,
        outcome_least_hours=least,
        outcome_most_hours=most,
        outcome_days=days,
    )


def _closing_key(episode: ReplayedEpisode, evidence: UnitEvidence) -> str:
    """The entry that ended an episode: the first of its keys at the time of its end that is not the opening."""
    ends = [key for key in episode.keys if evidence.entries[key].happened_at == episode.closed_at]
    kind = "clear" if episode.closed_by == "clear" else "scan"
    return next(key for key in ends if evidence.entries[key].kind == kind)


def _work_of(
    work: Sequence[LogEntry], episode: ReplayedEpisode, closing: LogEntry | None, following: ReplayedEpisode | None
) -> LogEntry | None:
    """The last work done about this episode: while it was open, or written down after the clear and before the next.

    What was done later on another job did not end it, nor what was done after a scan had found it gone with no clear:
    it was gone by then. After a clear it may be there still.
    """
    fitting = [
        entry
        for entry in work
        if entry.happened_at >= episode.opened_at
        and (following is None or entry.happened_at < following.opened_at)
        and (closing is None or entry.happened_at <= closing.happened_at or _is_written_after(entry, closing, episode))
    ]
    return max(fitting, key=lambda entry: (entry.happened_at, entry.position), default=None)


def _is_written_after(work: LogEntry, closing: LogEntry, episode: ReplayedEpisode) -> bool:
    """Whether work after a clear is part of what ended an episode: of the same job; without a job, of that day."""
    if episode.closed_by != "clear":
        return False
    if work.job_id is not None or closing.job_id is not None:
        return work.job_id == closing.job_id
    return work.happened_at - closing.happened_at <= ONE_DAY


def _is_within(history: FaultHistory, index: int, hold: Hold) -> bool:
    """Whether an episode is a return, and it surely came back within the hold.

    Hours decide where they are known or bounded, days where they are not (decision 0209).
    """
    before, episode = history.episodes[index - 1], history.episodes[index]
    gap = before.away_until(episode.opened_at, episode.opened_hours)
    if episode.not_fixed_yet or gap is None or hold.is_reached(gap):
        return False
    return episode.gap_run_hours is None or episode.gap_run_hours < hold.hours


def _may_be_within(history: FaultHistory, index: int, hold: Hold) -> bool:
    """Whether an episode is a return of which no scan says whether it came back within the hold, or later.

    It came back somewhere between the last complete scan without it and the one that saw it.
    """
    before, episode = history.episodes[index - 1], history.episodes[index]
    if episode.not_fixed_yet or before.since_at is None or _is_within(history, index, hold):
        return False
    if episode.gap_hours is not None or episode.gap_run_hours is not None:
        return (episode.gap_least_hours or Decimal(0)) < hold.hours
    return (episode.gap_least_days or 0) < hold.days


def _outcome(
    history: FaultHistory, episode: ReplayedEpisode, following: ReplayedEpisode | None
) -> tuple[str, Decimal | None, int | None]:
    """What came of the end of an episode, and after how many hours and days that is known."""
    if episode.closed_at is None:
        return "open", None, None
    if following is not None:
        return ("unfixed" if following.not_fixed_yet else "returned"), following.gap_hours, following.gap_days
    away = history.away
    if away is None:
        return "unproven", None, None
    if history.held:
        return "held", away.hours, away.days
    is_holding = history.state is FaultState.CLEARED or episode.after_work
    return ("holding" if is_holding else "gone"), away.hours, away.days


def _between(
    history: FaultHistory, outcome: str, hours: Decimal | None, following: ReplayedEpisode | None
) -> tuple[Decimal | None, Decimal | None]:
    """The least and the most hours away that are behind an outcome at so many hours."""
    if hours is None or outcome == "unfixed":
        return None, None
    if following is not None:
        return following.gap_least_hours, following.gap_most_hours
    return hours, history.away_most_hours
