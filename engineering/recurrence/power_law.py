"""The power law (Crow-AMSAA) of a repairable system: is the time between events growing or shrinking, and how fast."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.recurrence.distributions import chi_square_quantile, gamma_product_quantile, normal_quantile
from engineering.recurrence.events import EventRecord, too_thin_for_a_trend
from engineering.recurrence.hull_squares import over_hulls
from engineering.recurrence.problem import NotEnough, refuse_unless_confidence
from engineering.recurrence.trend_tests import log_ratios
from engineering.recurrence.wording import figure, hours


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """E[N(t)] = scale · t^shape for each record, t in hours. Shape above 1: events come more often.

    ``shape_low`` and ``shape_high`` are exact bounds. ``mtbf_now_h`` is the mean time between events of one system as
    the observation ends; its bounds are exact for a record that ends with an event, else a little too wide.
    """

    shape: float
    scale: float
    shape_unbiased: float
    shape_low: float
    shape_high: float
    mtbf_now_h: float
    mtbf_now_low_h: float
    mtbf_now_high_h: float
    mtbf_overall_h: float
    events: int
    confidence: float

    @property
    def shape_sentence(self) -> str:
        """What the shape alone says, as for records of different length."""
        way = (
            "more often"
            if self.shape_low > 1
            else "less often"
            if self.shape_high < 1
            else "neither, as far as is known"
        )
        bounds = f"{figure(self.shape_low, 2)} to {figure(self.shape_high, 2)}, {self.confidence:.0%} sure"
        return f"Shape {figure(self.shape, 2)} ({bounds}; above 1 is more often, below 1 less often): {way}."

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        sure = f"{self.confidence:.0%}"
        if self.shape_low > 1:
            said = f"the time between events is getting shorter ({sure} sure)"
        elif self.shape_high < 1:
            said = f"the time between events is getting longer ({sure} sure)"
        else:
            said = f"it may be getting longer or shorter: the record does not settle it at {sure}"
        return f"From {self.events} events, {said}. {self.now_sentence}"

    @property
    def now_sentence(self) -> str:
        """How often one comes now, without a verdict whether that is more often than before."""
        return (
            f"One comes about every {hours(self.mtbf_now_h, 2)} now, "
            f"perhaps every {figure(self.mtbf_now_low_h, 2)} to {hours(self.mtbf_now_high_h, 2)}."
        )


def fit_power_law(records: Sequence[EventRecord], *, confidence: float = 0.95) -> PowerLaw | NotEnough:
    """Fit a power law to one record, or a common shape to many (each with its own window).

    β̂ = r / Σ ln(T/tᵢ) by maximum likelihood, λ̂ = r / Σ T^β̂ (for k windows of one length, r / (k·T^β̂)); unbiased
    β = (r−1)/Σ… time-truncated, (r−2)/r · β̂ failure-truncated. β's bounds by χ² with 2r (2(r−1)) degrees of freedom;
    the mean time now is T·k/(rβ̂). Its bounds: the rate now is r·β̂/(T·k) times VW/r², where V is gamma distributed with
    as many as β has, and W with r events (r + 1 for the upper bound, where the record goes on after its last event);
    beyond 60 events within a factor of exp(z√(2/r)).
    Where records have hulls, those of one hull may hang together: the bounds of β are then not inside
    exp(±t·√Σ(rᵢ/r − Σᵢ ln(T/t)/Σ ln(T/t))²·K/(K − 1)), Student's t as for the tests, and fewer than four hulls that
    count alike are :class:`NotEnough`.
    Where events lie less than an hour apart, the bounds reach as far as those of the record in which each occasion is
    one event (decision 0161). Fewer than four usable events: :class:`NotEnough`.
    Source: NIST/SEMATECH e-Handbook 8.4.5.2; MIL-HDBK-189 (1981).

    Raises:
        RecurrenceProblem: a confidence out of its range.
    """
    refuse_unless_confidence(confidence)
    thin = too_thin_for_a_trend(records)
    if thin is not None:
        return thin
    fit = _fitted(records, confidence)
    if isinstance(fit, NotEnough) or all(len(one.usable) == len(one.occasions) for one in records):
        return fit
    apart = _fitted([EventRecord(one.occasions, one.observed_h, hull=one.hull) for one in records], confidence)
    if isinstance(apart, NotEnough):
        return apart
    return replace(
        fit,
        shape_low=min(fit.shape_low, apart.shape_low),
        shape_high=max(fit.shape_high, apart.shape_high),
        mtbf_now_low_h=min(fit.mtbf_now_low_h, apart.mtbf_now_low_h),
        mtbf_now_high_h=max(fit.mtbf_now_high_h, apart.mtbf_now_high_h),
    )


def _fitted(records: Sequence[EventRecord], confidence: float) -> PowerLaw | NotEnough:
    events = sum(len(record.event_hours) for record in records)
    usable = sum(len(record.usable) for record in records)
    ratios = log_ratios(records)
    if ratios <= 0:
        return NotEnough("Not enough data for a trend: every event is at the very end of the record.")
    over = over_hulls(records, lambda one: (len(one.usable) / usable - log_ratios([one]) / ratios, len(one.usable)))
    if isinstance(over, NotEnough):
        return over
    shape = events / ratios
    alpha = 1 - confidence
    mean_window = sum(record.observed_h for record in records) / len(records)
    mtbf = mean_window * len(records) / (events * shape)
    shape_low = chi_square_quantile(alpha / 2, 2 * usable) / (2 * ratios)
    shape_high = chi_square_quantile(1 - alpha / 2, 2 * usable) / (2 * ratios)
    if over is not None:
        reach = over.reach(confidence)
        shape_low, shape_high = min(shape_low, shape / reach), max(shape_high, shape * reach)
    slowest, quickest = _rate_now_bounds(events, usable, alpha)
    return PowerLaw(
        shape=shape,
        scale=events / sum(record.observed_h**shape for record in records),
        shape_unbiased=(usable - 1) / ratios,
        shape_low=shape_low,
        shape_high=shape_high,
        mtbf_now_h=mtbf,
        mtbf_now_low_h=mtbf / quickest,
        mtbf_now_high_h=mtbf / slowest,
        mtbf_overall_h=mean_window * len(records) / events,
        events=events,
        confidence=confidence,
    )


MOST_EXACT = 60


def _rate_now_bounds(events: int, usable: int, alpha: float) -> tuple[float, float]:
    """The bounds of the rate now as factors of its estimate.

    The shape over its estimate and the mean count are independent, each a gamma value: their product is the rate now.
    Source: Crow, "Confidence Interval Procedures for the Weibull Process with Applications to Reliability Growth",
    Technometrics 24 (1982), from memory; worked here by the product of the two.
    """
    if events > MOST_EXACT:
        factor = math.exp(normal_quantile(1 - alpha / 2) * math.sqrt(2 / events))
        return 1 / factor, factor
    more = events + (usable == events)
    low = gamma_product_quantile(alpha / 2, usable, events) / events**2
    return low, gamma_product_quantile(1 - alpha / 2, usable, more) / events**2
