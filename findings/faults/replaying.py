"""Keeping the faults' cache equal to the replay of their evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models.signals import post_save

from engineering.faults import Absent as AbsentEvidence
from engineering.faults import Cleared, Evidence, FaultHistory, Hold, Rest, settle
from findings.faults.episode_rows import episode_rows
from findings.faults.evidence import DONE, UnitEvidence, evidence_of_unit, units_found_after
from findings.faults.history import history_as_json, rest_as_json
from findings.faults.models import Clear, ClearedFault, Episode, Fault, Scan, Sighting, WorkOnFault
from staff.queries import hold as hold_of_shop
from vessels.models import LogEntry, Vessel
from workorders.models import JobMove

CACHED = [
    "state",
    "status_now",
    "is_open",
    "episodes",
    "returns",
    "first_seen_at",
    "last_seen_at",
    "last_seen_hours",
    "cleared_at",
    "cleared_hours",
    "history",
]


@dataclass(frozen=True)
class Derived:
    """What the evidence says of one fault: the columns of its row, and its episodes."""

    columns: dict[str, Any]
    episodes: list[Episode]


def rederive_unit(unit_id: int, *, hold: Hold | None = None) -> list[Fault]:
    """Derive every fault of a unit anew and store what changed. Call inside the transaction of the evidence.

    Returns the faults whose cache changed.
    """
    changed = [(fault, derived) for fault, derived in _derived(unit_id, hold) if _differs(fault, derived)]
    for fault, derived in changed:
        for name, value in derived.columns.items():
            setattr(fault, name, value)
    keep([fault for fault, _ in changed])
    Episode.objects.filter(fault__in=[fault for fault, _ in changed]).delete()
    Episode.objects.bulk_create([episode for _, derived in changed for episode in derived.episodes], batch_size=500)
    return [fault for fault, _ in changed]


def keep(faults: Sequence[Fault]) -> None:
    """Write the cached columns of faults that are there, as rows: quicker than a choice for each column."""
    Fault.objects.bulk_create(faults, update_conflicts=True, unique_fields=["id"], update_fields=CACHED, batch_size=200)


def stale_faults(unit_id: int, *, hold: Hold | None = None) -> list[Fault]:
    """The faults of a unit whose cache is not what the evidence says."""
    return [fault for fault, derived in _derived(unit_id, hold) if _differs(fault, derived)]


def misnamed_evidence(unit_id: int) -> Sequence[str]:
    """Evidence whose own code is not the code of the fault it points at: the fault's row was changed by hand."""
    wrong = []
    for model in (Sighting, ClearedFault, WorkOnFault):
        rows = model.objects.filter(fault__unit_id=unit_id).select_related("fault")
        wrong += [
            f"{row.label} stands at fault {row.fault_id}, which is {row.fault.label}"
            for row in rows
            if (row.system, row.code) != (row.fault.system, row.fault.code)
        ]
    return wrong


def misplaced_faults(vessel_id: int) -> list[Fault]:
    """Faults that are said to be of a vessel and whose row names another boat or engine than their unit.

    A unit stays on its engine, and a fault is its unit's: such a row was changed by hand.
    """
    return [
        fault
        for fault in Fault.objects.filter(vessel_id=vessel_id).select_related("unit").order_by("pk")
        if (fault.vessel_id, fault.engine_id) != (fault.unit.vessel_id, fault.unit.engine_id)
    ]


def _derived(unit_id: int, hold: Hold | None) -> Iterable[tuple[Fault, Derived]]:
    evidence = evidence_of_unit(unit_id)
    hold = hold or hold_of_shop()
    for fault in Fault.objects.filter(unit_id=unit_id).prefetch_related("appearances"):
        yield fault, derive(fault, evidence, hold)


def derive(fault: Fault, evidence: UnitEvidence, hold: Hold) -> Derived:
    """The replay of one fault, in the shape of the cache."""
    items = list(evidence.of_fault(fault))
    history, rest = settle(items, hold=hold)
    stored = history_as_json(history)
    by_key = {item.key: item for item in items}
    for row in stored["episodes"]:
        row["clears"] = _marks(row["keys"], by_key)
        row["proof"] = _proof(row, by_key)
    columns = columns_of(history, rest, stored)
    return Derived(columns, episode_rows(fault, history, evidence, hold))


def columns_of(history: FaultHistory, rest: Rest, stored: dict[str, Any]) -> dict[str, Any]:
    """The columns of a fault's row; ``stored`` is the history as JSON, with marks and proof."""
    return {
        "state": history.state.value,
        "status_now": history.status_now.value if history.status_now else "",
        "is_open": history.is_open,
        "episodes": len(history.episodes),
        "returns": history.returns,
        "first_seen_at": history.first_seen_at,
        "last_seen_at": history.last_seen_at,
        "last_seen_hours": history.last_seen_hours,
        "cleared_at": history.cleared_at,
        "cleared_hours": history.cleared_hours,
        "history": stored | {"rest": rest_as_json(rest)},
    }


def _marks(keys: Sequence[str], by_key: dict[str, Evidence]) -> list[list[str | None]]:
    """Time and hours of each clear in an episode."""
    clears = [by_key[key] for key in keys if isinstance(by_key.get(key), Cleared)]
    return [place_of(clear) for clear in clears]


def _proof(row: dict[str, Any], by_key: dict[str, Evidence]) -> list[str | None] | None:
    """Time and hours of the last scan that showed the code gone after the episode; None where there was none."""
    absences = [by_key[key] for key in row["keys"] if isinstance(by_key.get(key), AbsentEvidence)]
    return place_of(absences[-1]) if absences else None


def place_of(item: Evidence) -> list[str | None]:
    """Time and hours of a piece of evidence."""
    return [item.at.isoformat(), None if item.hours is None else str(item.hours)]


def _differs(fault: Fault, derived: Derived) -> bool:
    if any(getattr(fault, name) != value for name, value in derived.columns.items()):
        return True
    return [_facts(row) for row in fault.appearances.all()] != [_facts(row) for row in derived.episodes]


def _facts(episode: Episode) -> dict[str, Any]:
    return {
        field.attname: getattr(episode, field.attname) for field in Episode._meta.concrete_fields if field.name != "id"
    }


def listen_for_moves() -> None:
    """Notice that a job was said to be done."""
    post_save.connect(_rederive_after_move, sender=LogEntry, dispatch_uid="hear_move")


def _rederive_after_move(instance: LogEntry, created: bool, **_: Any) -> None:
    """A job is said to be done: what was found after that, and arrived before, is of another visit."""
    if not created or instance.kind != "job-moved":
        return
    if JobMove.objects.filter(entry=instance, to_state__in=DONE).exists():
        for unit_id in sorted(units_found_after(instance)):
            rederive_unit(unit_id)


def rederive_after_amendment(entry: LogEntry) -> None:
    """An entry amends another: where that was evidence of faults, it no longer counts."""
    amended = entry.amends
    if amended is None:
        return
    if amended.kind == "scan":
        units = list(Scan.objects.filter(pk=amended.pk).values_list("unit_id", flat=True))
    elif amended.kind == "clear":
        units = list(Clear.objects.filter(pk=amended.pk).values_list("unit_id", flat=True))
    elif amended.kind == "work-done":
        units = list(
            WorkOnFault.objects.filter(work_id=amended.pk)
            .values_list("fault__unit_id", flat=True)
            .distinct()
            .order_by()
        )
    else:
        return
    for unit_id in units:
        rederive_unit(unit_id)


@transaction.atomic
def rederive_vessel(vessel_id: int, *, hold: Hold | None = None) -> int:
    """Derive every fault of a vessel anew, with the vessel's turn to write taken. Returns how many changed."""
    Vessel.objects.select_for_update(no_key=True).get(pk=vessel_id)
    misplaced = misplaced_faults(vessel_id)
    for fault in misplaced:
        fault.vessel_id, fault.engine_id = fault.unit.vessel_id, fault.unit.engine_id
        fault.save(update_fields=["vessel", "engine"])
    units = Fault.objects.filter(vessel_id=vessel_id).order_by("unit_id").values_list("unit_id", flat=True).distinct()
    return len(misplaced) + sum(len(rederive_unit(unit_id, hold=hold)) for unit_id in units)
