"""A fault's history in one sentence."""

from datetime import datetime, timedelta
from decimal import Decimal

from engineering.faults.evidence import FaultHistory, FaultState
from engineering.hours import hours_words


def explain_state(history: FaultHistory) -> str:
    """One sentence on where the fault stands and why; a second one where the unit keeps a permanent copy.

    Dates appear only where hours are unknown, in the zone that the evidence came in.
    """
    sentence = _WORDINGS[history.state](history)
    if history.permanent_copy:
        sentence += " The unit keeps a permanent copy, which no instrument can clear."
    return sentence


def _never_seen(history: FaultHistory) -> str:
    return "Never seen." if not history.unused_keys else "Never seen in the scans so far."


def _open(history: FaultHistory) -> str:
    episode = history.episodes[-1]
    since = _place(episode.opened_at, episode.opened_hours)
    last = _place(history.last_seen_at, history.last_seen_hours)
    seen = f"seen once, {since}" if episode.sightings == 1 else f"first seen {since}, last {last}"
    beginning = ", so it began at some time before" if episode.beginning_unknown else ""
    intermittent = "; it comes and goes" if episode.status_changes > 1 else ""
    return f"{str(history.status_now).capitalize()}: {seen}{beginning}{intermittent}."


def _cleared(history: FaultHistory) -> str:
    cleared = _place(history.cleared_at, history.cleared_hours)
    if history.proven_to_at is None or history.cleared_at is None or history.proven_to_at < history.cleared_at:
        return f"Cleared {cleared}; no complete scan since, so nothing is proven yet."
    proven = _place(history.proven_to_at, history.proven_to_hours)
    since = _length(history.cleared_at, history.cleared_hours, history.proven_to_at, history.proven_to_hours)
    return f"Cleared {cleared} and absent {proven}: holding for {since}."


def _returned(history: FaultHistory) -> str:
    episode = history.episodes[-1]
    before = history.episodes[-2]
    ended = "it was cleared" if before.closed_by == "clear" else "it was last found absent"
    days = f"{episode.gap_days} day{'' if episode.gap_days == 1 else 's'}"
    gap = days if episode.gap_hours is None else f"{hours_words(episode.gap_hours)} ({days})"
    times = "once" if history.returns == 1 else f"{history.returns} times"
    return f"Returned · {history.status_now}: back {gap} after {ended}; it has returned {times}."


def _historic(history: FaultHistory) -> str:
    proven = _place(history.proven_to_at, history.proven_to_hours)
    if history.held and history.cleared_at is not None and history.proven_to_at is not None:
        since = _length(history.cleared_at, history.cleared_hours, history.proven_to_at, history.proven_to_hours)
        return f"Historic: cleared {_place(history.cleared_at, history.cleared_hours)} and held, absent {since} later."
    return f"Historic: gone {proven} with no clear of ours."


def _place(at: datetime | None, hours: Decimal | None) -> str:
    if hours is not None:
        return f"at {hours_words(hours)}"
    return f"on {at:%Y-%m-%d}" if at else "at an unknown time"


def _length(start: datetime, start_hours: Decimal | None, end: datetime, end_hours: Decimal | None) -> str:
    if start_hours is not None and end_hours is not None and end_hours >= start_hours:
        return hours_words(end_hours - start_hours)
    days = (end - start) // timedelta(days=1)
    return f"{days} day{'' if days == 1 else 's'}"


_WORDINGS = {
    FaultState.NONE: _never_seen,
    FaultState.ACTIVE: _open,
    FaultState.STORED: _open,
    FaultState.CLEARED: _cleared,
    FaultState.RETURNED: _returned,
    FaultState.HISTORIC: _historic,
}
