"""Service due by hours or months, whichever comes first."""

from engineering.service.calendar import calendar_dates, first_date_after, months_after
from engineering.service.due import DueReason, DueStanding, ServiceDue, ServiceInterval, next_due
from engineering.service.running import Expected, LaidUp, Use, expected, use_of
from engineering.service.standing import ByHours, ByMonths, Judged, Seen, Standing, Unknown, judge
from engineering.service.turning import next_turn
from engineering.service.use import HoursOn, UseRate, use_rate
from engineering.service.wording import say_day, say_due

__all__ = [
    "ByHours",
    "ByMonths",
    "DueReason",
    "DueStanding",
    "Expected",
    "HoursOn",
    "Judged",
    "LaidUp",
    "Seen",
    "ServiceDue",
    "ServiceInterval",
    "Standing",
    "Unknown",
    "Use",
    "UseRate",
    "calendar_dates",
    "expected",
    "first_date_after",
    "judge",
    "months_after",
    "next_due",
    "next_turn",
    "say_day",
    "say_due",
    "use_of",
    "use_rate",
]
