"""Months from a date, counted so that the ends of months do not wear away."""

from datetime import date

from dateutil.relativedelta import relativedelta

from engineering.amounts import AmountProblem

MOST_MONTHS = 1200


def months_after(original_on: date, months: int, *, times: int = 1) -> date:
    """The day ``times · months`` months after a date, or the last day of that month where it has no such day.

    Always counted from the original date: the last of January plus one month is the last of February, plus two months
    the last of March, and never the 28th of March by way of February. Raises ``AmountProblem`` (``field`` "months") for
    months not from 1 to 1200, fewer than one time, and a day after the year 9999. Source: python-dateutil's rule for
    months, which keeps to the month's last day.
    """
    if not 1 <= months <= MOST_MONTHS:
        raise AmountProblem(f"The interval must be from 1 to {MOST_MONTHS} months.", field="months")
    if times < 1:
        raise AmountProblem("Count at least one interval.", field="times")
    try:
        return original_on + relativedelta(months=months * times)
    except (ValueError, OverflowError):
        raise AmountProblem("That is after the year 9999. Check date and months.", field="months") from None


def calendar_dates(original_on: date, months: int, count: int) -> tuple[date, ...]:
    """The first ``count`` due dates of an interval in months, each counted from the original date.

    Raises ``AmountProblem`` as :func:`months_after` does.
    """
    return tuple(months_after(original_on, months, times=times) for times in range(1, count + 1))


def first_date_after(original_on: date, months: int, after_on: date) -> date:
    """The first due date of an interval in months that lies after a day, counted from the original date.

    Raises ``AmountProblem`` as :func:`months_after` does.
    """
    elapsed = (after_on.year - original_on.year) * 12 + after_on.month - original_on.month
    times = max(1, elapsed // months if months >= 1 else 1)
    while (due_on := months_after(original_on, months, times=times)) <= after_on:
        times += 1
    return due_on
