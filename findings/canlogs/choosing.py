"""What the technician chose in the preview: each row's tick, each sender's place, and what is logged of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from commands.refusals import Refused
from engineering.codes import CodeStatus, CodeSystem
from engineering.plurals import plural
from findings.canlogs.importing import UnitHeard, ValueChosen
from findings.canlogs.preview import MOST_ROWS, CodeHeard, Understood, ValueHeard
from findings.canlogs.queries import LoggedFrom
from findings.canlogs.senders import Sender, Target
from findings.canlogs.unread import (
    NOT_COUNTED,
    hides_codes,
    may_have_held_words,
    may_hide_codes,
    sentence_of,
    was_not_counted,
)
from findings.faults.actions import CodeSeen
from findings.faults.extent import doubt_about_everything
from findings.readings.checking import impossible, unusual

SOME_ONLY = "Choose “Only some of what the units can report”"


@dataclass(frozen=True)
class CodeRow:
    """One code or status bit in the preview. ``remark`` says why it is not ticked beforehand."""

    heard: CodeHeard
    status: CodeStatus
    is_taken: bool
    remark: str
    is_logged: bool = False


@dataclass(frozen=True)
class ValueRow:
    """One value in the preview. ``remark`` says why it is not ticked beforehand."""

    heard: ValueHeard
    is_taken: bool
    remark: str
    is_logged: bool = False


def code_rows(
    codes: Sequence[CodeHeard],
    data: Mapping[str, Any] | None,
    *,
    usual: Mapping[Sender, Target],
    logged: LoggedFrom,
    on_other_job: str = "",
) -> list[CodeRow]:
    """The rows as they were sent, or as they usually are: ticked where there are units, and not logged yet.

    ``on_other_job`` says that something of the file is logged on another job of the boat: then nothing is ticked.
    """
    has_units = any(target.unit is not None for target in usual.values())
    rows = []
    for one in codes:
        unit = usual[one.sender].unit
        is_logged = unit is not None and unit.pk in logged.units
        remark = "A scan of this unit is already logged from this file." if is_logged else on_other_job
        if data is None:
            rows.append(CodeRow(one, one.status, one.is_usual and has_units and not remark, remark, is_logged))
            continue
        sent = str(data.get(f"{one.key}-status", one.status))
        status = CodeStatus(sent) if sent in set(CodeStatus) else one.status
        rows.append(CodeRow(one, status, one.code is not None and f"{one.key}-take" in data, remark, is_logged))
    return rows


def value_rows(
    values: Sequence[ValueHeard],
    data: Mapping[str, Any] | None,
    *,
    usual: Mapping[Sender, Target],
    logged: LoggedFrom,
    on_other_job: str = "",
) -> list[ValueRow]:
    """The rows as they were sent, or as they usually are: each thing of an engine once, and what is not logged yet."""
    rows, first_by_thing = [], dict[tuple[Any, ...], Sender]()
    for one in values:
        target = usual[one.sender]
        engine_id = target.engine.pk if target.engine else None
        remark = ""
        is_logged = bool(logged.same_readings(engine_id, one.named.parameter, one.named.condition))
        if is_logged:
            remark = "Already logged from this file."
        remark = remark or on_other_job
        thing = (target.value if engine_id is None else engine_id, one.named)
        if target.is_anywhere and first_by_thing.setdefault(thing, one.sender) != one.sender:
            remark = remark or f"The same comes from {first_by_thing[thing].words.lower()} as well."
        figures = {"minimum": one.minimum, "maximum": one.maximum}
        odd = impossible(one.unit, figures, of=one.named.parameter) or unusual(one.named.parameter, one.unit, figures)
        if odd:
            remark = remark or next(iter(odd.values()))
        if one.moved_much:
            remark = remark or "It moved much over the log: see whether one figure says enough."
        taken = one.is_usual and not remark if data is None else f"{one.key}-take" in data
        rows.append(ValueRow(one, taken, remark, is_logged))
    return rows


def units_chosen(
    understood: Understood, rows: Sequence[CodeRow], places: Mapping[Sender, Target], *, extent: str
) -> list[UnitHeard]:
    """A scan for each unit that has a ticked code, or that told of codes where the log is said to hold everything.

    Raises:
        Refused: a code is ticked whose sender belongs to no unit; at ``to_<number of the sender>``. The log is said to
            hold everything, and holds messages that may have held codes and could not be read; at ``extent``.
    """
    _refuse_codes_without_unit(understood, rows, places)
    if extent == "all":
        _refuse_what_was_not_read(understood, places)
    units = {target.unit.pk: target.unit for target in places.values() if target.unit is not None}
    chosen = []
    for unit in units.values():
        senders = [sender for sender, target in places.items() if target.unit == unit]
        codes = [
            CodeSeen(row.heard.code, row.status, row.heard.count)
            for row in rows
            if row.is_taken and row.heard.code is not None and row.heard.sender in senders
        ]
        tells_codes = not understood.tell_codes.isdisjoint(senders)
        tells_status = not understood.tell_status.isdisjoint(senders)
        is_complete = extent == "all" and (tells_codes or tells_status)
        if codes or is_complete:
            source = "can-log" if tells_codes == tells_status else "can-dm" if tells_codes else "can-bits"
            chosen.append(UnitHeard(unit, senders, codes, is_complete, source))
    return chosen


def _refuse_codes_without_unit(
    understood: Understood, rows: Sequence[CodeRow], places: Mapping[Sender, Target]
) -> None:
    for index, sender in enumerate(understood.senders):
        target = places[sender]
        if (
            target.unit is None
            and target.is_anywhere
            and any(row.is_taken and row.heard.sender == sender for row in rows)
        ):
            raise Refused(
                f"{sender.words} has selected codes, but belongs to no control unit.",
                fields={f"to_{index}": "Codes belong to a control unit: choose one, or deselect the codes."},
            )


def _refuse_what_was_not_read(understood: Understood, places: Mapping[Sender, Target]) -> None:
    """Where codes may have gone by unread, what is not in the log is not proven gone."""
    summary = understood.summary
    hidden = hides_codes(summary, [sender for sender, target in places.items() if target.is_anywhere])
    why = NOT_COUNTED if was_not_counted(summary) else " ".join(sentence_of(one, summary) for one in hidden)
    way_out = f"{SOME_ONLY}." if was_not_counted(summary) else f"{SOME_ONLY}, or leave that sender out."
    shown = max(len(understood.codes), len(understood.statuses)) <= MOST_ROWS
    if not why and (not shown or any(one.kind == "codes" for one in summary.damages)):
        why, way_out = "This log holds more codes than can be shown.", f"{SOME_ONLY}."
    if why:
        raise Refused(
            "This log cannot be logged as everything the units reported.",
            fields={"extent": f"{why} What is not listed would count as gone. {way_out}"},
        )


def refuse_ticks_left_out(
    senders: Sequence[Sender], codes: Sequence[CodeRow], values: Sequence[ValueRow], places: Mapping[Sender, Target]
) -> None:
    """What is ticked is logged, so its sender cannot be left out.

    Raises:
        Refused: a ticked row comes from a sender that is left out; at ``to_<number of the sender>``, for each of them.
    """
    fields = {}
    for index, sender in enumerate(senders):
        if places[sender].is_anywhere:
            continue
        said = " and ".join(
            counted_kinds(
                {
                    "selected code": sum(row.is_taken and row.heard.sender == sender for row in codes),
                    "selected value": sum(row.is_taken and row.heard.sender == sender for row in values),
                }
            )
        )
        if said:
            words = f"{sender.words[0].lower()}{sender.words[1:]}"
            fields[f"to_{index}"] = f"{said} from {words}: choose where it belongs, or deselect them."
    if fields:
        raise Refused("What is selected comes from a sender that is left out.", fields=fields)


def left_out_words(understood: Understood, codes: Sequence[CodeRow], values: Sequence[ValueRow]) -> str:
    """How many codes and values of a log stay out of the boat's log, and whose they are; empty for none."""
    kept = {row.heard.key for row in codes if row.is_taken or row.is_logged}
    kept |= {row.heard.key for row in values if row.is_taken or row.is_logged}
    heard = [one for one in [*understood.codes, *understood.statuses] if one.key not in kept]
    measured = [one for one in understood.values if one.key not in kept]
    parts = []
    for sender in understood.senders:
        said = counted_kinds(
            {
                "code": sum(one.sender == sender for one in heard),
                "value": sum(one.sender == sender for one in measured),
            }
        )
        if said:
            parts.append(f"{' and '.join(said)} from {sender.words[0].lower()}{sender.words[1:]}")
    return f"Left out: {'; '.join(parts)}." if parts else ""


def counted_kinds(counts: Mapping[str, int]) -> list[str]:
    """How many there are of each kind; those of which there is none are left out."""
    return [f"{count} {plural(count, kind)}" for kind, count in counts.items() if count]


def values_chosen(
    rows: Sequence[ValueRow], places: Mapping[Sender, Target], conditions: Mapping[int, str]
) -> list[ValueChosen]:
    """The ticked values of senders that are not left out; an engine's condition is added to the value's own."""
    chosen = []
    for row in rows:
        target = places[row.heard.sender]
        if not row.is_taken or not target.is_anywhere:
            continue
        own = row.heard.named.condition
        typed = conditions.get(target.engine.pk, "") if target.engine else ""
        chosen.append(ValueChosen(row.heard, target, ", ".join(word for word in [own, typed] if word)[:120]))
    return chosen


def doubt_about_log(understood: Understood, rows: Sequence[CodeRow], units: Sequence[UnitHeard]) -> str:
    """Why this log can hardly prove that what is not in it is gone; empty where it can, or is not said to."""
    complete = {sender for one in units if one.is_complete for sender in one.senders}
    if not complete:
        return ""
    unread = [may_have_held_words(may_hide_codes(understood.summary, complete))]
    unread += [f"{one.count:,} × {one.sentence}" for one in understood.summary.damages if one.kind == "code-rest"]
    left_out = dict.fromkeys(
        row.heard.label if row.heard.code else "A code that cannot be decoded"
        for row in rows
        if row.heard.sender in complete and not row.is_taken and (row.heard.is_usual or not _is_bit(row.heard))
    )
    return doubt_about_everything("log", " ".join(filter(None, unread)), list(left_out))


def _is_bit(heard: CodeHeard) -> bool:
    """Whether it is a status bit: some of them, such as preheating, tell no fault."""
    return heard.code is not None and heard.code.system is CodeSystem.STATUS
