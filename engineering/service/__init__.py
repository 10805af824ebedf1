"""Service due by hours or months, whichever comes first."""

from engineering.service.calendar import calendar_dates, first_date_after, months_after
from engineering.service.due import Because, DueStanding, ServiceDue, ServiceInterval, next_due
from engineering.service.use import HoursOn, UseRate, use_rate
from engineering.service.wording import say_day, say_due

__all__ = [
    "Because",
    "DueStanding",
    "HoursOn",
    "ServiceDue",
    "ServiceInterval",
    "UseRate",
    "calendar_dates",
    "first_date_after",
    "months_after",
    "next_due",
    "say_day",
    "say_due",
    "use_rate",
]
