"""Is one fault coming back more often? The clock is the engine's hours while the fault was away (``away``)."""

from __future__ import annotations

from dataclasses import dataclass

from engineering.recurrence.away import Away
from engineering.recurrence.events import ONE_OCCASION_H, EventRecord, first_of_each, occasion_words
from engineering.recurrence.of_fault_words import cautions, short_answer, since_words, why_nothing
from engineering.recurrence.power_law import PowerLaw, fit_power_law
from engineering.recurrence.problem import NotEnough
from engineering.recurrence.rates import Rate, RateComparison, compare_rates, poisson_rate
from engineering.recurrence.reverse_arrangements import reverse_arrangements_test
from engineering.recurrence.strength import Strength
from engineering.recurrence.trend_answer import Direction, TrendTest
from engineering.recurrence.trend_tests import laplace_test, military_handbook_test, weigh_together


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
        return NotEnough(why_nothing(away, record))
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
        details.append(since_words(since))
    details += cautions(away)
    if len(record.occasions) < len(record.usable):
        details.append(
            f"Returns less than {ONE_OCCASION_H:g} h of running apart count as one occasion: "
            f"{len(record.usable)} came on {occasion_words(len(record.occasions))}."
        )
    return ComingBack(
        short_answer(
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
