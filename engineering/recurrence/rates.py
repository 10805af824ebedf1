"""How often: rates of events with exact bounds, two rates against each other, and mean times between events."""

from __future__ import annotations

import math
from dataclasses import dataclass

from engineering.recurrence.distributions import beta_quantile, binomial_at_least, chi_square_quantile
from engineering.recurrence.problem import NotEnough, RecurrenceProblem, refuse_unless_confidence, refuse_unless_finite
from engineering.recurrence.strength import Strength, chance_words, strength_of
from engineering.recurrence.wording import figure, sureness, times
from engineering.recurrence.wording import hours as hours_words

_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Rate:
    """Events per hour, with exact bounds at the confidence. Nothing seen: the rate is 0, not its bound."""

    events: int
    hours: float
    per_hour: float
    low_per_hour: float
    high_per_hour: float
    confidence: float
    hours_least: float | None = None
    """The part of the hours that is proven, where the rest is not; the upper bound is then infinite without any."""
    hours_most: float | None = None
    """The most that the hours can have been; None where they cannot have been more."""

    @property
    def sentence(self) -> str:
        """The rate for a person, per 100 hours."""
        low, high = figure(100 * self.low_per_hour, 2), figure(100 * self.high_per_hour, 2)
        often = f"{times(self.events).capitalize()} in {hours_words(self.hours)}"
        if self.events and self.hours_most is not None:
            often = (
                f"{times(self.events).capitalize()} in at most {hours_words(self.hours_most)}, counted as "
                f"{hours_words(self.hours)}"
            )
        sure = f"({sureness(self.confidence)} sure)"
        if not self.events:
            return f"{often}: in the long run at most {high} per 100 h ({sureness(self.confidence)} sure, two-sided)."
        rate = figure(100 * self.per_hour, 2)
        if self.hours_least is not None:
            often += f", {hours_words(self.hours_least)} of them proven" if self.hours_least else ""
            bounds = f"at least {low}" if math.isinf(self.high_per_hour) else f"anything from {low} to {high}"
            return f"{often}: seen {rate} per 100 h, in the long run {bounds} {sure}."
        return f"{often}: {rate} per 100 h, in the long run anything from {low} to {high} {sure}."


def poisson_rate(
    events: int,
    hours: float,
    *,
    confidence: float = 0.95,
    ends_with_event: bool = False,
    hours_least: float | None = None,
    hours_most: float | None = None,
    occasions: int | None = None,
) -> Rate:
    """A rate of events (a count) over hours of exposure, per hour, with its exact two-sided bounds.

    Bounds of the count: χ²(α/2; 2k)/2 to χ²(1−α/2; 2k+2)/2. They hold where events do not provoke each other. Where the
    hours end because of the last event, the lower bound is that of one event less: watching that ends so makes the rate
    look too high. Where the hours are only known to lie between two figures, ``hours_least`` and ``hours_most``, the
    lower bound is that of the most and the upper that of the least. Events that came on fewer ``occasions`` than there
    are of them have the lower bound of the occasions.
    Source: Garwood, "Fiducial Limits for the Poisson Distribution", Biometrika 28 (1936).

    Raises:
        RecurrenceProblem: a negative count, hours not above zero, or a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    _refuse_counts(events, hours, "hours")
    alpha = 1 - confidence
    sure = min(events - 1 if ends_with_event else events, events if occasions is None else occasions)
    low = chi_square_quantile(alpha / 2, 2 * sure) / 2 if sure > 0 else 0.0
    high = chi_square_quantile(1 - alpha / 2, 2 * events + 2) / 2
    most = hours if hours_most is None else max(hours, hours_most)
    told_most = most if most > hours + _ROUNDING else None
    if hours_least is None or hours_least >= hours:
        return Rate(events, hours, events / hours, low / most, high / hours, confidence, hours_most=told_most)
    highest = high / hours_least if hours_least > 0 else math.inf
    return Rate(events, hours, events / hours, low / most, highest, confidence, hours_least, told_most)


def _refuse_counts(events: int, hours: float, field: str) -> None:
    if events < 0:
        raise RecurrenceProblem("A number of events cannot be negative.", field="events")
    refuse_unless_finite(hours, "The hours", field=field, above=0)


@dataclass(frozen=True, slots=True)
class RateComparison:
    """The second rate against the first. ``ratio`` (no unit) is second ÷ first; infinite where the first is nothing."""

    first: Rate
    second: Rate
    ratio: float
    ratio_low: float
    ratio_high: float
    p_value: float
    confidence: float

    @property
    def strength(self) -> Strength:
        """What the two-sided p-value is worth."""
        return strength_of(self.p_value)

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        chance = f"a difference like this comes by chance {chance_words(self.p_value)} times"
        if self.strength is Strength.NONE:
            return f"No evidence that the two differ: {chance}."
        less = self.second.per_hour < self.first.per_hour
        kind = self.strength.value.capitalize()
        return f"{kind} that the second is {'less' if less else 'more'} often: {chance}."


def compare_rates(
    first_events: int, first_hours: float, second_events: int, second_hours: float, *, confidence: float = 0.95
) -> RateComparison | NotEnough:
    """Two rates, exactly: given all events, each falls to the second with the chance T2/(T1+T2) if the rates are equal.

    The p-value is twice the smaller tail of that binomial; the bounds of the ratio are Clopper and Pearson's. No event
    in either: :class:`NotEnough`.
    Source: Przyborowski and Wilenski, "Homogeneity of Results in Testing Samples from Poisson Series", Biometrika 31
    (1940), from memory; Clopper and Pearson, Biometrika 26 (1934), from memory.

    Raises:
        RecurrenceProblem: as :func:`poisson_rate`.
    """
    first = poisson_rate(first_events, first_hours, confidence=confidence)
    second = poisson_rate(second_events, second_hours, confidence=confidence)
    total = first_events + second_events
    if not total:
        return NotEnough("Not enough data to compare: nothing happened in either time.")
    chance = second_hours / (first_hours + second_hours)
    at_least = binomial_at_least(second_events, total, chance)
    at_most = binomial_at_least(first_events, total, 1 - chance)
    alpha = 1 - confidence
    low = beta_quantile(alpha / 2, second_events, first_events + 1) if second_events else 0.0
    high = beta_quantile(1 - alpha / 2, second_events + 1, first_events) if first_events else 1.0
    hours = first_hours / second_hours
    return RateComparison(
        first,
        second,
        ratio=second.per_hour / first.per_hour if first_events else math.inf,
        ratio_low=low / (1 - low) * hours,
        ratio_high=high / (1 - high) * hours if first_events else math.inf,
        p_value=min(1.0, 2 * min(at_least, at_most)),
        confidence=confidence,
    )


@dataclass(frozen=True, slots=True)
class MeanTime:
    """Mean time between events in hours, at a steady rate. None: no such bound, or no event for a mean."""

    events: int
    hours: float
    mean_h: float | None
    low_h: float
    high_h: float | None
    confidence: float

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        sure = f"({sureness(self.confidence)} sure)"
        if self.mean_h is None:
            return (
                f"Nothing in {hours_words(self.hours)}. If it comes at a steady rate at all, it is less often than "
                f"once in {hours_words(self.low_h, 3)} ({sureness(self.confidence)} sure, one-sided)."
            )
        upper = f" to {hours_words(self.high_h, 3)}" if self.high_h is not None else " h or more"
        bounds = f"{figure(self.low_h)}{upper}"
        return f"Once in {hours_words(self.mean_h, 3)} on average; in the long run once in {bounds} {sure}."


def mean_time_between(
    events: int, hours: float, *, confidence: float = 0.95, ends_with_event: bool = False
) -> MeanTime:
    """Mean time between events, in hours, with two-sided chi-square bounds; without events only the lower bound.

    2T/χ²(1−α/2; 2r+2) to 2T/χ²(α/2; 2r); where the last event ended the observation, 2r instead of 2r+2.
    Source: NIST/SEMATECH e-Handbook 8.4.5.1.

    Raises:
        RecurrenceProblem: a negative count, hours not above zero, or a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    _refuse_counts(events, hours, "hours")
    if not events:
        return MeanTime(0, hours, None, zero_event_bound(hours, confidence=confidence), None, confidence)
    alpha = 1 - confidence
    degrees = 2 * events if ends_with_event else 2 * events + 2
    return MeanTime(
        events,
        hours,
        mean_h=hours / events,
        low_h=2 * hours / chi_square_quantile(1 - alpha / 2, degrees),
        high_h=2 * hours / chi_square_quantile(alpha / 2, 2 * events),
        confidence=confidence,
    )


def zero_event_bound(hours: float, *, confidence: float = 0.95) -> float:
    """The mean time between events, in hours, that a time without any proves at least: T / (−ln α), one-sided.

    Source: NIST/SEMATECH e-Handbook 8.4.5.1.

    Raises:
        RecurrenceProblem: hours not above zero, or a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    refuse_unless_finite(hours, "The hours", field="hours", above=0)
    return hours / -math.log(1 - confidence)
