"""Is one fault coming back more often? The clock is the engine's hours while the fault was away.

A fault that is there cannot come back, so hours with it do not count. The clock starts as its first episode ends; each
return is an event; it stops at the last complete scan without it, or at its last return. What nobody scanned does not
count either.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from engineering.faults import FaultHistory
from engineering.recurrence.events import (
    AT_ZERO_H,
    ONE_OCCASION_H,
    EventRecord,
    first_of_each,
    occasion_words,
)
from engineering.recurrence.power_law import PowerLaw, fit_power_law
from engineering.recurrence.problem import NotEnough, RecurrenceProblem, refuse_unless_finite
from engineering.recurrence.rates import Rate, RateComparison, compare_rates, poisson_rate
from engineering.recurrence.strength import Strength, chance_words
from engineering.recurrence.trend_tests import (
    Direction,
    TrendTest,
    laplace_test,
    military_handbook_test,
    reverse_arrangements_test,
    seeable_trend,
    weigh_together,
)
from engineering.recurrence.wording import hours as hours_words
from engineering.recurrence.wording import times

SAYS_NOTHING_H = 20.0
"""Below this many hours without a return no bound of its rate is of use: 95% sure is only less than one in 5 h or more.
Common practice, no source."""


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


@dataclass(frozen=True, slots=True)
class ComingBack:
    """The answer for one fault. ``sentence`` is the short answer, ``details`` what it rests on, one sentence each."""

    sentence: str
    details: tuple[str, ...]
    strength: Strength
    direction: Direction
    rate: Rate | None = None
    laplace: TrendTest | None = None
    military: TrendTest | None = None
    power_law: PowerLaw | None = None
    since_last: RateComparison | None = None
    as_seen: bool = False
    """The evidence is of when it was seen back only: between the scans it may have come back otherwise."""


def away_of(history: FaultHistory) -> Away:
    """The times away that a fault's replayed history tells of.

    Where it was back on the job that had ended it, it was not fixed yet: that is no return, and those hours are none
    without the fault.
    """
    returns = [episode for episode in history.episodes[1:] if not episode.not_fixed_yet]
    known = [
        (float(episode.gap_least_hours or 0), float(episode.gap_hours), float(episode.gap_most_hours or 0))
        for episode in returns
        if episode.gap_hours is not None
    ]
    now: float | None = None
    if history.episodes and not history.is_open:
        now = float(history.away.hours) if history.away and history.away.hours is not None else 0.0
    return Away(
        tuple(seen for _, seen, _ in known),
        now,
        unknown_gaps=len(returns) - len(known),
        longest_possible=sum(episode.beginning_unknown for episode in returns),
        least_h=tuple(least for least, _, _ in known),
        most_h=tuple(max(seen, most) for _, seen, most in known),
        away_now_most_h=None if history.away_most_hours is None else float(history.away_most_hours),
        back_on_the_job=sum(episode.not_fixed_yet for episode in history.episodes),
    )


def coming_back(away: Away) -> ComingBack | NotEnough:
    """Whether a fault comes back more often, by two tests on the hours away, and the time since the last.

    MIL-HDBK-189 is asked, and Laplace; where the record ends with a return, which those two cannot use, the test of
    reverse arrangements instead of Laplace's, as it uses every time away. Where neither says anything, the answer tells
    what size of trend could have been seen.

    A return lies somewhere between the last complete scan without the fault and the scan that saw it back. Evidence is
    only said of the fault where it stands for all that the scans allow; else of when it was *seen* back. The law of how
    fast it changes, and what could have been seen, are told only where every time away is known to a tenth.

    Since the last return: with n returns in T hours away, a steady fault stays away for the last part of T, from t on,
    by chance (t/T)ⁿ; that is the exact comparison of the rate before with none since. Had it come
    back sooner than it was seen, the chance would be smaller.
    Never away, no hours, or never back: :class:`NotEnough`, with what can be said.

    Raises:
        RecurrenceProblem: hours that are negative or not finite.
    """
    record = away.record()
    if record is None or not away.gaps_h:
        return NotEnough(_why_nothing(away, record))
    now = away.away_now_h or 0.0
    rate = poisson_rate(
        len(record.event_hours),
        record.observed_h,
        ends_with_event=record.ends_with_event,
        hours_least=sum(away.least) + now,
        hours_most=sum(away.most) + (away.away_now_most_h or now),
        occasions=len(record.occasions),
    )
    laplace, military, fit = laplace_test([record]), military_handbook_test([record]), fit_power_law([record])
    since = _since_last(record)
    details = [rate.sentence]
    strength, direction, as_seen = Strength.NONE, Direction.STEADY, False
    if isinstance(laplace, TrendTest) and isinstance(military, TrendTest):
        ordered, (strength, leans) = _weighed(record, laplace, military)
        details += [f"Laplace test: {laplace.chance_sentence}", f"MIL-HDBK-189 test: {military.chance_sentence}"]
        if isinstance(ordered, TrendTest) and ordered is not laplace:
            details.append(f"Reverse arrangements, with the return that ends the record: {ordered.chance_sentence}")
        direction = leans if strength.says_something else Direction.STEADY
        as_seen = strength.says_something and not all(_agrees(one, direction) for one in away.between())
    elif isinstance(laplace, NotEnough):
        details.append(laplace.sentence)
    if isinstance(fit, PowerLaw) and away.is_narrow:
        details.append(f"Power law: {fit.now_sentence}")
    if since is not None:
        details.append(_since_words(since))
    details += _cautions(away)
    if len(record.occasions) < len(record.usable):
        details.append(
            f"Returns less than {ONE_OCCASION_H:g} h of running apart count as one occasion: "
            f"{len(record.usable)} came on {occasion_words(len(record.occasions))}."
        )
    return ComingBack(
        _answer(
            away,
            record.observed_h,
            None if isinstance(laplace, NotEnough) else (strength, direction),
            since,
            len(record.occasions),
            as_seen=as_seen,
        ),
        tuple(details),
        strength,
        direction,
        rate=rate,
        laplace=laplace if isinstance(laplace, TrendTest) else None,
        military=military if isinstance(military, TrendTest) else None,
        power_law=fit if isinstance(fit, PowerLaw) and away.is_narrow else None,
        since_last=since,
        as_seen=as_seen,
    )


def _weighed(
    record: EventRecord, laplace: TrendTest, military: TrendTest
) -> tuple[TrendTest | NotEnough, tuple[Strength, Direction]]:
    """The test beside MIL-HDBK-189, and what the two say together."""
    ordered = reverse_arrangements_test(record) if record.ends_with_event else laplace
    return ordered, weigh_together(ordered if isinstance(ordered, TrendTest) else laplace, military)


def _agrees(record: EventRecord, direction: Direction) -> bool:
    """Whether a record of returns that the scans allow says the same."""
    laplace, military = laplace_test([record]), military_handbook_test([record])
    if isinstance(laplace, NotEnough) or isinstance(military, NotEnough):
        return False
    strength, leans = _weighed(record, laplace, military)[1]
    return strength.says_something and leans is direction


def _since_last(record: EventRecord) -> RateComparison | None:
    """The rate up to the last return against none since; None where it came back last."""
    last = record.event_hours[-1]
    if record.ends_with_event or last <= 0 or last >= record.observed_h:
        return None
    compared = compare_rates(len(first_of_each(record.event_hours)), last, 0, record.observed_h - last)
    return compared if isinstance(compared, RateComparison) else None


def _since_words(since: RateComparison) -> str:
    chance = since.p_value / 2
    return (
        f"Away for {hours_words(since.second.hours)} since: had it gone on as before, it would have stayed away "
        f"so long by chance {chance_words(chance)} times."
    )


def _answer(
    away: Away,
    observed_h: float,
    found: tuple[Strength, Direction] | None,
    since: RateComparison | None,
    usable: int,
    *,
    as_seen: bool,
) -> str:
    """The short answer; ``found`` is None where there are too few returns for a trend."""
    back = f"It has come back {times(away.returns)} in {hours_words(observed_h)} without it"
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


def _cautions(away: Away) -> list[str]:
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


def _why_nothing(away: Away, record: EventRecord | None) -> str:
    if away.unknown_gaps:
        some = "one return" if away.unknown_gaps == 1 else f"{away.unknown_gaps} returns"
        return (
            f"Not enough data to say whether it is coming back more often: the engine's hours at {some} are not known. "
            "Note the hour meter with every scan."
        )
    if away.gaps_h:
        return (
            "Not enough data: it came back at the same hours at which it was cleared, so the clears repaired nothing."
        )
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
    return "Not enough data: no complete scan has shown it away for any hours since it came up."
