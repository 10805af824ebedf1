"""Copper conductors by gauge: area, resistance, voltage drop, and the size that a run needs.

Two gauges share their numbers and not their copper: AWG (American Wire Gauge) and SAE (vehicle cable), which has some
10 % less. Areas are in circular mils (cmil), as the trade's formula has them.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import pi

from engineering.amounts import AmountProblem, reaches, require_number, require_positive
from engineering.electrical.ampacity_table import IN_ENGINE_SPACE, INSULATIONS_C, TABLE_5_A

K_COPPER = 10.75
"""Ω·cmil/ft of copper in the trade's sizing formula. Source: marine catalogs after ABYC E-11 (common practice)."""
K_COPPER_C = 29.3
"""The temperature of copper, in °C, at which that is so: see :func:`copper_k`."""
REFERENCE_C = 20.0
_K_AT_20_C = 10.3712
"""Ω·cmil/ft of annealed copper at 20 °C, 1/58 Ω·mm²/m. Source: NBS Handbook 100, "Copper Wire Tables" (1966)."""
_ALPHA_20 = 0.00393
_FOOT_M = 0.3048
_COLDEST_C, _HOTTEST_C = -60.0, 200.0
"""Where resistance is near enough a straight line over temperature, and insulation exists."""


class Gauge(StrEnum):
    """Which system a gauge number belongs to."""

    AWG = "AWG"
    SAE = "SAE"


@dataclass(frozen=True, slots=True)
class Conductor:
    """One size of conductor: ``size`` as printed ("12", "2/0"), its copper area in circular mils."""

    gauge: Gauge
    size: str
    circular_mils: float

    @property
    def area_mm2(self) -> float:
        """The copper area in mm²; 1 cmil is π/4 of a square mil."""
        return self.circular_mils * pi / 4 * 0.0254**2

    @property
    def name(self) -> str:
        """As the trade says it: "12 AWG", "2/0 SAE"."""
        return f"{self.size} {self.gauge}"


SIZES = ("18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0")
"""The sizes in use on boats, from thin to thick."""

_SAE_CIRCULAR_MILS = {
    "18": 1537, "16": 2336, "14": 3702, "12": 5833, "10": 9343, "8": 14810, "6": 24538, "4": 37360, "2": 62450,
    "1": 77790, "1/0": 98980, "2/0": 125100, "3/0": 158600, "4/0": 205500,
}  # fmt: skip


def awg_circular_mils(number: int) -> float:
    """The area of an AWG size in circular mils; 0, -1, -2 and -3 are 1/0, 2/0, 3/0 and 4/0.

    Raises :class:`engineering.amounts.AmountProblem` outside -3 to 40. Source: ASTM B258, d = 0.005·92^((36-n)/39) in.
    """
    if not -3 <= number <= 40:
        raise AmountProblem("AWG sizes from 4/0 to 40 are known here.", field="number")
    mils = 5 * 92 ** ((36 - number) / 39)
    return float(mils**2)


def conductor(gauge: Gauge, size: str) -> Conductor:
    """The conductor of a size, such as "12" or "2/0".

    Raises :class:`engineering.amounts.AmountProblem` for a size that is not in ``SIZES``. Source of the SAE areas:
    marine catalogs that print both columns (after SAE J378 / J1128 and ABYC E-11); 3/0 from memory.
    """
    if size not in SIZES:
        raise AmountProblem(f"“{size[:10]}” is not a size known here: {', '.join(SIZES)}.", field="size")
    if gauge is Gauge.SAE:
        return Conductor(gauge, size, float(_SAE_CIRCULAR_MILS[size]))
    number = 1 - int(size.partition("/")[0]) if "/" in size else int(size)
    return Conductor(gauge, size, awg_circular_mils(number))


def copper_k(temperature_c: float) -> float:
    """Ω·cmil/ft of copper at a temperature in °C: 10.371 at 20 °C, 10.75 at 29.3 °C, 12.61 at 75 °C.

    Raises :class:`engineering.amounts.AmountProblem` outside -60 to 200 °C. Source: NBS Handbook 100
    (1966), α = 0.00393.
    """
    require_number("temperature_c", temperature_c, "The conductor's temperature")
    if not _COLDEST_C <= temperature_c <= _HOTTEST_C:
        raise AmountProblem("A conductor's temperature here is from −60 to 200 °C.", field="temperature_c")
    return _K_AT_20_C * (1 + _ALPHA_20 * (temperature_c - REFERENCE_C))


def length_resistance_ohm(*, length_m: float, circular_mils: float, k: float = K_COPPER) -> float:
    """The resistance in Ω of ``length_m`` of conductor.

    Raises :class:`engineering.amounts.AmountProblem`. Source: that of ``k``.
    """
    require_positive("length_m", length_m, "The length")
    require_positive("circular_mils", circular_mils, "The conductor's area")
    require_positive("k", k, "The constant K")
    return k * length_m / _FOOT_M / circular_mils


def voltage_drop_v(*, current_a: float, round_trip_m: float, circular_mils: float, k: float = K_COPPER) -> float:
    """The drop in V over both wires of a run, out and back.

    ``round_trip_m`` is the length of both wires together, in m. Raises :class:`engineering.amounts.AmountProblem`.
    Source: CM = K·I·L/E, marine catalogs after ABYC E-11 (common practice).
    """
    require_positive("current_a", current_a, "The current")
    require_positive("round_trip_m", round_trip_m, "The round trip")
    return current_a * length_resistance_ohm(length_m=round_trip_m, circular_mils=circular_mils, k=k)


def circular_mils_needed(*, current_a: float, round_trip_m: float, allowed_drop_v: float, k: float = K_COPPER) -> float:
    """The area in circular mils that keeps the drop at ``allowed_drop_v``, out and back.

    Raises :class:`engineering.amounts.AmountProblem`. Source: CM = K·I·L/E with K = 10.75 and L the round trip in feet,
    marine catalogs after ABYC E-11 (common practice).
    """
    require_positive("current_a", current_a, "The current")
    require_positive("round_trip_m", round_trip_m, "The round trip")
    require_positive("allowed_drop_v", allowed_drop_v, "The allowed drop")
    require_positive("k", k, "The constant K")
    return k * current_a * (round_trip_m / _FOOT_M) / allowed_drop_v


def smallest_conductor(circular_mils: float, gauge: Gauge) -> Conductor:
    """The next size with at least this area.

    Raises :class:`engineering.amounts.AmountProblem` where even 4/0 is too small. Source: the next larger conductor is
    to be used where the area falls between two sizes (marine catalogs, citing NFPA and US Coast Guard rules).
    """
    require_positive("circular_mils", circular_mils, "The area")
    for size in SIZES:
        candidate = conductor(gauge, size)
        if reaches(candidate.circular_mils, circular_mils):
            return candidate
    largest = conductor(gauge, SIZES[-1])
    raise AmountProblem(
        f"The run needs {circular_mils:,.0f} cmil, more than {largest.name} has ({largest.circular_mils:,.0f} cmil): "
        "shorten the run, run conductors side by side, or allow more drop.",
        field="current_a",
    )


@dataclass(frozen=True, slots=True)
class Ampacity:
    """What one conductor carries, in A, outside an engine space and inside it."""

    outside_a: float
    inside_a: float


def ampacity(size: str) -> Ampacity | None:
    """What a single AWG conductor with 105 °C insulation, not bundled, carries, in whole A; None for unknown sizes.

    :mod:`engineering.electrical.ampacity` knows other insulation, bundles and SAE wire. Source: 33 CFR 183.425,
    Table 5, rounded as marine catalogs print it.
    """
    row = TABLE_5_A.get(size)
    if row is None:
        return None
    outside = row[INSULATIONS_C.index(105)]
    return Ampacity(outside, round(outside * IN_ENGINE_SPACE[105]))
