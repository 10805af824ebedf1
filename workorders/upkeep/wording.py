"""Where a service stands, in words: the answer first, and what is not known said as not known."""

from __future__ import annotations

from datetime import date

from engineering.hours import hours_words
from engineering.service import ByHours, ByMonths, Expected, Standing, Unknown
from engineering.service.standing import URGENT
from vessels.wording import date_words
from workorders.upkeep.queries.due import Due

MANUAL_DECIDES = "The maker’s current manual decides."
HEADS = {
    Standing.OVERDUE: "Overdue",
    Standing.DUE: "Due",
    Standing.SOON: "Due soon",
    Standing.NOT_KNOWN: "Not known",
    Standing.NOT_DUE: "Not due",
}


def head_words(due: Due) -> str:
    """Where it stands, in a word or two."""
    return HEADS[due.standing]


def last_words(due: Due) -> str:
    """When it was last done, and who says so."""
    one, last = due.followed, due.followed.last
    if last is None:
        return "last time not known"
    at = f" at {hours_words(last.hours)}" if last.hours is not None else ", hours not known"
    if one.is_first:
        return f"new on {date_words(last.on)}, never done{', as we were told' if one.is_told else ''}"
    return f"last done {date_words(last.on)}{at}{', as we were told' if one.is_told else ''}"


def reasons(due: Due) -> list[str]:
    """Why it stands so, in sentences."""
    if due.followed.last is None:
        return ["Nobody said when it was last done, so it is neither due nor not due."]
    by_hours, by_months = due.judged.by_hours, due.judged.by_months
    said = [] if by_hours is None else [_by_hours(due, by_hours)]
    if by_months is not None:
        urgent = by_hours is not None and URGENT.index(by_months.standing) < URGENT.index(by_hours.standing)
        said.insert(0 if urgent else 1, _by_months(by_months))  # the side that makes it what it is comes first
    laid_up = laid_up_words(due)
    return [*(sentence for sentence in said if sentence), *([laid_up] if laid_up else [])]


def laid_up_words(due: Due) -> str:
    """That the boat is laid up, and what stands still for it; empty where it is not."""
    if due.laid_up is None:
        return ""
    until = f" until {date_words(due.laid_up.until_on)}" if due.laid_up.until_on else ""
    effects = []
    if due.judged.by_hours is not None:
        effects.append("no day is expected by hours")
    if due.judged.by_months is not None:
        effects.append("the months go on")
    return f"Laid up since {date_words(due.laid_up.from_on)}{until}: {', '.join(effects)}."


def day_of(due: Due) -> date | None:
    """The nearest day that can be said of it.

    What is due or overdue by hours has no later day of the calendar beside it.
    """
    day = due.judged.due_on
    if day is None or (day > due.today and due.standing in {Standing.OVERDUE, Standing.DUE}):
        return None
    return day


def is_exact(due: Due) -> bool:
    """Whether that day is one of the calendar; by hours it is about."""
    by_months = due.judged.by_months
    return by_months is not None and by_months.due_on == due.judged.due_on


def day_words_of(due: Due) -> str:
    """The nearest day, for a list: exact by the calendar, “about” by hours; empty where no day can be said."""
    day = day_of(due)
    if day is None:
        return ""
    return date_words(day) if is_exact(due) else f"about {date_words(day)}"


def line_words(due: Due) -> str:
    """What a job's line says of it, and a reminder: plan, engine, and why."""
    return f"{due.followed.plan} ({due.followed.engine}): {head_words(due).lower()}. {' '.join(reasons(due))}"


def then_words(due: Due) -> str:
    """How it stood on a day that has passed: without the reasons, which are in words of the day itself."""
    day = day_words_of(due)
    by = f", nearest day {day}" if day else ""
    return f"{due.followed.plan} ({due.followed.engine}): {head_words(due).lower()}{by}; {last_words(due)}."


def _by_months(side: ByMonths) -> str:
    if side.due_on is None:
        return ""
    if side.standing is Standing.OVERDUE:
        return f"By the calendar it was due on {date_words(side.due_on)}."
    if side.standing is Standing.DUE:
        return "By the calendar it is due today."
    return f"By the calendar it is due on {date_words(side.due_on)}."


def _by_hours(due: Due, side: ByHours) -> str:
    if side.unknown is not None:
        return _unknown(due, side, side.unknown)
    if side.due_at is None or side.left is None or side.seen is None:
        return ""
    at, on = hours_words(side.due_at), date_words(side.seen.on)
    if side.standing is Standing.OVERDUE:
        seen = hours_words(side.due_at - side.left)
        return f"By hours it is {hours_words(-side.left)} over: due at {at}, and the engine had {seen} on {on}."
    if side.standing is Standing.DUE:
        return f"By hours it is due now: the engine had {at} on {on}."
    if side.use_reached and side.expected is not None:
        about = date_words(side.expected.about_on)
        return (
            f"By hours {hours_words(side.left)} were left to {at} on {on}. At its use they were probably reached about "
            f"{about}; nobody has read the meter since. Read it."
        )
    return f"By hours {hours_words(side.left)} were left to {at} on {on}{_expected(due, side.expected)}."


def _expected(due: Due, expected: Expected | None) -> str:
    if expected is None or due.per_week is None:
        return ""
    said = f"; expected about {date_words(expected.about_on)} at {hours_words(due.per_week)} a week"
    return said + _between(expected, due.today)


def _between(expected: Expected, today: date) -> str:
    """Between the busiest and the quietest of its use so far; a day of the busiest that has passed is not told."""
    earliest, latest = expected.earliest_on, expected.latest_on
    if earliest < today:
        is_told = latest is not None and (latest - expected.about_on).days >= 7
        return f", {date_words(latest)} at its quietest" if latest is not None and is_told else ""
    if latest is None:
        return f", {date_words(earliest)} at its busiest"
    if (latest - earliest).days < 7:
        return ""
    return f", between {date_words(earliest)} and {date_words(latest)} at its busiest and its quietest"


def _unknown(due: Due, side: ByHours, why: Unknown) -> str:
    at = "" if side.due_at is None else hours_words(side.due_at)
    left = "" if side.left is None else hours_words(side.left)
    on = "" if side.seen is None else date_words(side.seen.on)
    last = due.followed.last
    told = {
        Unknown.LAST: "nobody said when it was last done.",
        Unknown.LAST_HOURS: "the engine’s hours at the last time are not known.",
        Unknown.NEVER_READ: f"due at {at}, and nobody has read the engine’s hours since the last time.",
        Unknown.OLD_READING: f"{left} were left to {at} on {on}, and nobody has read the meter since.",
        Unknown.METER: f"{left} were left to {at} on {on}; then the meter was replaced without being read.",
        Unknown.DOUBT: f"hours on record cannot all be right. {' '.join(due.doubts)}",
        Unknown.BACKWARD: "the hours of the last time"
        f"{f', {hours_words(last.hours)},' if last is not None and last.hours is not None else ''}"
        " do not fit the hours that were read.",
    }
    return f"By hours it is not known: {told[why]}"
