"""Leak-down of cylinders under regulated air, and where the air goes."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from engineering.amounts import AmountProblem, exceeds, require_not_negative, require_positive, require_share

_SMALL_BORE_MM = 127.0


class LeakPath(StrEnum):
    """Where escaping air is heard or seen."""

    NOWHERE = "nowhere"
    EXHAUST = "exhaust"
    INTAKE = "intake"
    CRANKCASE = "crankcase"
    COOLANT = "coolant"
    NEXT_CYLINDER = "next cylinder"


@dataclass(frozen=True, slots=True)
class Leak:
    """One cylinder: what it held of the air supplied, as ``fraction`` lost, and whether that is too much."""

    number: int
    supply_kpa: float
    held_kpa: float
    fraction: float
    is_too_much: bool
    sentence: str


def leak_fraction(*, supply_kpa: float, held_kpa: float, cylinder: int | None = None) -> float:
    """The fraction of the supply pressure lost at the gauge behind the orifice: (supply − held) / supply.

    Both in kPa; ``cylinder`` is only for the error. Raises ``AmountProblem`` for a supply not above 0, a negative
    reading, or more held than supplied. Source: FAA AC 43.13-1B (1998, chg 1 2001), chapter 8, 8-14: the
    differential pressure test.
    """
    require_positive("supply_kpa", supply_kpa, "The supply pressure")
    require_not_negative("held_kpa", held_kpa, "The pressure held", row=cylinder)
    if exceeds(held_kpa, supply_kpa):
        raise AmountProblem(
            "A cylinder cannot hold more than is supplied: see whether the gauges are swapped.",
            field="held_kpa",
            row=cylinder,
        )
    return max(1 - held_kpa / supply_kpa, 0.0)


def judge_leak_down(
    *, supply_kpa: float, held_kpa: Sequence[float], most_leak: float, heard: Sequence[LeakPath] | None = None
) -> tuple[Leak, ...]:
    """Judge the cylinders 1, 2, 3 … by what each held of one supply pressure.

    ``most_leak`` is the largest fraction allowed, from the manual (60 of 80 psi is 0.25); ``heard`` says where the air
    of each went; into the coolant or the next cylinder any leak is too much. Raises ``AmountProblem`` as
    :func:`leak_fraction` does, for a limit outside 0 to 1, for no reading, and where the places heard do not match the
    readings. Source: as :func:`leak_fraction`; where the air is heard: maker's manual (2012), a pilots' association's
    maintenance article (2016).
    """
    require_share("most_leak", most_leak, "The most leakage allowed")
    if not held_kpa:
        raise AmountProblem("Give the reading of at least one cylinder.", field="held_kpa")
    places = list(heard) if heard is not None else [LeakPath.NOWHERE] * len(held_kpa)
    if len(places) != len(held_kpa):
        raise AmountProblem("Say for each cylinder where the air was heard, or for none.", field="heard")
    leaks = []
    for number, (held, place) in enumerate(zip(held_kpa, places, strict=True), 1):
        fraction = leak_fraction(supply_kpa=supply_kpa, held_kpa=held, cylinder=number)
        too_much = exceeds(fraction, most_leak) or (place in NEVER_ALLOWED and fraction > 0)
        leaks.append(Leak(number, supply_kpa, held, fraction, too_much, _words(too_much, place)))
    return tuple(leaks)


def orifice_diameter_in(*, bore_mm: float) -> float:
    """The tester's orifice for a bore, in inches: 0.040 below 5.00 in, 0.060 from there up.

    ``bore_mm`` in mm. Raises ``AmountProblem`` for a bore not above 0. Source: FAA AC 43.13-1B (1998, chg 1 2001),
    chapter 8, 8-14; a leakage means little without the orifice it was measured with.
    """
    require_positive("bore_mm", bore_mm, "The bore")
    return 0.040 if exceeds(_SMALL_BORE_MM, bore_mm) else 0.060


NEVER_ALLOWED = frozenset({LeakPath.COOLANT, LeakPath.NEXT_CYLINDER})
"""Where no air may go at all, however little: through the head gasket. Common practice, no source."""


def _words(too_much: bool, place: LeakPath) -> str:
    where, cause = _PLACES[place]
    if place in NEVER_ALLOWED and too_much:
        return f"Leaks {where}, where no air may go at all: {cause}."
    if too_much:
        return f"Leaks too much, {where}: {cause}."
    return "Holds." if place is LeakPath.NOWHERE else f"Holds; what it loses goes out {where}."


_PLACES = {
    LeakPath.NOWHERE: ("place not found", "listen at exhaust, intake, oil filler, coolant and the next plug holes"),
    LeakPath.EXHAUST: ("at the exhaust", "exhaust valve or seat"),
    LeakPath.INTAKE: ("at the intake", "intake valve or seat"),
    LeakPath.CRANKCASE: ("at the oil filler", "rings or cylinder wall"),
    LeakPath.COOLANT: ("into the coolant", "head gasket, head or liner"),
    LeakPath.NEXT_CYLINDER: ("at the next plug hole", "head gasket between the cylinders"),
}
