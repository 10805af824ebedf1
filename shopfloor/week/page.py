"""What the week page shows, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from engineering.plurals import plural
from shopfloor.week.labor import Ahead, ahead_of_technicians, worked_by_day
from shopfloor.week.promises import MOST_PROMISED, AtRisk, Promised, at_risk, promised_between
from staff.policy import Role
from staff.queries import technicians
from web.typed import day_asked
from workorders.appointments.kinds import TAKES_ROOM, State
from workorders.appointments.queries import Slot, bays, between
from workorders.appointments.times import When
from workorders.labor.queries import hours_words

EARLIEST, LATEST = date(2000, 1, 3), date(2199, 12, 30)
AT_RISK_SHOWN = 12


def monday_of(day: date) -> date:
    """The first day of a week."""
    return day - timedelta(days=day.weekday())


def asked_week(text: str, today: date) -> tuple[date, str]:
    """The Monday that an address asks for; this week's with why where what it says cannot be shown."""
    day, unread = day_asked(text, earliest=EARLIEST, latest=LATEST)
    return monday_of(day or today), unread


@dataclass
class Cell:
    """A day of a row: what is planned, whether two of it meet, and the hours of a technician."""

    day: date
    is_today: bool
    appointments: list[Slot] = field(default_factory=list)
    meets: bool = False
    worked: int = 0

    @property
    def planned_minutes(self) -> int:
        """The minutes of what is planned, as far as they are said."""
        return sum(one.minutes or 0 for one in self.appointments if one.state == State.PLANNED)

    @property
    def hours(self) -> list[str]:
        """The hours in words, each with what it is."""
        said = [f"worked {hours_words(self.worked)}"] if self.worked else []
        return [*said, f"planned {hours_words(self.planned_minutes)}"] if self.planned_minutes else said

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to show."""
        return not self.appointments and not self.worked


@dataclass
class Row:
    """A bay or a technician, day by day."""

    key: str
    name: str
    cells: list[Cell]
    notes: list[str] = field(default_factory=list)
    plan_query: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing in the week."""
        return all(cell.is_empty for cell in self.cells)


@dataclass
class Day:
    """One day as a phone shows it: everything of it under each other."""

    day: date
    is_today: bool
    appointments: list[Slot]
    promised: list[Promised]
    people: list[tuple[str, list[str]]]


@dataclass
class Week:
    """Everything on the page."""

    first: date
    days: list[Day]
    bays: list[Row]
    people: list[Row]
    at_risk: list[AtRisk]
    more_at_risk: int
    risks_are_cut: bool
    more_promised: bool

    @property
    def last(self) -> date:
        """Its Sunday."""
        return self.first + timedelta(days=6)


def week_of(first: date, today: date) -> Week:
    """The seven days from a Monday on."""
    zone = timezone.get_current_timezone()
    days = [first + timedelta(days=count) for count in range(7)]
    start, end = (datetime.combine(day, time(0), zone) for day in (first, first + timedelta(days=7)))
    appointments = between(start, end)
    promised = promised_between(first, days[-1])
    bay_rows = _rows(bays().only("name"), appointments, days, today, "bay")
    people = _people(appointments, days, today)
    risks = at_risk(today)
    return Week(
        first,
        [
            Day(
                day, day == today, [one for one in appointments if _is_on(one, day)],
                [job for job in promised if job.promised_on == day],
                [(row.name, row.cells[place].hours) for row in people if row.cells[place].hours],
            )
            for place, day in enumerate(days)
        ],
        bay_rows,
        people,
        risks.first(AT_RISK_SHOWN),
        max(0, len(risks.promises) - AT_RISK_SHOWN),
        risks.is_cut,
        len(promised) == MOST_PROMISED,
    )  # fmt: skip


def _is_on(one: Slot, day: date) -> bool:
    """Whether an appointment takes time on a day: on its own, on each of its days, or past midnight."""
    if one.when == When.DAY:
        return one.day <= day < one.day + timedelta(days=one.days)
    until = timezone.localtime(one.ends_at - timedelta(microseconds=1)).date()
    return one.day <= day <= until


def _rows(
    holders: Iterable[object], appointments: Sequence[Slot], days: list[date], today: date, name: str
) -> list[Row]:
    """A row for each bay or person, and one for what is in none, where there is some."""
    made = []
    of: Callable[[Slot], int | None] = lambda one: getattr(one, f"{name}_id")  # noqa: E731
    known = []
    for holder in holders:
        key: int = holder.pk  # type: ignore[attr-defined]
        known.append(key)
        its = [one for one in appointments if of(one) == key]
        made.append(Row(f"{name}-{key}", str(holder), _cells(its, days, today), plan_query=f"{name}={key}"))
    rest = [one for one in appointments if of(one) not in known]
    if rest:
        words = {"bay": "In no bay", "technician": "Nobody’s"}[name]
        made.append(Row(f"{name}-none", words, _cells(rest, days, today, looks=False)))
    return made


def _cells(its: Sequence[Slot], days: list[date], today: date, *, looks: bool = True) -> list[Cell]:
    cells = []
    for day in days:
        found = [one for one in its if _is_on(one, day)]
        room = [one for one in found if State(one.state) in TAKES_ROOM]
        meets = looks and any(
            one.starts_at < other.ends_at and other.starts_at < one.ends_at
            for place, one in enumerate(room)
            for other in room[:place]
        )
        cells.append(Cell(day, day == today, found, meets))
    return cells


def _people(appointments: Sequence[Slot], days: list[date], today: date) -> list[Row]:
    """Technicians, and whoever else has something this week."""
    worked = worked_by_day(days[0], days[-1])
    ahead = ahead_of_technicians()
    busy = {person for person, _ in worked} | {one.technician_id for one in appointments}
    everybody = technicians().order_by("name", "pk").only("name", "role")
    shown = [one for one in everybody if one.role == Role.TECHNICIAN or one.pk in busy or one.pk in ahead]
    rows = _rows(shown, appointments, days, today, "technician")
    for person, row in zip(shown, rows, strict=False):
        for cell in row.cells:
            cell.worked = worked.get((person.pk, cell.day), 0)
        row.notes = _notes(row, ahead.get(person.pk))
    return rows


def _notes(row: Row, ahead: Ahead | None) -> list[str]:
    """What a technician's figures are: worked and planned in the week, and what estimates of open jobs name."""
    said = []
    worked = sum(cell.worked for cell in row.cells)
    mine = {one.pk: one for cell in row.cells for one in cell.appointments if one.state == State.PLANNED}
    planned = sum(one.minutes or 0 for one in mine.values())
    unknown = sum(one.minutes is None for one in mine.values())
    if worked:
        said.append(f"worked {hours_words(worked)} this week, clocked or noted so far")
    if planned:
        said.append(f"planned {hours_words(planned)} in appointments")
    if unknown:
        said.append(f"{unknown} {plural(unknown, 'appointment')} without a length in hours")
    if ahead is not None:
        words = f"{ahead.jobs} {plural(ahead.jobs, 'open job')}"
        if ahead.named:
            words += f", estimates of {ahead.named} name {ahead.hours.normalize():f} h of labor"
        else:
            words += ", no hours estimated" if ahead.jobs == 1 else ", no hours estimated for any"
        said.append(words)
    return said
