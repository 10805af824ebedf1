"""When a service is due: by hours or by months, whichever comes first."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from engineering.amounts import AmountProblem
from engineering.service.calendar import months_after
from engineering.service.use import HoursOn, UseRate, use_rate

_FARTHEST = timedelta(days=36525)
"""An estimate a hundred years ahead says no more than that the engine is hardly used."""


class DueReason(StrEnum):
    """What makes the service due."""

    HOURS = "hours"
    MONTHS = "months"


class DueStanding(StrEnum):
    """Where a service stands today."""

    NOT_DUE = "not due"
    DUE = "due"
    OVERDUE = "overdue"


@dataclass(frozen=True, slots=True)
class ServiceInterval:
    """Hours, months, or both, whichever comes first. Raises ``AmountProblem`` for neither, or for one not above 0."""

    hours: Decimal | None = None
    months: int | None = None

    def __post_init__(self) -> None:
        """Refuse an interval that never ends, or that has no length."""
        if self.hours is None and self.months is None:
            raise AmountProblem("Give the interval in hours, in months, or both.", field="interval_hours")
        if self.hours is not None and not (self.hours.is_finite() and self.hours > 0):
            raise AmountProblem("The interval must be more than 0 hours.", field="interval_hours")
        if self.months is not None and self.months < 1:
            raise AmountProblem("The interval must be at least 1 month.", field="months")


@dataclass(frozen=True, slots=True)
class ServiceDue:
    """When a service is due.

    ``hours_left`` is below 0 where the hours are passed. ``by_hours_on`` is an estimate from the use so far, None
    where the use is not known, the engine is laid up, or the day lies more than a hundred years off. ``due_on`` is the
    earlier of the two days, None where there is none; ``because`` says which, months where both fall on one day.
    """

    standing: DueStanding
    because: DueReason | None
    due_on: date | None
    due_hours: Decimal | None
    hours_left: Decimal | None
    by_hours_on: date | None
    by_months_on: date | None
    rate: UseRate | None


def next_due(*, interval: ServiceInterval, last: HoursOn, now: HoursOn, rate: UseRate | None = None) -> ServiceDue:
    """When the next service is due after the last one, seen from today.

    Hours are true hours over all meters. Without ``rate`` the use since the last service counts. The day by hours is
    the day on which the hours are used up at that rate, so rounded down. Overdue is judged by hours run and by the
    calendar, never by the estimate.

    Raises ``AmountProblem``: today before the last service (``field`` "now"), hours lower than at the last service
    ("hours"), hours unknown where the interval needs them ("last_hours", "now_hours"), a rate of no days ("rate").
    Source: common practice; the neighboring public rule is 14 CFR 91.409 (annual, or 100 h of time in service).
    """
    if now.on < last.on:
        raise AmountProblem("The last service lies after today. Check its date.", field="last_on")
    if rate is not None and (rate.days < 1 or rate.hours < 0):
        raise AmountProblem("A rate needs hours from 0 up over at least one day.", field="rate")
    since_last = use_rate([last, now])
    rate = rate or since_last
    due_hours, left = _by_hours(interval, last, now)
    by_hours_on = None if left is None else _day_of_hours(left, rate, last.on, now.on)
    by_months_on = None if interval.months is None else months_after(last.on, interval.months)
    standing = max(_standing_by_hours(left), _standing_by_months(by_months_on, now.on), key=list(DueStanding).index)
    because, due_on = _earlier(by_hours_on, by_months_on)
    if because is None and left is not None and left <= 0:
        because = DueReason.HOURS
    return ServiceDue(standing, because, due_on, due_hours, left, by_hours_on, by_months_on, rate)


def _by_hours(interval: ServiceInterval, last: HoursOn, now: HoursOn) -> tuple[Decimal | None, Decimal | None]:
    """The hours at which the service is due, and how many are left."""
    if interval.hours is None:
        return None, None
    if last.hours is None:
        raise AmountProblem("Give the engine hours at the last service.", field="last_hours")
    if now.hours is None:
        raise AmountProblem("Give the engine hours now.", field="now_hours")
    due = last.hours + interval.hours
    return due, due - now.hours


def _day_of_hours(left: Decimal, rate: UseRate | None, last_on: date, now_on: date) -> date | None:
    """The day on which the hours are used up: exactly divided, rounded down, and never before the last service."""
    if rate is None or rate.is_laid_up:
        return now_on if left <= 0 else None
    days = Fraction(left) * rate.days // Fraction(rate.hours)
    if days > _FARTHEST.days:
        return None
    if left <= 0:
        return max(last_on, now_on + timedelta(days=max(days, (last_on - now_on).days)))
    try:
        return now_on + timedelta(days=days)
    except OverflowError:
        return None


def _standing_by_hours(left: Decimal | None) -> DueStanding:
    if left is None or left > 0:
        return DueStanding.NOT_DUE
    return DueStanding.OVERDUE if left < 0 else DueStanding.DUE


def _standing_by_months(due_on: date | None, now_on: date) -> DueStanding:
    if due_on is None or now_on < due_on:
        return DueStanding.NOT_DUE
    return DueStanding.OVERDUE if now_on > due_on else DueStanding.DUE


def _earlier(by_hours_on: date | None, by_months_on: date | None) -> tuple[DueReason | None, date | None]:
    if by_months_on is not None and (by_hours_on is None or by_months_on <= by_hours_on):
        return DueReason.MONTHS, by_months_on
    if by_hours_on is not None:
        return DueReason.HOURS, by_hours_on
    return None, None
