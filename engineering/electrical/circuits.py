"""Circuits under load: resistance from a drop, and the drops of a cranking circuit judged part by part."""

from collections.abc import Sequence
from dataclasses import dataclass

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    exceeds,
    range_position,
    require_not_negative,
    require_number,
    require_positive,
)


def resistance_ohm(*, drop_v: float, current_a: float) -> float:
    """The resistance in Ω between the probes, from the drop in V while ``current_a`` flows.

    Raises :class:`engineering.amounts.AmountProblem` without current, or for a drop below zero. Source: Ohm's law.
    """
    require_positive("current_a", current_a, "The current")
    _require_drop("drop_v", drop_v)
    return drop_v / current_a


def drop_v(*, resistance_ohm: float, current_a: float) -> float:
    """The drop in V that a resistance makes. Raises :class:`engineering.amounts.AmountProblem`. Source: Ohm's law."""
    require_not_negative("resistance_ohm", resistance_ohm, "The resistance")
    require_not_negative("current_a", current_a, "The current")
    return resistance_ohm * current_a


@dataclass(frozen=True, slots=True)
class PartDrop:
    """One part of a circuit: its name, what was measured over it, and the most it may be (None: not judged).

    ``field`` and ``limit_field`` are what an error about the one or the other names.
    """

    part: str
    drop_v: float
    most_v: float | None = None
    field: str = ""
    limit_field: str = ""


@dataclass(frozen=True, slots=True)
class JudgedDrop:
    """A part with its verdict. ``over_v`` is how far it is above its limit, or 0; ``mohm`` needs a current."""

    part: str
    drop_v: float
    most_v: float | None
    standing: RangePosition | None
    over_v: float
    mohm: float | None

    @property
    def is_too_high(self) -> bool:
        """Whether the drop is above its limit."""
        return self.standing is RangePosition.ABOVE


def judge_drops(parts: Sequence[PartDrop], *, current_a: float | None = None) -> tuple[JudgedDrop, ...]:
    """Each part against its limit, in the order given; a drop on its limit is within it.

    Limits come from the caller: the maker's, or nominal ones with their source. Resistances in mΩ need ``current_a``.
    Raises :class:`engineering.amounts.AmountProblem` for a drop below zero (probes exchanged), a limit or a
    current that makes no sense.
    """
    if current_a is not None:
        require_positive("current_a", current_a, "The current")
    judged = []
    for part in parts:
        name = part.field or part.part
        _require_drop(name, part.drop_v)
        if part.most_v is not None:
            require_positive(part.limit_field or name, part.most_v, f"The limit of the {part.part.lower()}")
        over = part.drop_v - part.most_v if part.most_v is not None and exceeds(part.drop_v, part.most_v) else 0.0
        judged.append(
            JudgedDrop(
                part.part,
                part.drop_v,
                part.most_v,
                None if part.most_v is None else range_position(part.drop_v, low=None, high=part.most_v),
                over,
                None if current_a is None else part.drop_v / current_a * 1000,
            )
        )
    return tuple(judged)


def worst_drop(judged: Sequence[JudgedDrop]) -> JudgedDrop | None:
    """The part that is furthest above its limit; None where none is above."""
    too_high = [drop for drop in judged if drop.is_too_high]
    return max(too_high, key=lambda drop: drop.over_v / (drop.most_v or 1.0)) if too_high else None


def _require_drop(field: str, value: float) -> None:
    require_number(field, value, "The drop")
    if value < 0:
        raise AmountProblem(
            "A drop below zero means that the probes are swapped. Write it without the sign.", field=field
        )
