"""What is said of a fault's returns: the short answer, what it rests on, and why there is none."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.recurrence.away import Away
from engineering.recurrence.events import EventRecord
from engineering.recurrence.rates import RateComparison, poisson_rate
from engineering.recurrence.seeable import seeable_trend
from engineering.recurrence.strength import Strength, chance_words
from engineering.recurrence.trend_answer import Direction
from engineering.recurrence.wording import hours as hours_words
from engineering.recurrence.wording import times

SAYS_NOTHING_H = 20.0
"""Below this many hours without a return no bound of its rate is of use: 95% sure is only less than one in 5 h or more.
Common practice, no source."""


def since_words(since: RateComparison) -> str:
    """How likely so long a time without it is, had it gone on as before."""
    chance = since.p_value / 2
    return (
        f"Away for {hours_words(since.second.hours)} since: had it gone on as before, it would have stayed away "
        f"so long by chance {chance_words(chance)} times."
    )


def short_answer(
    away: Away,
    observed_h: float,
    found: tuple[Strength, Direction] | None,
    since: RateComparison | None,
    usable: int,
    *,
    as_seen: bool,
) -> str:
    """The short answer; ``found`` is None where there are too few returns for a trend."""
    back = f"It has come back {times(away.returns)} in {_without_it(away, observed_h)} without it"
    strength, direction = found or (Strength.NONE, Direction.STEADY)
    if found is None:
        answer = f"Not enough data to say whether it is coming back more often. {back}."
    elif as_seen:
        answer = (
            f"{strength.value.capitalize()} that it is seen back {direction}. {back}. Whether it comes back "
            f"{direction} or was only looked at {direction} is not known: each time it came back somewhere between two "
            "scans."
        )
    elif strength.says_something:
        answer = f"{strength.value.capitalize()} that it is coming back {direction}. {back}."
    elif strength is Strength.WEAK:
        answer = f"Not proven either way; only a weak hint of a trend. {back}."
    elif away.is_narrow:
        answer = f"No trend is seen. {back}. {seeable_trend(usable).sentence}"
    else:
        answer = (
            f"No trend is seen. {back}. Each time it came back somewhere between two scans, so that even a large trend "
            "is easily missed."
        )
    if since is not None and since.p_value / 2 <= 0.05:
        answer += (
            f" It has now been away for {hours_words(since.second.hours)}, longer than chance would explain had "
            "it gone on as before: something has changed."
        )
    elif since is not None and since.second.hours > max(away.gaps_h):
        answer += (
            f" It has now been away for {hours_words(since.second.hours)}, longer than ever before; "
            "that alone is no proof."
        )
    return answer


def _without_it(away: Away, observed_h: float) -> str:
    """How long it was away: from what scans prove to the longest that they allow."""
    if not away.is_between:
        return hours_words(observed_h)
    seen = sum(away.gaps_h)
    least, most = (max(0.0, observed_h - seen + sum(gaps)) for gaps in (away.least, away.most))
    return f"{hours_words(least)} to {hours_words(most)}" if least else f"at most {hours_words(most)}"


def cautions(away: Away) -> list[str]:
    """What the figures leave open."""
    said = []
    if away.is_between:
        said.append(
            "Each return is counted at the scan that saw it; it came back after the last complete scan without it, "
            "and no later."
        )
    if not away.longest_possible:
        return said
    some = "One return was" if away.longest_possible == 1 else f"{away.longest_possible} returns were"
    return [*said, f"{some} first seen as a stored code: it may have come back sooner than is counted."]


_UNREAD = {
    "back": "the scan that saw it back",
    "gone": "the scan that found it gone",
    "clear": "the clear before",
    "work": "the work before",
}
_NOTED_WITH = {"back": "scan", "gone": "scan", "clear": "clear", "work": "entry of work"}


def _unknown_words(some: str, unread: Sequence[str]) -> str:
    """Of which returns the hours are not known, why not, and what would tell them."""
    if set(unread) <= {"back"}:
        return f"the engine's hours at {some} are not known. Note the hour meter with every scan."
    said = f"after how many hours {some} came is not known."
    noted = [one for one in _UNREAD if one in unread]
    if noted:
        lacking = " or ".join(_UNREAD[one] for one in noted)
        kinds = " and every ".join(dict.fromkeys(_NOTED_WITH[one] for one in noted))
        said += f" No hours are noted with {lacking}: note the hour meter with every {kinds}."
    if "backward" in unread:
        said += " Hours on record run backward there: check them in the log."
    return said


def why_nothing(away: Away, record: EventRecord | None) -> str:
    """Why nothing is said of a trend, with what can be said."""
    if away.unknown_gaps:
        some = "one return" if away.unknown_gaps == 1 else f"{away.unknown_gaps} returns"
        return f"Not enough data to say whether it is coming back more often: {_unknown_words(some, away.unread)}"
    if away.gaps_h:
        return "Not enough data: it came back with no hours run in between, by the readings on record."
    if record is not None:
        since = "It has not come back"
        if away.back_on_the_job:
            since = "It was back on the job that was to fix it, which is no return, and has not come back since"
        if record.observed_h < SAYS_NOTHING_H:
            return f"{since}. {hours_words(record.observed_h)} without it are too few to say how often it may."
        return (
            f"{since}. {poisson_rate(0, record.observed_h).sentence} "
            "Whether it comes more often cannot be told from one appearance."
        )
    if away.back_on_the_job:
        return (
            "Not enough data: it was back on the job that was to fix it, which is no return, and no complete scan has "
            "shown it away for any known hours since."
        )
    return "Not enough data: no complete scan has shown it away for any known hours since it came up."
