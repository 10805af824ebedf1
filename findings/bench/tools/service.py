"""Service tools: when the next service is due."""

from __future__ import annotations

from decimal import Decimal

from engineering.canonical import plain_decimal
from engineering.measures import Kind
from engineering.plausible import HOURS_OF_A_WEEK
from engineering.service import (
    HoursOn,
    ServiceDue,
    ServiceInterval,
    UseRate,
    calendar_dates,
    next_due,
    say_day,
    say_due,
)
from findings.bench.tool import (
    Column,
    Day,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Quantity,
    Table,
    Told,
    Tool,
    ToolContext,
    ToolProblem,
    Whole,
    Words,
)

WORK = "Do the service itself by the maker's manual, with the engine stopped, cool, and the battery disconnected."
_AHEAD = 4
_MOST_HOURS = 200_000
"""Over twenty years without a stop."""


def _hours_on_record(at: ToolContext) -> Prefill | None:
    """Nothing filled in, as old hours make a service look further off; what was logged last is told beside it."""
    if at.hours is None:
        return None
    corrected = ", a correction" if at.hours_are_corrected else ""
    return Prefill("", f"Last logged{corrected}: {plain_decimal(at.hours)} h, over all meters. Read it now.")


def _today(at: ToolContext) -> Prefill:
    return Prefill(at.today.isoformat())


def _exact(value: float | None) -> Decimal | None:
    """Hours as typed, to the second."""
    return None if value is None else round(Decimal(repr(value)), 4).normalize()


def _due(given: Given) -> Outcome:
    """When the next service is due, by hours or months."""
    months = given.whole_or_none("months")
    last = HoursOn(given.day("last_on"), _exact(given.number_or_none("last_hours")))
    now = HoursOn(given.day("now_on"), _exact(given.number_or_none("now_hours")))
    due = next_due(
        interval=ServiceInterval(hours=_exact(given.number_or_none("every")), months=months),
        last=last,
        now=now,
        rate=_rate(given),
    )
    said = say_due(due, now.on)
    rows = [(str(n), say_day(on)) for n, on in enumerate(calendar_dates(last.on, months, _AHEAD), 1)] if months else []
    return Outcome(
        f"{_subject(given)}{said}",
        figures=_figures(due),
        notes=(
            "A day by hours is an estimate from the use so far. The calendar counts from the last service, so the end "
            "of a month stays the end of a month.",
        ),
        tables=(Table("By the calendar alone", (Column("Time"), Column("Due")), rows),) if rows else (),
    )


def _rate(given: Given) -> UseRate | None:
    """The use in hours a week, where it was typed; else the use since the last service counts."""
    weekly = _exact(given.number_or_none("weekly"))
    if weekly is None:
        return None
    if weekly < 0 or weekly > HOURS_OF_A_WEEK:
        raise ToolProblem(
            f"A week has {HOURS_OF_A_WEEK} hours: write from 0 (laid up) to {HOURS_OF_A_WEEK}.", field="weekly"
        )
    return UseRate(weekly, 7)


def _subject(given: Given) -> str:
    what = given.words("what")
    return f"{what[0].upper()}{what[1:]}. " if what else ""


def _figures(due: ServiceDue) -> tuple[Figure | Told, ...]:
    figures: list[Figure | Told] = []
    if due.due_on is not None:
        figures.append(Told("Due", f"{say_day(due.due_on)}, by {due.because}"))
    if due.due_hours is not None and due.hours_left is not None:
        figures.append(Figure("Due at", float(due.due_hours), "h", decimals=1))
        left = "Hours left" if due.hours_left >= 0 else "Hours over"
        figures.append(Figure(left, float(abs(due.hours_left)), "h", decimals=1))
        figures.append(Told("By hours", say_day(due.by_hours_on) if due.by_hours_on else "no date"))
    if due.by_months_on is not None:
        figures.append(Told("By months", say_day(due.by_months_on)))
    if due.rate is not None:
        figures.append(Figure("Use a week", due.rate.per_week, "h", decimals=1))
    return tuple(figures)


TOOLS = (
    Tool(
        slug="service-due",
        title="Service due",
        group=Group.HISTORY,
        purpose="When the next service is due, by hours or months, whichever comes first.",
        fields=(
            Words("what", "Which service", required=False, hint="Such as: oil and filter."),
            Day("last_on", "Last done on", section="Last service"),
            Quantity(
                "last_hours",
                "At engine hours",
                Kind.HOURS,
                "h",
                required=False,
                argument="last_hours",
                least=0,
                most=_MOST_HOURS,
                section="Last service",
                hint="Engine hours, over all meters the engine has had.",
            ),
            Quantity(
                "every",
                "Every, in hours",
                Kind.HOURS,
                "h",
                required=False,
                argument="interval_hours",
                least=0,
                most=20_000,
                section="Interval",
            ),
            Whole("months", "Or every, in months", required=False, least=1, most=1200, section="Interval"),
            Day("now_on", "Today", default=_today, section="Now"),
            Quantity(
                "now_hours",
                "Engine hours now",
                Kind.HOURS,
                "h",
                required=False,
                argument="hours",
                least=0,
                most=_MOST_HOURS,
                default=_hours_on_record,
                section="Now",
            ),
            Quantity(
                "weekly",
                "Use a week",
                Kind.HOURS,
                "h",
                required=False,
                argument="rate",
                section="Now",
                hint="Empty: the use since the last service. 0: laid up.",
            ),
        ),
        work=_due,
        formula="by hours: today + hours left / use; by months: last service + months; the earlier one counts",
        source="Common practice; the neighboring public rule is 14 CFR 91.409, annual or 100 hours",
        cautions=(WORK,),
        example=Example(
            {
                "what": "oil and filter",
                "last_on": "2026-03-01",
                "last_hours": "400 h",
                "every": "100 h",
                "months": "12",
                "now_on": "2026-08-01",
                "now_hours": "460.5 h",
            },
            expects={"Due": "Nov 8, 2026, by hours", "Hours left": "39.5 h", "By months": "Mar 1, 2027"},
            says="Oil and filter. Due about Nov 8, 2026 by hours: 39.5 h left",
            source="Computed with Python's datetime and python-dateutil",
        ),
    ),
)
