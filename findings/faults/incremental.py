"""Bringing a unit's faults up to date with one new entry, without reading what they rest on again.

Each fault goes on from its stored history, which is the replay of all that happened before; only its last episode can
still change, or another one begin. What comes out is the same as deriving the unit anew, row by row.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, F, Max, OuterRef

from engineering.codes import CodeSystem, may_be_the_same
from engineering.faults import Absent, Cleared, Evidence, FaultHistory, FaultState, Hold, Rest, go_on
from findings.faults import replaying
from findings.faults.episode_rows import episode_row
from findings.faults.evidence import IS_EFFECTIVE, UnitEvidence, evidence_of_unit
from findings.faults.history import history_as_json, history_from_json, rest_from_json
from findings.faults.models import CAN_LOGS, OF_CAN_LOGS, Clear, Episode, Fault, Scan, Sighting, WorkOnFault
from staff.queries import hold as hold_of_shop
from vessels.log.evidence import superseded
from vessels.models import LogEntry

REST = "rest"


def update_faults(unit_id: int, entry: LogEntry) -> None:
    """Bring a unit's faults up to date with an entry that was just written, inside its transaction.

    Where it happened after everything that the unit's faults rest on, each goes on from where it stands. Anything else
    (late, at the same time, in another's place) may stand in between, and all is derived anew.
    """
    if not go_on_unit(unit_id, entry, hold_of_shop()):
        replaying.rederive_unit(unit_id)


def go_on_unit(unit_id: int, entry: LogEntry, hold: Hold) -> bool:
    """Go on with an entry, if nothing of the unit happened when it did or later. Whether that was so."""
    if entry.amends_id is not None or _is_not_the_last(unit_id, entry):
        return False
    faults = list(Fault.objects.filter(unit_id=unit_id))
    if any(fault.history and REST not in fault.history for fault in faults):
        return False
    if any(_is_told_in_two_ways(fault, faults) for fault in faults if not fault.history):
        return False
    evidence = evidence_of_unit(unit_id, only=entry)
    told = [(fault, items) for fault in faults if (items := list(evidence.of_fault(fault)))]
    if told:
        _store(unit_id, entry, evidence, told, hold)
    return True


def _is_told_in_two_ways(new: Fault, faults: Sequence[Fault]) -> bool:
    """Whether earlier scans of a code that is new may have listed it as another one: they tell nothing of it then."""
    return any(may_be_the_same(new.as_code, other.as_code) for other in faults)


def _is_not_the_last(unit_id: int, entry: LogEntry) -> bool:
    """Whether any evidence of the unit happened at the same time or later, whether it still counts or not."""
    later = {"entry__happened_at__gte": entry.happened_at}
    return (
        Scan.objects.filter(unit_id=unit_id, **later).exclude(pk=entry.pk).exists()
        or Clear.objects.filter(unit_id=unit_id, **later).exclude(pk=entry.pk).exists()
        or WorkOnFault.objects.filter(fault__unit_id=unit_id, work__entry__happened_at__gte=entry.happened_at)
        .exclude(work_id=entry.pk)
        .exists()
    )


@dataclass
class _Known:
    """What is on record of one fault's last episodes."""

    last: Episode | None = None
    before: Episode | None = None
    turn: int = 0
    work: list[LogEntry] = field(default_factory=list)


def _store(
    unit_id: int,
    entry: LogEntry,
    evidence: UnitEvidence,
    told: Sequence[tuple[Fault, Sequence[Evidence]]],
    hold: Hold,
) -> None:
    known = _known_of(unit_id, [fault for fault, _ in told])
    looked: dict[str, tuple[str, ...]] = {}
    rows: list[Episode] = []
    for fault, items in told:
        if fault.history:
            before, rest = history_from_json(fault.history), rest_from_json(fault.history[REST])
        else:
            if fault.system not in looked:
                looked[fault.system] = _looked_before(unit_id, entry, CodeSystem(fault.system))
            before, rest = _never_seen(looked[fault.system]), Rest()
        history, rest = go_on(before, rest, items, hold=hold)
        stored = history_as_json(history)
        _mark(stored["episodes"], fault.history.get("episodes", []), items)
        new = evidence.entries[str(entry.pk)]
        rows += _new_rows(fault, history, known[fault.pk], entry=new, before=len(before.episodes), hold=hold)
        for name, value in replaying.columns_of(history, rest, stored).items():
            setattr(fault, name, value)
    replaying.keep([fault for fault, _ in told])
    Episode.objects.filter(pk__in=[one.last.pk for one in known.values() if one.last is not None]).delete()
    Episode.objects.bulk_create(rows, batch_size=500)


def _never_seen(looked: tuple[str, ...]) -> FaultHistory:
    """The history of a code before anybody saw it: scans and clears that had nothing to say of it."""
    return FaultHistory(
        state=FaultState.NONE,
        status_now=None,
        episodes=(),
        last_seen_at=None,
        last_seen_hours=None,
        cleared_at=None,
        cleared_hours=None,
        proven_to_at=None,
        proven_to_hours=None,
        held=False,
        permanent_copy=False,
        unused_keys=looked,
    )


def _looked_before(unit_id: int, entry: LogEntry, system: CodeSystem) -> tuple[str, ...]:
    """What came before an entry, in order of happening: complete scans that show this kind, clears of everything."""
    of_bits = system is CodeSystem.STATUS
    scans = Scan.objects.filter(IS_EFFECTIVE, unit_id=unit_id, is_complete=True).exclude(pk=entry.pk)
    if not of_bits:
        others = Sighting.objects.filter(scan_id=OuterRef("pk")).exclude(system=CodeSystem.STATUS)
        scans = scans.filter(~Exists(others) | Exists(others.filter(system=system)))
    if not of_bits and system is not OF_CAN_LOGS:
        scans = scans.exclude(source__in=CAN_LOGS)
    clears = Clear.objects.filter(IS_EFFECTIVE, unit_id=unit_id, everything=True).exclude(pk=entry.pk)
    places = [
        (at, 3, str(key))
        for key, at, source in scans.values_list("pk", "entry__happened_at", "source")
        if (Scan(source=source).tells_status if of_bits else Scan(source=source).tells_codes)
    ]
    places += [(at, 2, str(key)) for key, at in clears.values_list("pk", "entry__happened_at")]
    return tuple(key for _, _, key in sorted(places))


def _known_of(unit_id: int, faults: Sequence[Fault]) -> dict[int, _Known]:
    """The last episodes of these faults, how often each was away before the last, and the work since it began."""
    known = {fault.pk: _Known() for fault in faults}
    of_unit = Episode.objects.filter(fault__in=faults, fault__unit_id=unit_id)
    for row in of_unit.filter(number__gte=F("fault__episodes") - 1).select_related("closing").order_by("number"):
        one = known[row.fault_id]
        one.before, one.last = one.last, row
    turns = of_unit.filter(number__lt=F("fault__episodes")).values_list("fault_id").annotate(most=Max("turn"))
    for fault_id, most in turns.order_by():
        known[fault_id].turn = most or 0
    began = [one.last.opened_at for one in known.values() if one.last is not None]
    since = {"work__entry__happened_at__gte": min(began)} if began else {}
    work = WorkOnFault.objects.filter(~superseded("work_id"), fault__in=faults, **since)
    for about in work.select_related("work__entry"):
        known[about.fault_id].work.append(about.work.entry)
    return known


def _mark(rows: Sequence[dict[str, Any]], before: Sequence[dict[str, Any]], items: Iterable[Evidence]) -> None:
    """Clears and proof of each episode: those known before, and what the new evidence adds to the last one."""
    for index, row in enumerate(rows):
        old = before[index] if index < len(before) else {"clears": [], "proof": None}
        row["clears"], row["proof"] = list(old["clears"]), old["proof"]
    last = rows[-1] if rows else None
    for item in items:
        if last is not None and item.key in last["keys"][-1:]:
            if isinstance(item, Cleared):
                last["clears"].append(replaying.place_of(item))
            elif isinstance(item, Absent):
                last["proof"] = replaying.place_of(item)


def _new_rows(
    fault: Fault, history: FaultHistory, known: _Known, *, entry: LogEntry, before: int, hold: Hold
) -> list[Episode]:
    """The row of the last of so many episodes that were there ``before``, and of one that began now."""
    made: list[Episode] = []
    previous, turn = known.before, known.turn
    for index in range(max(before - 1, 0), len(history.episodes)):
        old = known.last if index < before else None
        closing = None
        if history.episodes[index].closed_at is not None:
            closing = old.closing if old is not None and old.closing is not None else entry
        opening = old.opening_id if old is not None else entry.pk
        row = episode_row(
            fault, history, index, opening=opening, closing=closing, work=known.work, hold=hold, previous=previous,
            turn=turn,
        )  # fmt: skip
        previous, turn = row, row.turn or turn
        made.append(row)
    return made
