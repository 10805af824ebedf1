"""What a conductor carries without its insulation getting too hot, and the fuse or breaker that protects it.

For insulated, stranded copper in circuits below 50 V. Cranking-motor conductors and brief surges are outside of it.
"""

from dataclasses import dataclass
from math import floor, sqrt

from engineering.amounts import AmountProblem, exceeds, reaches, require_positive
from engineering.electrical.ampacity_table import IN_ENGINE_SPACE, INSULATIONS_C, TABLE_5_A
from engineering.electrical.conductors import SIZES, Conductor, Gauge, conductor

BOAT_CABLE_C = 105
SOURCE = "33 CFR 183.425, Table 5"
_BUNDLED = ((2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5))
_MORE_BUNDLED = 0.4
_FUSE_SHARE = 1.5
_ROUNDING = 1e-6
FUSES_A = (
    1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225, 250, 300, 350,
    400, 450, 500,
)  # fmt: skip
"""Ratings of fuses and breakers that chandlers sell. Common practice, no source."""
CRANKING_S = 15
"""How long a starter is cranked in one go at the most. Common practice, no source."""
_COPPER_OHM_M, _COPPER_J_M3_K = 1 / 58e6, 3.45e6
_AMBIENT_C, _AMBIENT_INSIDE_C = 30.0, 50.0
"""What Table 5 holds at, outside engine spaces and in them. Source: 33 CFR 183.425, from memory."""
THINNEST_ALONE = "16"
"""The thinnest conductor that may be installed by itself. Source: 33 CFR 183.425(e)."""


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Where a conductor runs: its insulation's rating in °C, and the heat around it.

    ``bundled`` counts all conductors of the bundle that carry current, itself among them.

    Raises :class:`engineering.amounts.AmountProblem` for a rating that the table does not know, and for no conductor.
    """

    insulation_c: int = BOAT_CABLE_C
    in_engine_space: bool = False
    bundled: int = 2

    def __post_init__(self) -> None:
        """Refuse what the table does not know."""
        if self.insulation_c not in INSULATIONS_C:
            known = ", ".join(map(str, INSULATIONS_C))
            raise AmountProblem(f"Insulation is rated {known} °C here.", field="insulation_c")
        if self.bundled < 1:
            raise AmountProblem("At least one conductor runs there.", field="bundled")

    @property
    def share(self) -> float:
        """What is left of Table 5 here. Source of the bundling: marine catalogs, after the Coast Guard's guideline."""
        engine = IN_ENGINE_SPACE[self.insulation_c] if self.in_engine_space else 1.0
        return engine * next((share for most, share in _BUNDLED if self.bundled <= most), _MORE_BUNDLED)

    @property
    def words(self) -> str:
        """In words: "105 °C insulation, in an engine space, 3 loaded wires bundled"."""
        place = "in an engine space" if self.in_engine_space else "outside engine spaces"
        bundle = f", {self.bundled} loaded wires bundled" if self.bundled > _BUNDLED[0][0] else ""
        return f"{self.insulation_c} °C insulation, {place}{bundle}"


@dataclass(frozen=True, slots=True)
class AmpacityRange:
    """What a conductor carries, in A: surely ``least_a``, and by no reading of the table more than ``most_a``.

    Both are the same for AWG. The table has no SAE sizes: such a wire carries what the next smaller AWG size by copper
    does (None where there is none), and less than the AWG size of its number.
    """

    least_a: float | None
    most_a: float


def carries(wire: Conductor, where: Surroundings) -> AmpacityRange:
    """What a conductor carries where it runs. Source: 33 CFR 183.425, Table 5 and its note 1; bundling as above."""
    most = _allowed_a(wire.size, where)
    if wire.gauge is Gauge.AWG:
        return AmpacityRange(most, most)
    smaller = [size for size in SIZES if reaches(wire.circular_mils, conductor(Gauge.AWG, size).circular_mils)]
    return AmpacityRange(_allowed_a(smaller[-1], where) if smaller else None, most)


def _allowed_a(size: str, where: Surroundings) -> float:
    """The table's amperage there, to the tenth below."""
    return _tenth_below(TABLE_5_A[size][INSULATIONS_C.index(where.insulation_c)] * where.share)


def _tenth_below(amps: float) -> float:
    return floor(amps * 10 + _ROUNDING) / 10


def largest_fuse_a(carried_a: float) -> float:
    """The largest rating of a fuse or breaker, in A and to the tenth below, for a conductor that carries ``carried_a``.

    150 % of it in circuits below 50 V. Raises :class:`engineering.amounts.AmountProblem`. Source: 33 CFR 183.455(c)(1).
    """
    require_positive("carried_a", carried_a, "What the wire carries")
    return _tenth_below(_FUSE_SHARE * carried_a)


def fuse_of_the_wire_a(carried_a: float) -> float | None:
    """The largest rating sold that protects a conductor, in A: that of what it carries, or else the next above it.

    Where the next is above 150 % of it, the largest below; None where there is none. Raises
    :class:`engineering.amounts.AmountProblem`. Source: the 150 % are 33 CFR 183.455(c)(1); that a larger rating than
    the wire's own is only for want of one is ABYC E-11 (from memory).
    """
    most_a = largest_fuse_a(carried_a)
    below = [rating for rating in FUSES_A if not exceeds(rating, carried_a)]
    if below and reaches(below[-1], carried_a):
        return below[-1]
    above = next((rating for rating in FUSES_A if exceeds(rating, carried_a)), None)
    if above is not None and not exceeds(above, most_a):
        return above
    return below[-1] if below else None


def fuse_for(*, current_a: float, carried_a: float) -> float | None:
    """The rating to fit, in A: the smallest sold above the current, up to that of the wire; None where there is none.

    Raises :class:`engineering.amounts.AmountProblem`. Source: as of :func:`fuse_of_the_wire_a`; above the current, as
    a fuse of the same rating blows in time, is common practice, no source.
    """
    require_positive("current_a", current_a, "The current")
    holding = next((rating for rating in FUSES_A if exceeds(rating, current_a)), None)
    most_a = fuse_of_the_wire_a(carried_a)
    return None if holding is None or most_a is None or exceeds(holding, most_a) else holding


def cranking_most_a(wire: Conductor, where: Surroundings) -> float:
    """The current in A that surely makes a conductor too hot for its insulation within 15 s of cranking.

    It takes it that no heat gets away, so it says which conductor is too thin for a cranking motor, and never that one
    is thick enough. Source: I = A·√(ΔT·c / (ρ·t)), copper of 1/58 Ω·mm²/m (NBS Handbook 100) and 3.45 MJ/(m³·K)
    (385 J/(kg·K) and 8,960 kg/m³, handbook values), from what surrounds it by the table's note 1.
    """
    room_c = where.insulation_c - (_AMBIENT_INSIDE_C if where.in_engine_space else _AMBIENT_C)
    return wire.area_mm2 * 1e-6 * sqrt(room_c * _COPPER_J_M3_K / (_COPPER_OHM_M * CRANKING_S))


def smallest_for_current(current_a: float, gauge: Gauge, where: Surroundings) -> Conductor:
    """The smallest size that surely carries a current, and may be installed by itself.

    Raises :class:`engineering.amounts.AmountProblem` where even 4/0 is too small. Source: as of :func:`carries`.
    """
    require_positive("current_a", current_a, "The current")
    for size in SIZES[SIZES.index(THINNEST_ALONE) :]:
        wire = conductor(gauge, size)
        least = carries(wire, where).least_a
        if least is not None and reaches(least, current_a):
            return wire
    raise AmountProblem(
        f"No single conductor up to 4/0 {gauge} carries {current_a:g} A there ({where.words}). Split the circuit, or "
        "have it designed to the standard: wires side by side need their own rules and fuses.",
        field="current_a",
    )


def smallest_for_cranking(current_a: float, gauge: Gauge, where: Surroundings) -> Conductor:
    """The smallest size that 15 s of cranking do not surely make too hot: the least that could do, and no proof.

    Raises :class:`engineering.amounts.AmountProblem` where even 4/0 is too small. Source: :func:`cranking_most_a`.
    """
    for size in SIZES[SIZES.index(THINNEST_ALONE) :]:
        wire = conductor(gauge, size)
        if not exceeds(current_a, cranking_most_a(wire, where)):
            return wire
    raise AmountProblem(
        f"No single conductor up to 4/0 {gauge} stays cool enough while {current_a:g} A crank. Have it designed.",
        field="current_a",
    )
