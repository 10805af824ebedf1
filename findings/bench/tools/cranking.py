"""The starter's circuit, part by part while the engine cranks."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.amounts import AmountProblem, exceeds
from engineering.electrical.circuits import JudgedDrop, PartDrop, judge_drops, worst_drop
from engineering.electrical.nominal import CONNECTION_V, CRANKING_GROUND_V, CRANKING_POSITIVE_V
from engineering.measures import Kind
from findings.bench.judged import Judged
from findings.bench.tool import (
    Band,
    Choice,
    Column,
    Example,
    Figure,
    Given,
    Group,
    Outcome,
    Prefill,
    Quantity,
    Table,
    Tool,
    ToolContext,
    Words,
)
from findings.bench.wire_fields import DIRECT_CURRENT
from findings.cautions import BATTERIES, CRANKING, ROTATING, SHORT_CIRCUIT

NEUTRAL = "Put the gear in neutral, and make sure that it is, before anyone turns the key."
_TO_TERMINAL = "Battery post to starter terminal"
_TO_CASE = "Battery post to starter case"
_ACROSS = "Across one connection"
_SIDES = ("Positive side", "Ground side")
_STARTER, _GROUND = "Starter circuit voltage drop", "Ground circuit voltage drop"


def _nominal_limit(name: str, section: str, *, parameter: str, nominal_v: float, source: str) -> Quantity:
    """A limit to edit: the spec card's, or a nominal one with its source."""

    def default(at: ToolContext) -> Prefill:
        limit = at.limit(parameter)
        if limit is not None and limit.high is not None:
            return Prefill(f"{limit.high.normalize():f} {limit.unit}", f"From {at.source_of(limit)}.")
        return Prefill(f"{nominal_v:g} V", f"Nominal, {source}. The maker's limit comes first.")

    return Quantity(name, "At most", Kind.VOLTAGE, "V", default=default, section=section)


def _part(given: Given, part: str, name: str) -> PartDrop:
    """A part with the limit beside it."""
    limit = f"{name}_limit"
    return PartDrop(part, given.number(name), given.number(limit), field=name, limit_field=limit)


def _cranking(given: Given) -> Outcome:
    """Both sides and one connection of the starter's circuit, each against its limit."""
    parts = [_part(given, part, name) for part, name in zip(_SIDES, ("positive", "ground"), strict=True)]
    if given.number_or_none("connection") is not None:
        where = given.words("where") or "the worst connection"
        parts.append(_part(given, f"{where[0].upper()}{where[1:]}", "connection"))
    judged = judge_drops(parts, current_a=given.number_or_none("current"))
    system_v = float(given.choice("battery") or _USUAL_V)
    _refuse_beyond_the_battery(parts, system_v)
    _refuse_limits_that_stop_the_starter(parts, system_v)
    _refuse_more_over_a_piece_than_over_the_whole(parts)
    worst = worst_drop(judged)
    main = worst or max(judged, key=lambda drop: drop.drop_v / (drop.most_v or 1.0))
    figure = Figure(f"{main.part}, drop while cranking", main.drop_v, "V", entered=parts[judged.index(main)].field)
    band = Band(None, main.most_v, "V", source="the limit entered")
    found = given.judge(figure, band)
    current_a = given.number_or_none("current")
    doubt = "" if found.is_out else _doubt(parts, current_a)
    both_v = parts[0].drop_v + parts[1].drop_v
    is_open = found.is_out and (main.drop_v >= _OPEN_SHARE * system_v or both_v >= _NOTHING_LEFT_SHARE * system_v)
    return Outcome(
        _doubt_sentence(doubt) if doubt else _cranking_sentence(judged, worst, found, is_open=is_open),
        main=figure,
        band=band,
        not_judged=doubt,
        tables=(_drops_table(judged, says_nothing=is_open or bool(_doubt(parts, current_a))),),
        notes=_cranking_notes(worst, is_open=is_open, in_doubt=bool(doubt)),
        logs_as=_GROUND if main.part == _SIDES[1] else _STARTER,
        condition="" if main.part in _SIDES else main.part,
    )


_USUAL_V = "12"
_OPEN_SHARE = 0.6
"""A part that takes so much of the battery's voltage lets hardly any current through. Common practice, no source."""
_NOTHING_LEFT_SHARE = 0.9
"""Both sides together that leave the starter no more than a tenth of the battery. Common practice, no source."""
_MOST_ALLOWED_SHARE = 0.2
"""A limit above it leaves the starter less than 9.6 V of 12: no maker's limit. Common practice, no source."""
_NO_DROP_V = 0.0005
"""Less shows as nothing on a meter that reads to a millivolt, and no side of a starter's circuit drops so little."""
_LEAST_CRANKING_A = 20.0
"""No starter cranks with less, the smallest outboard's neither. Common practice, no source."""
_APART_V = 0.05
"""Two readings of one thing may differ by so much, as each turn of the engine draws its own current."""
_FULL_SHARE = 1.1
"""A full battery stands a little above its name: 13.2 V of 12. Common practice, no source."""


def _refuse_beyond_the_battery(parts: Sequence[PartDrop], system_v: float) -> None:
    """Refuse drops that are more than the battery gives, alone or together."""
    for part in parts:
        if part.drop_v > _FULL_SHARE * system_v:
            raise AmountProblem(
                f"{part.part}: {part.drop_v:g} V is more than a battery of {system_v:g} V gives while it cranks. Check "
                "the figure, and the battery.",
                field=part.field,
            )
    both = sum(part.drop_v for part in parts[:2])
    if both > _FULL_SHARE * system_v:
        raise AmountProblem(
            f"Positive and ground side together are {both:g} V, more than a battery of {system_v:g} V gives.",
            field=parts[1].field,
        )


def _refuse_limits_that_stop_the_starter(parts: Sequence[PartDrop], system_v: float) -> None:
    for part in parts:
        if part.most_v is not None and exceeds(part.most_v, _MOST_ALLOWED_SHARE * system_v):
            raise AmountProblem(
                f"A limit of {part.most_v:g} V leaves a {system_v:g} V starter too little to crank with. Check the "
                "limit, and the battery.",
                field=part.limit_field,
            )


def _refuse_more_over_a_piece_than_over_the_whole(parts: Sequence[PartDrop]) -> None:
    """Refuse a connection that drops more than either side that it can be a part of."""
    *sides, connection = parts if len(parts) > len(_SIDES) else (*parts, None)
    whole_v = max(side.drop_v for side in sides if side is not None)
    if connection is not None and exceeds(connection.drop_v, whole_v + _APART_V):
        raise AmountProblem(
            f"One connection cannot drop more than the whole side it is in: {connection.drop_v:g} V, and neither side "
            f"is above {whole_v:g} V. Measure them again, each while it cranks.",
            field=connection.field,
        )


def _doubt(parts: Sequence[PartDrop], current_a: float | None) -> str:
    """Why drops within their limits say nothing; empty where they do."""
    if all(part.drop_v < _NO_DROP_V for part in parts):
        return "no drop at all means that no current flowed; measure while it cranks"
    for part in parts:
        if part.drop_v < _NO_DROP_V:
            return (
                f"no drop at all on the {part.part[0].lower()}{part.part[1:]} while current flows cannot be: see that "
                "both probes touch bare metal, and measure it again"
            )
    if current_a is not None and current_a < _LEAST_CRANKING_A:
        return f"no starter cranks with {current_a:g} A, and the drops rise with the current; measure while it cranks"
    return ""


def _doubt_sentence(doubt: str) -> str:
    """The sentence of drops that say nothing."""
    if doubt.startswith("no drop at all means"):
        return "No part drops anything, so nothing was cranked or nothing flowed."
    return "Nothing measured is above its limit, but that is no proof."


def _cranking_sentence(
    judged: tuple[JudgedDrop, ...], worst: JudgedDrop | None, found: Judged, *, is_open: bool
) -> str:
    if worst is None:
        return "Every drop is within its limit."
    if is_open and len([drop for drop in judged[: len(_SIDES)] if drop.is_too_high]) == len(_SIDES):
        both_v = judged[0].drop_v + judged[1].drop_v
        return (
            f"Positive side {judged[0].drop_v:g} V and ground side {judged[1].drop_v:g} V: together {both_v:g} V, "
            "nearly the whole battery. The circuit is open, and hardly any current flows."
        )
    if is_open:
        return (
            f"{worst.part}: {found.shown}, nearly the whole battery: this side is open, and hardly any current flows."
        )
    others = [drop.part for drop in judged if drop.is_too_high and drop is not worst]
    more = f"; {' and '.join(_in_a_sentence(part) for part in others)} too high as well" if others else ""
    return f"{worst.part}: {found.shown}, {found.off} more than the {found.high} allowed{more}."


def _in_a_sentence(part: str) -> str:
    return f"the {part.lower()}" if part in _SIDES else f"{part[0].lower()}{part[1:]}"


def _cranking_notes(worst: JudgedDrop | None, *, is_open: bool, in_doubt: bool) -> tuple[str, ...]:
    if in_doubt:
        return ("If it should crank and does not: look at key, neutral switch, relay and solenoid first.",)
    if is_open:
        return (
            "Find the break along the circuit, from the battery on: a battery switch or fuse, a broken cable or lug, a "
            "solenoid that does not close. The other drops say nothing until current flows.",
        )
    if worst is None:
        return ("A starter that still turns slowly points to the battery, the starter itself or a stiff engine.",)
    return ("Measure along that side from connection to connection: the one that drops most is the one to clean.",)


def _drops_table(judged: tuple[JudgedDrop, ...], *, says_nothing: bool) -> Table:
    """The parts; ``says_nothing``: no current flows that a starter cranks with, so that a small drop is no good one."""
    with_current = any(drop.mohm is not None for drop in judged)
    columns = [
        Column("Part"),
        Column("Drop", "V", significant=6),
        Column("At most", "V", significant=6),
        Column("Verdict"),
    ]
    if with_current:
        columns.append(Column("Resistance", "mohm", us="mohm", metric="mohm"))
    rows: list[list[float | str | None]] = []
    for drop in judged:
        row: list[float | str | None] = [drop.part, drop.drop_v, drop.most_v]
        row += ["too high" if drop.is_too_high else "says nothing" if says_nothing else "within", drop.mohm]
        rows.append(row[: len(columns)])
    return Table("Drops while cranking", columns, rows)


TOOLS = (
    Tool(
        slug="cranking-drops",
        title="Starter circuit while cranking",
        group=Group.ELECTRICAL,
        purpose="The drop of the positive side, the ground side and a connection, each against its limit.",
        fields=(
            Quantity(
                "positive",
                "Positive side",
                Kind.VOLTAGE,
                "V",
                section=_TO_TERMINAL,
                hint="Post, not clamp; while it cranks.",
            ),
            _nominal_limit(
                "positive_limit",
                _TO_TERMINAL,
                parameter=_STARTER,
                nominal_v=CRANKING_POSITIVE_V,
                source="US Army TM 5-3805-254-14P-2",
            ),
            Quantity(
                "ground",
                "Ground side",
                Kind.VOLTAGE,
                "V",
                section=_TO_CASE,
                hint="Post, not clamp; while it cranks.",
            ),
            _nominal_limit(
                "ground_limit",
                _TO_CASE,
                parameter=_GROUND,
                nominal_v=CRANKING_GROUND_V,
                source="0.2 to 0.3 V, common practice",
            ),
            Quantity("connection", "One connection", Kind.VOLTAGE, "V", required=False, section=_ACROSS),
            Quantity(
                "connection_limit",
                "At most",
                Kind.VOLTAGE,
                "V",
                default=f"{CONNECTION_V:g} V",
                hint="Nominal, 0.1 to 0.2 V by a starter training text.",
                section=_ACROSS,
            ),
            Words("where", "Which connection", required=False, section=_ACROSS),
            Choice(
                "battery",
                "Battery",
                [("12", "12 V"), ("24", "24 V"), ("6", "6 V")],
                default=_USUAL_V,
                required=False,
                section="Battery and current",
            ),
            Quantity(
                "current",
                "Cranking current",
                Kind.CURRENT,
                "A",
                required=False,
                argument="current_a",
                least=0,
                most=5000,
                section="Battery and current",
                hint="By a clamp meter; gives the resistances too.",
            ),
        ),
        work=_cranking,
        formula="drop ≤ limit, part by part; R = U / I",
        source="US Army TM 5-3805-254-14P-2, a truck maker's manual and starter training texts (common practice)",
        cautions=(NEUTRAL, CRANKING, ROTATING, BATTERIES, SHORT_CIRCUIT, DIRECT_CURRENT),
        logs_as=_STARTER,
        example=Example(
            {
                "positive": "0.4 V",
                "positive_limit": "0.5 V",
                "ground": "0.35 V",
                "ground_limit": "0.2 V",
                "current": "200 A",
            },
            expects={"Ground side, drop while cranking": "0.35 V"},
            says="Ground side: 0.35 V, 0.15 V more than the 0.2 V allowed",
            source="Limits of an army manual and of training texts; invented readings",
        ),
    ),
)
