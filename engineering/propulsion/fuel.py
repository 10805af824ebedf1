"""Fuel burn from brake specific fuel consumption (BSFC), and what was measured against it."""

from dataclasses import dataclass

from engineering.amounts import RangePosition, range_position, require_not_negative, require_positive


@dataclass(frozen=True, slots=True)
class TypicalFuel:
    """Figures to start from where the engine's own are not known. Planning figures: no limit is judged by them."""

    name: str
    bsfc_lb_per_hp_h: float
    density_lb_per_gal: float
    source: str


TYPICAL_FUELS = (
    TypicalFuel("gasoline", 0.50, 6.1, "common practice, repeated in several boating articles"),
    TypicalFuel("diesel", 0.40, 7.2, "common practice, repeated in several boating articles"),
)


@dataclass(frozen=True, slots=True)
class BurnComparison:
    """Fuel burn measured against what the power made should take; ``difference`` as a fraction of that."""

    expected_l_per_h: float
    measured_l_per_h: float
    difference: float
    standing: RangePosition
    sentence: str
    look_at: tuple[str, ...]


def fuel_burn_l_per_h(*, power_kw: float, bsfc_g_per_kwh: float, density_kg_per_l: float) -> float:
    """Fuel that an engine burns while it makes a power, in L/h: BSFC · power / density.

    Raises ``AmountProblem`` for a negative power, or BSFC or density not above 0. Source: definition of BSFC; in the
    trade's units, gal/h = BSFC · hp / (lb/gal) (common practice, repeated in several boating articles).
    """
    require_not_negative("power_kw", power_kw, "The power")
    require_positive("bsfc_g_per_kwh", bsfc_g_per_kwh, "The specific consumption")
    require_positive("density_kg_per_l", density_kg_per_l, "The fuel's density")
    return power_kw * bsfc_g_per_kwh / (density_kg_per_l * 1000)


def bsfc_g_per_kwh(*, burn_l_per_h: float, power_kw: float, density_kg_per_l: float) -> float:
    """Specific consumption of an engine that burns so much while it makes a power, in g/kWh.

    Raises ``AmountProblem`` for a negative burn, or power or density not above 0. Source: definition of BSFC.
    """
    require_not_negative("burn_l_per_h", burn_l_per_h, "The fuel burn")
    require_positive("power_kw", power_kw, "The power")
    require_positive("density_kg_per_l", density_kg_per_l, "The fuel's density")
    return burn_l_per_h * density_kg_per_l * 1000 / power_kw


def power_from_burn_kw(*, burn_l_per_h: float, bsfc_g_per_kwh: float, density_kg_per_l: float) -> float:
    """Power that a fuel burn stands for at a specific consumption, in kW.

    Raises ``AmountProblem`` for a negative burn, or BSFC or density not above 0. Source: definition of BSFC.
    """
    require_not_negative("burn_l_per_h", burn_l_per_h, "The fuel burn")
    require_positive("bsfc_g_per_kwh", bsfc_g_per_kwh, "The specific consumption")
    require_positive("density_kg_per_l", density_kg_per_l, "The fuel's density")
    return burn_l_per_h * density_kg_per_l * 1000 / bsfc_g_per_kwh


def compare_burn(*, measured_l_per_h: float, expected_l_per_h: float, tolerance: float) -> BurnComparison:
    """A measured burn against an expected one, within ``tolerance`` as a fraction of the expected.

    Raises ``AmountProblem`` for a negative measured burn or tolerance, or an expected burn not above 0. What to look
    at is common practice, no source.
    """
    require_not_negative("measured_l_per_h", measured_l_per_h, "The measured burn")
    require_positive("expected_l_per_h", expected_l_per_h, "The expected burn")
    require_not_negative("tolerance", tolerance, "The tolerance")
    low, high = expected_l_per_h * (1 - tolerance), expected_l_per_h * (1 + tolerance)
    standing = range_position(measured_l_per_h, low=low, high=high)
    sentence, look_at = _WORDS[standing]
    difference = measured_l_per_h / expected_l_per_h - 1
    return BurnComparison(expected_l_per_h, measured_l_per_h, difference, standing, sentence, look_at)


def words_of_burn(standing: RangePosition) -> tuple[str, tuple[str, ...]]:
    """What a burn that stands so says, and what to look at: common practice, no source."""
    return _WORDS[standing]


_WORDS: dict[RangePosition, tuple[str, tuple[str, ...]]] = {
    RangePosition.WITHIN: ("The fuel burn fits the power.", ()),
    RangePosition.ABOVE: (
        "The fuel burn is higher than this power should need.",
        (
            "Check whether the engine really makes this power: engine speed, load, boat speed as usual.",
            "Look for too rich a mixture, leaking injectors, late timing, a cold-running or restricted engine, a leak.",
            "Check the meter: over a long run, fuel taken on against fuel counted.",
        ),
    ),
    RangePosition.BELOW: (
        "The fuel burn is lower than this power should need, so the engine probably does not make it.",
        (
            "See whether it reaches its rated speed at wide-open throttle.",
            "Look for fuel starvation: filters, lift pump, air in the lines, a closed valve.",
            "Check the meter: over a long run, fuel taken on against fuel counted.",
        ),
    ),
}
