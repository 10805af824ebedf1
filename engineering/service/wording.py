"""When a service is due, in words."""

from datetime import date

from engineering.hours import hours_words
from engineering.plurals import plural
from engineering.service.due import DueReason, DueStanding, ServiceDue


def say_day(on: date) -> str:
    """A day as it is said: "Nov 8, 2026"."""
    return f"{on:%b} {on.day}, {on.year}"


def say_due(due: ServiceDue, today: date) -> str:
    """When the service is due, in one or two sentences, the answer first."""
    if due.standing is not DueStanding.NOT_DUE:
        return _say_passed(due, today)
    if due.because is DueReason.HOURS and due.due_on is not None:
        calendar = f" The calendar says {say_day(due.by_months_on)}." if due.by_months_on is not None else ""
        return f"Due about {say_day(due.due_on)} by hours: {_say_left(due)}{_say_use(due)}.{calendar}"
    if due.due_on is None:
        return f"Due by hours: {_say_left(due)}; {_say_why_no_day(due)}."
    said = f"Due on {say_day(due.due_on)} by the calendar."
    if due.due_hours is None:
        return said
    if due.by_hours_on is None:
        return f"{said} By hours: {_say_left(due)}; {_say_why_no_day(due)}."
    return f"{said} By hours: {_say_left(due)}{_say_use(due)}, until about {say_day(due.by_hours_on)}."


def _say_left(due: ServiceDue) -> str:
    if due.hours_left is None or due.due_hours is None:
        return ""
    return f"{hours_words(due.hours_left)} left to {hours_words(due.due_hours)}"


def _say_use(due: ServiceDue) -> str:
    return f" at {due.rate.per_week:.1f} h a week" if due.rate is not None else ""


def _say_why_no_day(due: ServiceDue) -> str:
    """Why the hours have no date."""
    if due.rate is None:
        return "the use is not known yet"
    if due.rate.is_laid_up:
        return "by the hours given the use is 0 h a week, which gives no day"
    return "at the use so far that is more than a hundred years"


def _say_passed(due: ServiceDue, today: date) -> str:
    passed = []
    if due.hours_left is not None and due.due_hours is not None and due.hours_left <= 0:
        by = f"{hours_words(-due.hours_left)} ago" if due.hours_left else "now"
        passed.append(f"at {hours_words(due.due_hours)}, {by}")
    if due.by_months_on is not None and due.by_months_on <= today:
        days = (today - due.by_months_on).days
        ago = "today" if not days else f"{days} {plural(days, 'day')} ago"
        passed.append(f"on {say_day(due.by_months_on)}, {ago}")
    word = "Overdue: it was due" if due.standing is DueStanding.OVERDUE else "Due"
    return f"{word} {' and '.join(passed)}."
