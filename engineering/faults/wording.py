"""A fault's history in one sentence."""

from datetime import datetime, timedelta, tzinfo
from decimal import Decimal

from engineering.days import days_words
from engineering.faults.evidence import FaultHistory, FaultState, Length
from engineering.hours import hours_words

ONE_DAY = timedelta(days=1)
WITHIN_A_DAY = "less than a day"
"""A length within one day of the calendar, of which no hours are known: "0 days" would be no time at all."""
NO_CLEAR = "with no clear on record in between"
"""Between the last sighting and the scan that did not list it: an earlier episode may have ended with a clear."""


def explain_state(history: FaultHistory, zone: tzinfo | None = None) -> str:
    """One sentence on where the fault stands and why; a second one where the unit keeps a permanent copy.

    Dates appear only where hours are unknown or run backward: those of ``zone``, or of the zone that the evidence came
    in.
    """
    history = history.in_zone(zone) if zone is not None else history
    sentence = _WORDINGS[history.state](history) + _cleared_again(history)
    if history.permanent_copy:
        sentence += " The unit keeps a permanent copy, which no instrument can clear."
    return sentence


def _cleared_again(history: FaultHistory) -> str:
    """That a clear after its end may have hidden a return; of an open fault, such a clear before it was back."""
    ended = history.episodes[-2:-1] if history.is_open else history.episodes[-1:]
    again = next((one for one in ended if one.again_at is not None), None)
    if again is None:
        return ""
    word = "cleared again" if again.closed_by == "clear" else "cleared"
    place = _place(again.again_at, again.again_hours)
    if history.is_open:
        return f" In between it was {word} {place}."
    return f" It was {word} {place}, and no scan before that shows whether it had come back by then."


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
    if history.away is None:
        cleared = _place(history.cleared_at, history.cleared_hours)
        return f"Cleared {cleared}; no complete scan has shown it away since, so nothing is proven yet."
    cleared, proven = _places(
        (history.cleared_at, history.cleared_hours), (history.proven_to_at, history.proven_to_hours)
    )
    return f"Cleared {cleared} and absent {proven}{_holding(history.away)}."


def _returned(history: FaultHistory) -> str:
    episode = history.episodes[-1]
    before = history.episodes[-2]
    ended = "it was cleared" if before.closed_by == "clear" else "it was found gone"
    if before.after_work:
        ended = "the work on it"
    days = days_words(episode.gap_days) if episode.gap_days else "the same day"
    if episode.gap_days == 1 and before.since_at is not None and episode.opened_at - before.since_at < ONE_DAY:
        days = "the next day"
    gap = days if episode.gap_hours is None else f"{hours_words(episode.gap_hours)} ({days})"
    times = {0: "", 1: "; it has returned once"}.get(history.returns, f"; it has returned {history.returns} times")
    if episode.not_fixed_yet:
        last = _place(history.last_seen_at, history.last_seen_hours)
        still = f", and still there {last}" if episode.sightings > 1 else ""
        return f"Not fixed yet · {history.status_now}: seen again {gap} after {ended}, on the same job{still}{times}."
    return f"Returned · {history.status_now}: seen again {gap} after {ended}{times}."


def _historic(history: FaultHistory) -> str:
    episode = history.episodes[-1]
    since = _place(episode.since_at, episode.since_hours)
    away = length_words(history.away) if history.away is not None else ""
    if history.held:
        did = "worked on" if episode.after_work else "cleared"
        unlogged = f", {NO_CLEAR}" if episode.after_work else ""
        return f"Historic: {did} {since} and held, absent {away} later{unlogged}."
    if episode.after_work:
        since, proven = _places(
            (episode.since_at, episode.since_hours), (history.proven_to_at, history.proven_to_hours)
        )
        return f"Historic: worked on {since} and absent {proven}, {NO_CLEAR}{_holding(history.away)}."
    last, gone, proven = _places(
        (history.last_seen_at, history.last_seen_hours),
        (episode.closed_at, episode.closed_hours),
        (history.proven_to_at, history.proven_to_hours),
    )
    still = f", still absent {proven}" if history.proven_to_at != episode.closed_at else ""
    return f"Historic: last seen {last} and gone {gone}, {NO_CLEAR}{still}."


def _holding(away: Length | None) -> str:
    """How long it has held so far; a scan at the same hours proves nothing."""
    if away is None:
        return ""
    if 0 in (away.hours, away.most):
        return ": no hours run in between, so nothing is proven yet"
    most = f", in which the engine ran for {hours_words(away.most)} at most" if away.most is not None else ""
    return f": holding for {length_words(away)}{most}"


def _place(at: datetime | None, hours: Decimal | None) -> str:
    if hours is not None:
        return f"at {hours_words(hours)}"
    return f"on {at:%b} {at.day}, {at.year}" if at else "at an unknown time"


def _places(*places: tuple[datetime | None, Decimal | None]) -> list[str]:
    """Several places in time, in their order: by engine hours where they are known and do not run backward."""
    hours = [known for _, known in places if known is not None]
    by_hours = hours == sorted(hours)
    return [_place(at, known if by_hours else None) for at, known in places]


def length_words(length: Length) -> str:
    """A length in engine hours; in days where the hours are unknown."""
    if length.hours is not None:
        return hours_words(length.hours)
    return days_words(length.days) if length.days else WITHIN_A_DAY


_WORDINGS = {
    FaultState.NONE: _never_seen,
    FaultState.ACTIVE: _open,
    FaultState.STORED: _open,
    FaultState.CLEARED: _cleared,
    FaultState.RETURNED: _returned,
    FaultState.NOT_FIXED_YET: _returned,
    FaultState.HISTORIC: _historic,
}
