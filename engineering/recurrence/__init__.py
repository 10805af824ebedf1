"""Recurrence: is a fault coming back more often, how often at all, and how long do repairs hold.

Everything takes hours and answers with a sentence; where the record is too thin the answer is ``NotEnough``.
"""

from engineering.recurrence.away import Away, away_of
from engineering.recurrence.comparing import HoldingComparison, compare_holding
from engineering.recurrence.events import EventRecord, record_of
from engineering.recurrence.held import FEWEST_REPAIRS, FEWEST_RETURNS, Held, all_held_bound
from engineering.recurrence.holding import FEWEST_AT_RISK, HoldingCurve, HoldingPoint, holding_curve
from engineering.recurrence.hull_squares import HullSquares
from engineering.recurrence.mean_count import MeanCount, mean_cumulative_function
from engineering.recurrence.of_fault import ComingBack, coming_back
from engineering.recurrence.pooled import HullSums, PooledRate, pooled_rate, sums_of
from engineering.recurrence.power_law import PowerLaw, fit_power_law
from engineering.recurrence.problem import NotEnough, RecurrenceProblem
from engineering.recurrence.rates import (
    MeanTime,
    Rate,
    RateComparison,
    compare_rates,
    mean_time_between,
    poisson_rate,
    zero_event_bound,
)
from engineering.recurrence.reverse_arrangements import reverse_arrangements_test
from engineering.recurrence.seeable import Seeable, seeable_trend
from engineering.recurrence.strength import Strength, strength_of
from engineering.recurrence.trend_answer import Direction, TrendTest
from engineering.recurrence.trend_tests import laplace_of_sums, laplace_test, military_handbook_test, weigh_together
from engineering.recurrence.weibull import Weibull, fit_weibull

__all__ = [
    "FEWEST_AT_RISK",
    "FEWEST_REPAIRS",
    "FEWEST_RETURNS",
    "Away",
    "ComingBack",
    "Direction",
    "EventRecord",
    "Held",
    "HoldingComparison",
    "HoldingCurve",
    "HoldingPoint",
    "HullSquares",
    "HullSums",
    "MeanCount",
    "MeanTime",
    "NotEnough",
    "PooledRate",
    "PowerLaw",
    "Rate",
    "RateComparison",
    "RecurrenceProblem",
    "Seeable",
    "Strength",
    "TrendTest",
    "Weibull",
    "all_held_bound",
    "away_of",
    "coming_back",
    "compare_holding",
    "compare_rates",
    "fit_power_law",
    "fit_weibull",
    "holding_curve",
    "laplace_of_sums",
    "laplace_test",
    "mean_cumulative_function",
    "mean_time_between",
    "military_handbook_test",
    "poisson_rate",
    "pooled_rate",
    "record_of",
    "reverse_arrangements_test",
    "seeable_trend",
    "strength_of",
    "sums_of",
    "weigh_together",
    "zero_event_bound",
]
