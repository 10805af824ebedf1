"""Trend of a reading over engine hours: is there one, how steep, and when does it meet its limit."""

from engineering.trend.limit_crossing import Outlook, Trend, trend_of
from engineering.trend.mann_kendall import MannKendall, mann_kendall, score_of
from engineering.trend.problem import TrendProblem
from engineering.trend.series import MOST_READINGS, Readings, TooFew, readings_of
from engineering.trend.theil_sen import Line, line_of, theil_sen
from engineering.trend.wording import explain_trend

__all__ = [
    "MOST_READINGS",
    "Line",
    "MannKendall",
    "Outlook",
    "Readings",
    "TooFew",
    "Trend",
    "TrendProblem",
    "explain_trend",
    "line_of",
    "mann_kendall",
    "readings_of",
    "score_of",
    "theil_sen",
    "trend_of",
]
