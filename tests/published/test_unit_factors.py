"""Unit factors against NIST SP 811 (2008), Appendix B, as printed there (recalled from memory), and recomputed values.

The factors themselves come from Pint; this holds that the right unit of Pint stands behind each key.
"""

from decimal import Decimal

import pytest

from engineering.figures import convert_sensibly
from engineering.measures import convert, to_si


def _agrees(value: Decimal, printed: str) -> bool:
    """Whether a value rounds to the printed one, to one unit of its last place."""
    expected = Decimal(printed)
    return abs(value - expected) <= Decimal(1).scaleb(int(expected.as_tuple().exponent))


@pytest.mark.parametrize(
    ("unit", "factor"),
    [
        ("psi", "6894.757"), ("bar", "1.0E+5"), ("inHg", "3386.389"), ("inH2O", "249.082"), ("mbar", "1.0E+2"),
        ("rpm", "0.1047198"), ("kn", "0.5144444"), ("mph", "0.44704"), ("km/h", "0.2777778"), ("in", "0.0254"),
        ("ft", "0.3048"), ("gal", "0.003785412"), ("qt", "0.0009463529"), ("L", "0.001"), ("gal/min", "0.0000630902"),
        ("gal/h", "0.000001051503"), ("hp", "745.6999"), ("PS", "735.4988"), ("ft.lbf", "1.355818"),
        ("in.lbf", "0.1129848"), ("deg", "0.01745329"), ("h", "3600"), ("min", "60"),
        ("in2", "6.4516E-4"), ("cm2", "1.0E-4"), ("mm2", "1.0E-6"), ("cmil", "5.067075E-10"), ("in3", "1.638706E-5"),
        ("impgal", "4.54609E-3"), ("kgf.m", "9.80665"), ("kgf/cm2", "98066.5"), ("MPa", "1.0E+6"), ("lb", "0.4535924"),
        ("oz", "0.02834952"), ("g", "1.0E-3"), ("lb/gal", "119.8264"), ("kg/L", "1000"), ("Ah", "3600"),
        ("lb/hp.h", "1.689659E-7"), ("kohm", "1000"), ("mA", "0.001"),
    ],
)  # fmt: skip
def test_factors_to_si(unit, factor):
    assert _agrees(to_si(Decimal(1), unit), factor)


@pytest.mark.parametrize(
    ("value", "unit", "other", "result"),
    [
        # exact by definition (SP 811 B.6, B.8)
        ("32", "degF", "degC", "0"), ("212", "degF", "degC", "100"), ("-40", "degF", "degC", "-40"),
        ("0", "degC", "K", "273.15"), ("1", "PS", "W", "735.49875"), ("1", "kn", "km/h", "1.852"),
        ("1", "gal", "L", "3.785411784"), ("1", "in", "mm", "25.4"), ("1", "bar", "kPa", "100"),
        ("614160", "s", "h", "170.6"),
        # recomputed with Pint 0.24 and scipy.constants
        ("1", "hp", "W", "745.699871582270"), ("100", "hp", "kW", "74.569987"), ("100", "kW", "hp", "134.102209"),
        ("100", "kW", "PS", "135.962162"), ("1", "hp", "PS", "1.01386967"), ("1", "kn", "mph", "1.150779448"),
        ("1", "mph", "kn", "0.86897624"), ("1", "psi", "kPa", "6.894757293"), ("1", "bar", "psi", "14.50377377"),
        ("1", "inHg", "kPa", "3.38638864"), ("1", "inH2O", "Pa", "249.0819"), ("1", "ft.lbf", "N.m", "1.355817948"),
        ("1", "in.lbf", "N.m", "0.112984829"),
        ("1", "impgal", "L", "4.54609"), ("1", "kgf.m", "N.m", "9.80665"), ("350", "in3", "L", "5.735472"),
        ("100", "mph", "kn", "86.897624"), ("1", "mph", "m/s", "0.44704"), ("1", "kn", "m/s", "0.514444"),
        ("100", "PS", "kW", "73.549875"), ("1", "impgal", "gal", "1.20095"), ("1", "impgal/h", "L/h", "4.54609"),
        # density and specific fuel consumption of marine fuels, recomputed with Pint
        ("6.1", "lb/gal", "kg/L", "0.73094"), ("7.2", "lb/gal", "kg/L", "0.86275"),
        ("7.1", "lb/gal", "kg/L", "0.85077"),
        ("0.50", "lb/hp.h", "g/kW.h", "304.139"), ("0.40", "lb/hp.h", "g/kW.h", "243.311"),
        # conductor area of AWG 10: NBS Handbook 100 (1966) / ASTM B258 definition, 10383 cmil
        ("10383", "cmil", "mm2", "5.261"),
        # Gerr, Boat Mechanical Systems Handbook (2009) ch. 7: 2.5 inHg of back-pressure; a diesel maker's 1.5 psi
        ("2.5", "inHg", "kPa", "8.466"), ("1.5", "psi", "inHg", "3.05"), ("1.5", "psi", "inH2O", "41.5"),
        # an engine maker's repower guide: 1, 2 and 11 psi are 6.9, 13.8 and 75.8 kPa
        ("1", "psi", "kPa", "6.9"), ("2", "psi", "kPa", "13.8"), ("11", "psi", "kPa", "75.8"),
    ],
)  # fmt: skip
def test_conversions(value, unit, other, result):
    assert _agrees(convert(Decimal(value), unit, other), result)


def test_two_standards_of_a_column_of_water_differ():
    # NIST SP 811: inch of water at 39 degF 249.082 Pa, at 60 degF 248.84 Pa; ours is the first, the usual one of gauges
    assert not _agrees(convert(Decimal(1), "inH2O", "Pa"), "248.84")


@pytest.mark.parametrize(
    ("value", "unit", "other", "rounded"),
    [
        # NIST SP 811 (2008), B.7.2, rounding of converted values to the figures entered (examples from memory; miles
        # and feet stand here as mph and ft)
        ("11", "mph", "km/h", "18"), ("61", "mph", "km/h", "98"), ("66", "mph", "km/h", "106"), ("8", "ft", "m", "2.4"),
    ],
)  # fmt: skip
def test_converted_values_keep_the_figures_entered(value, unit, other, rounded):
    assert convert_sensibly(Decimal(value), unit, other, least_figures=2) == Decimal(rounded)


def test_horsepower_is_the_mechanical_one():
    # 550 ft lbf/s; the electrical one is 746 W
    assert convert(Decimal(1), "hp", "W") < Decimal("745.7")
    assert convert(Decimal(1), "hp", "W") > Decimal("745.69")
