"""What is asked about hours: of a job, of a person, and which clock runs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from staff.models import Person, ShopProfile
from web.rows import record, rows
from workorders.labor.checking import is_in_question, shop_zone
from workorders.labor.models import Stretch
from workorders.labor.reckoning import plain_hours, sold_hours
from workorders.models import Charge, Job, JobLine
from workorders.money import ChargeKind


@dataclass
class LineLabor:
    """The hours of one line, in minutes that count, and what of them is charged.

    ``clocked`` is always ``sold`` and ``unsold`` together. ``charged_hours`` are the hours of charges that were made of
    clocked ones, ``by_hand`` the quantity of labor charges that were typed: hours, or one for a flat price.
    """

    line: JobLine
    step: Decimal
    clocked: int = 0
    sold: int = 0
    unsold: int = 0
    offered: list[Stretch] = field(default_factory=list)
    running: list[Stretch] = field(default_factory=list)
    asked: list[Stretch] = field(default_factory=list)
    charged_hours: Decimal = Decimal(0)
    by_hand: Decimal = Decimal(0)
    is_mine: bool = False
    is_beside_hand: bool = False
    """Whether labor was typed on the line or for the job as a whole, which may pay for what is ``unsold`` or not."""

    @property
    def offered_hours(self) -> Decimal:
        """What would be charged now: the minutes that stand in no charge, to the shop's step."""
        return sold_hours(self.unsold, self.step)

    @property
    def is_empty(self) -> bool:
        """Whether nobody worked on it, as far as is known, and nothing was charged."""
        return not (self.clocked or self.running or self.asked or self.charged_hours or self.by_hand)


@dataclass
class Changed:
    """A charge whose hours are no longer what they were when they were charged."""

    charge: Charge
    charged: int
    now: int


@dataclass
class JobLabor:
    """The hours of a job; ``for_job`` is the quantity of labor that was charged for the job as a whole, on no line."""

    lines: dict[int, LineLabor]
    stretches: list[Stretch]
    changed: list[Changed]
    zone: ZoneInfo
    for_job: Decimal = Decimal(0)

    @property
    def clocked(self) -> int:
        """Minutes that count."""
        return sum(one.clocked for one in self.lines.values())

    @property
    def sold(self) -> int:
        """Of them, those that stand in a charge."""
        return sum(one.sold for one in self.lines.values())

    @property
    def unsold(self) -> int:
        """Of them, those that stand in none."""
        return sum(one.unsold for one in self.lines.values())

    @property
    def uncharged(self) -> int:
        """Of these, those of which it is known that nobody charged them: no labor was typed where they stand."""
        return sum(one.unsold for one in self.lines.values() if not one.is_beside_hand)

    @property
    def beside_hand(self) -> int:
        """Of these, the others: whether the labor that was typed pays for them is not on record."""
        return self.unsold - self.uncharged

    @property
    def is_beside_hand(self) -> bool:
        """Whether there are such on any line."""
        return any(one.unsold and one.is_beside_hand for one in self.lines.values())

    @property
    def charged_hours(self) -> Decimal:
        """The hours of charges that were made of clocked ones."""
        return sum((one.charged_hours for one in self.lines.values()), Decimal(0))

    @property
    def offers(self) -> list[LineLabor]:
        """The lines of which something would be charged now."""
        return [one for one in self.lines.values() if one.offered_hours > 0]

    @property
    def offered_minutes(self) -> int:
        """What would be charged now, in minutes."""
        return sum(one.unsold for one in self.offers)

    @property
    def offered_hours(self) -> Decimal:
        """What would be charged now."""
        return sum((one.offered_hours for one in self.offers), Decimal(0))

    @property
    def by_hand(self) -> Decimal:
        """The quantity of labor charges that were typed, on lines of which something would be charged."""
        return sum((one.by_hand for one in self.offers), Decimal(0))

    @property
    def all_by_hand(self) -> Decimal:
        """The quantity of labor charges that were typed, on all lines and for the job as a whole."""
        return sum((one.by_hand for one in self.lines.values()), self.for_job)

    @property
    def running(self) -> list[Stretch]:
        """The clocks that run on the job."""
        return [stretch for one in self.lines.values() for stretch in one.running]

    @property
    def asked(self) -> list[Stretch]:
        """The clocks of which it is not known until when they were."""
        return [stretch for one in self.lines.values() for stretch in one.asked]


def shown_stretches(which: Q) -> QuerySet[Stretch]:
    """Stretches with all that a row of them shows, in their order."""
    return (
        Stretch.objects.filter(which)
        .select_related("person", "by", "line__job__vessel", "voided__by", "corrected_by__by", "amends")
        .prefetch_related("ends__by")
        .order_by("day", "started_at", "recorded_at", "pk")
    )


_COUNTING = """
    SELECT s.id, s.root_id, s.line_id, s.person_id, s.minutes, s.is_open, s.started_at, p.name AS person_name
    FROM workorders_stretch s JOIN staff_person p ON p.id = s.person_id
    WHERE s.line_id = ANY(%(lines)s)
      AND NOT EXISTS (SELECT FROM workorders_stretchvoid v WHERE v.stretch_id = s.id)
      AND NOT EXISTS (SELECT FROM workorders_stretch later WHERE later.amends_id = s.id)
    ORDER BY s.day, s.started_at, s.recorded_at, s.id
"""


def counting_stretches(lines: Iterable[int]) -> list[Stretch]:
    """Those of lines that count, with no more than sums and the buttons of clocks need: one query."""
    return rows(_counting, _COUNTING, {"lines": list(lines)})


def _counting(**row: Any) -> Stretch:
    stretch = record(Stretch, row, "id", "root_id", "line_id", "person_id", "minutes", "is_open", "started_at")
    stretch.person = record(Person, row, "id", "name", prefix="person_")
    return stretch


class SoldMinutes(NamedTuple):
    """What of a stretch, or of its corrections, stands in a charge."""

    root_id: UUID
    charge_id: int
    minutes: int


_SOLD = """
    SELECT root_id, charge_id, minutes FROM workorders_sold
    WHERE (root_id = ANY(%(roots)s::uuid[]) OR charge_id = ANY(%(charges)s::bigint[])) AND freed_at IS NULL
"""


def counts(stretch: Stretch) -> bool:
    """Whether it was neither corrected nor voided; of one that ``shown_stretches`` read."""
    return not hasattr(stretch, "corrected_by") and not hasattr(stretch, "voided")


def job_labor(
    job: Job,
    *,
    shop: ShopProfile,
    lines: Iterable[JobLine] | None = None,
    charges: Iterable[Charge] | None = None,
    reader: Person | None = None,
    shows_rows: bool = True,
) -> JobLabor:
    """The hours of a job, line by line, in a fixed number of queries; ``is_mine`` where the reader's own clock runs.

    ``lines`` and ``charges`` are those of the job, where the caller has read them. Where no rows of stretches are
    shown, only those that count are read.
    """
    zone, step = ZoneInfo(shop.time_zone), shop.labor_step
    found = list(lines) if lines is not None else list(job.lines.order_by("position"))
    by_line = {line.pk: LineLabor(line, step) for line in found}
    stretches = list(shown_stretches(Q(line__in=by_line))) if shows_rows else counting_stretches(by_line)
    counting = [one for one in stretches if counts(one)] if shows_rows else stretches
    of_labor = job.charges.filter(kind=ChargeKind.LABOR.value, struck_at=None).order_by("pk")
    found_charges = of_labor if charges is None else charges
    labor = {one.pk: one for one in found_charges if one.kind == ChargeKind.LABOR.value and not one.is_struck}
    roots = {stretch.root_id for stretch in stretches}
    sold = rows(SoldMinutes, _SOLD, {"roots": list(roots), "charges": list(labor)})
    sold_roots = {one.root_id for one in sold}
    for stretch in counting:
        _count(by_line[stretch.line_id], stretch, sold_roots, zone)
    clocked, for_job = {one.charge_id for one in sold}, Decimal(0)
    for charge in labor.values():
        if charge.line_id is None:
            for_job += charge.quantity
        elif charge.line_id in by_line:
            if charge.pk in clocked:
                by_line[charge.line_id].charged_hours += charge.quantity
            else:
                by_line[charge.line_id].by_hand += charge.quantity
    for one in by_line.values():
        one.is_beside_hand = bool(one.by_hand or for_job)
        one.is_mine = reader is not None and any(clock.person_id == reader.pk for clock in one.running)
    return JobLabor(by_line, stretches, _changed(labor, sold, counting), zone, for_job)


def _count(into: LineLabor, stretch: Stretch, sold_roots: set[UUID], zone: ZoneInfo) -> None:
    if stretch.minutes is None:
        (into.asked if is_in_question(stretch, zone) else into.running).append(stretch)
        return
    into.clocked += stretch.minutes
    if stretch.root_id in sold_roots:
        into.sold += stretch.minutes
    else:
        into.unsold += stretch.minutes
        into.offered.append(stretch)


def _changed(charges: dict[int, Charge], sold: list[SoldMinutes], counting: list[Stretch]) -> list[Changed]:
    """The charges of which the hours have changed since: fewer, more, voided, or on another line."""
    now = {(one.root_id, one.line_id): one.minutes or 0 for one in counting}
    told = []
    for key, charge in charges.items():
        its = [one for one in sold if one.charge_id == key]
        charged, current = (
            sum(one.minutes for one in its),
            sum(now.get((one.root_id, charge.line_id or 0), 0) for one in its),
        )
        if charged != current:
            told.append(Changed(charge, charged, current))
    return told


_CLOCK = (
    "minutes", "is_open", "started_at", "person__name", "line__position", "line__concern", "line__job__number",
    "line__job__vessel__name", "line__job__vessel__maker", "line__job__vessel__model",
)  # fmt: skip
"""What a row of a clock shows, and no more: the question is asked with Today, where mostly no clock runs."""


def _clocks(which: Q) -> QuerySet[Stretch]:
    found = Stretch.objects.filter(which).select_related("person", "line__job__vessel").only(*_CLOCK)
    return found.order_by("day", "started_at", "recorded_at", "pk")


@dataclass(frozen=True)
class OpenClocks:
    """The clocks that run across the shop, and those of which it is not known until when they were."""

    running: list[Stretch]
    asked: list[Stretch]


def open_clocks(person: Person | None = None) -> OpenClocks:
    """Every clock without an end that counts, of one person if asked."""
    zone, which = shop_zone(), Q(minutes=None, corrected_by=None, voided=None)
    found = list(_clocks(which if person is None else which & Q(person=person)))
    asked = [one for one in found if is_in_question(one, zone)]
    return OpenClocks([one for one in found if one not in asked], asked)


def hours_of(person: Person, first: date, last: date) -> list[Stretch]:
    """A person's hours of some days, those that no longer count among them."""
    return list(shown_stretches(Q(person=person, day__range=(first, last))))


def hours_words(minutes: int) -> str:
    """Minutes as people say them: "1.5 h"."""
    return f"{plain_hours(minutes).normalize():f} h"
