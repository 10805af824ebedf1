"""What the shop's faults add up to: what returns, what comes back to us, which repairs hold. Fixed queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import (
    Avg,
    Case,
    Count,
    DecimalField,
    Exists,
    F,
    Min,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Value,
    When,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from engineering.codes import Code, CodeSystem
from findings.faults.listed import OfCode
from findings.faults.models import Episode, Fault
from findings.faults.queries import AS_SEEN, EpisodeSeen, FaultSeen, returns_among
from vessels.identity import SerialRead, another_unit_words
from vessels.models import EngineFamily
from vessels.queries.serials import serials_of

PERIODS = [("12", "Last 12 months"), ("24", "Last 24 months"), ("60", "Last 5 years"), ("", "All time")]


@dataclass(frozen=True)
class Scope:
    """Which part of the shop's history: one engine family or all, since a moment or ever, one code or all."""

    family_id: int | None = None
    since: datetime | None = None
    code: Code | None = None
    outcome: str = ""

    def of_faults(self) -> Q:
        """As a condition on faults."""
        condition = Q()
        if self.family_id is not None:
            condition &= Q(engine__family_id=self.family_id)
        if self.code is not None:
            condition &= Q(system=self.code.system.value, code=self.code.text)
        return condition

    def of_episodes(self, moment: str) -> Q:
        """As a condition on episodes; ``moment`` is the field that the period is about."""
        condition = Q()
        if self.family_id is not None:
            condition &= Q(fault__engine__family_id=self.family_id)
        if self.code is not None:
            condition &= Q(fault__system=self.code.system.value, fault__code=self.code.text)
        if self.since is not None:
            condition &= Q(**{f"{moment}__gte": self.since})
        return condition


def since_months(months: str) -> datetime | None:
    """The beginning of a period of months until now; None for all time."""
    return timezone.now() - timedelta(days=365 * int(months) // 12) if months in {"12", "24", "60"} else None


@dataclass(frozen=True)
class Figures:
    """The four figures on top."""

    returned: int
    comebacks: int
    in_doubt: int
    """Returns after our repairs of which it is not known whether they came back within the hold time."""
    repairs: int
    held: int
    came_back: int

    @property
    def settled(self) -> int:
        """Repairs of which it is known how they ended: they held, or the fault came back."""
        return self.held + self.came_back

    @property
    def undecided(self) -> int:
        """Repairs of which it is not known yet how they end."""
        return self.repairs - self.settled


def figures(scope: Scope) -> Figures:
    """The figures of a scope: three queries."""
    repairs = repairs_in(scope).aggregate(
        all=Count("pk"), held=Count("pk", filter=Q(outcome="held")), back=Count("pk", filter=Q(outcome="returned"))
    )
    back = comebacks_counted(scope)
    return Figures(
        returned=returned_faults(scope).count(),
        comebacks=back["sure"],
        in_doubt=back["in_doubt"],
        repairs=repairs["all"],
        held=repairs["held"],
        came_back=repairs["back"],
    )


def returned_faults(scope: Scope) -> QuerySet[Fault]:
    """Faults that came back within the period, those that came back most often first."""
    found = Fault.objects.filter(scope.of_faults(), returns__gt=0)
    if scope.since is not None:
        back = returns_among(Episode.objects.filter(opened_at__gte=scope.since))
        found = found.filter(Exists(back.filter(fault=OuterRef("pk"))))
    return found.order_by("-returns", "-last_seen_at", "pk")


def comebacks_in(scope: Scope) -> QuerySet[Episode]:
    """Episodes in which a fault came back within the hold time after our repair, newest first."""
    return Episode.objects.filter(scope.of_episodes("opened_at"), is_comeback=True).order_by("-opened_at", "-pk")


def comebacks_counted(scope: Scope) -> dict[str, int]:
    """How many of those are sure, and of how many returns after our repairs it is "in_doubt": one query."""
    found = Episode.objects.filter(scope.of_episodes("opened_at")).filter(Q(is_comeback=True) | Q(may_be_comeback=True))
    counts: dict[str, int] = found.aggregate(
        sure=Count("pk", filter=Q(is_comeback=True)), in_doubt=Count("pk", filter=Q(may_be_comeback=True))
    )
    return counts


WORST_FIRST = Case(When(outcome="returned", then=0), When(outcome="held", then=2), default=1)
SOONEST_FIRST = Coalesce(
    F("outcome_hours"),
    Case(When(outcome="returned", then=Value(10**9)), default=Value(-1)),
    output_field=DecimalField(),
)
"""Of the codes that one repair was logged for, the one that came back first speaks for it; else the one that is proven
the least far."""


def repairs_in(scope: Scope, *, each: Sequence[str] = ()) -> QuerySet[Episode]:
    """Repairs of ours, newest first: one row for each piece of work, however many codes it was logged for.

    The row is the episode that speaks for the repair. ``each`` asks for one row for each of some of a fault's columns.
    """
    cured = Episode.objects.filter(scope.of_episodes("closed_at"), is_repair=True)
    cured = cured.annotate(
        worst=WORST_FIRST, soonest=SOONEST_FIRST, family=Coalesce(F("fault__engine__family_id"), Value(0))
    )
    same = {name: OuterRef(name) for name in ("work", *each)}
    before = (
        Q(worst__lt=OuterRef("worst"))
        | Q(worst=OuterRef("worst"), soonest__lt=OuterRef("soonest"))
        | Q(worst=OuterRef("worst"), soonest=OuterRef("soonest"), pk__lt=OuterRef("pk"))
    )
    found = cured.exclude(Exists(cured.filter(before, **same)))
    if scope.outcome:
        found = found.filter(outcome=scope.outcome)
    return found.order_by("-closed_at", "-pk")


def seen_faults(found: QuerySet[Fault], start: int, most: int) -> list[FaultSeen]:
    """A part of a list of faults with all that is shown of them; one more than ``most`` where there are more."""
    full = found.select_related("vessel", "unit__engine", "engine__family").prefetch_related(*AS_SEEN)
    return [FaultSeen(fault) for fault in full[start : start + most + 1]]


@dataclass(frozen=True)
class RepairSeen:
    """One repair, or one comeback after it: the episode, its fault, and the episode that came after."""

    seen: FaultSeen
    repaired: EpisodeSeen
    back: EpisodeSeen | None
    others: Sequence[str] = ()
    """The other codes that the same work was logged for, and that were gone after it."""
    another: str = ""
    """That what proves it may be of another unit."""


def seen_episodes(found: QuerySet[Episode], start: int, most: int, *, are_comebacks: bool) -> list[RepairSeen]:
    """A part of a list of episodes with their faults; one more than ``most`` where there are more."""
    faults = Fault.objects.select_related("vessel", "unit__engine", "engine__family").prefetch_related(*AS_SEEN)
    rows = list(found.prefetch_related(Prefetch("fault", faults))[start : start + most + 1])
    others = {} if are_comebacks else _cured_beside(rows)
    serials = serials_of(row.fault.unit_id for row in rows)
    return [
        _repair_seen(row, are_comeback=are_comebacks, others=others.get(row.pk, ()), serials=serials[row.fault.unit_id])
        for row in rows
    ]


def _cured_beside(rows: Sequence[Episode]) -> dict[int, list[str]]:
    """For each repair, the other codes that its work was logged for: one query."""
    cured = Episode.objects.filter(work__in=[row.work_id for row in rows], is_repair=True).select_related("fault")
    by_work: dict[Any, list[Episode]] = defaultdict(list)
    for one in cured.order_by("fault__system", "fault__code", "pk"):
        by_work[one.work_id].append(one)
    return {
        row.pk: list(dict.fromkeys(one.fault.label for one in by_work[row.work_id] if one.pk != row.pk)) for row in rows
    }


def _repair_seen(
    row: Episode, *, are_comeback: bool, others: Sequence[str], serials: Sequence[SerialRead]
) -> RepairSeen:
    seen = FaultSeen(row.fault)
    index = row.number - 2 if are_comeback else row.number - 1
    after = seen.episodes[index + 1] if index + 1 < len(seen.episodes) else None
    repaired = seen.episodes[index]
    another = another_unit_words(serials, since=repaired.replayed.opened_at)
    return RepairSeen(seen, repaired, after, others, another)


@dataclass(frozen=True)
class HoldingRow(OfCode):
    """How repairs of one code on one family have held."""

    code: Code
    family: str
    family_id: int | None
    repairs: int
    held: int
    came_back: int
    open_ended: int
    shortest: Decimal | None
    average: Decimal | None

    @property
    def settled(self) -> int:
        """Repairs of which it is known how they ended."""
        return self.held + self.came_back


def holding(scope: Scope, most: int) -> Sequence[HoldingRow]:
    """Repairs by code and family, those that came back most first: one query."""
    rows = (
        repairs_in(scope, each=("fault__system", "fault__code", "family"))
        .order_by()
        .values(
            "fault__system",
            "fault__code",
            "fault__engine__family_id",
            "fault__engine__family__maker",
            "fault__engine__family__name",
        )
        .annotate(
            repairs=Count("pk"),
            held=Count("pk", filter=Q(outcome="held")),
            back=Count("pk", filter=Q(outcome="returned")),
            shortest=Min("outcome_hours", filter=Q(outcome="returned")),
            average=Avg("outcome_hours", filter=Q(outcome="returned")),
        )
        .order_by("-back", "-repairs", "fault__system", "fault__code")[:most]
    )
    return [_holding_row(row) for row in rows]


def _holding_row(row: Mapping[str, Any]) -> HoldingRow:
    maker, name = row["fault__engine__family__maker"], row["fault__engine__family__name"]
    return HoldingRow(
        code=Code(CodeSystem(row["fault__system"]), row["fault__code"]),
        family=f"{maker} {name}" if name else "",
        family_id=row["fault__engine__family_id"],
        repairs=row["repairs"],
        held=row["held"],
        came_back=row["back"],
        open_ended=row["repairs"] - row["held"] - row["back"],
        shortest=row["shortest"],
        average=None if row["average"] is None else Decimal(row["average"]).quantize(Decimal("0.1")),
    )


def families() -> list[EngineFamily]:
    """The engine families that have faults on record."""
    return list(EngineFamily.objects.filter(Exists(Fault.objects.filter(engine__family=OuterRef("pk")))))
