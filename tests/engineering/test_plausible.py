"""What can be true of a value on a boat."""

from decimal import Decimal

import pytest

from engineering.measures import UNITS
from engineering.plausible import OUTERMOST, beyond_a_boat, why_impossible


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("18000", "ft.lbf"), ("2000", "V"), ("-300", "degF"), ("4000", "degC"), ("100000", "psi"),
        ("500", "mph"), ("2000", "ft"), ("30000", "hp"),
    ],
)  # fmt: skip
def test_a_slip_of_point_or_unit_is_told(value, unit):
    assert beyond_a_boat(Decimal(value), unit).endswith("is beyond anything on a boat. Check the figure and its unit.")


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("1200", "ft.lbf"), ("48", "V"), ("-20", "degF"), ("750", "degC"), ("-14", "psi"), ("30000", "psi"),
        ("90", "mph"), ("0", "L"), ("60", "ft"), ("10", "Mohm"), ("2400", "hp"), ("150000", "rpm"), ("-0.002", "in"),
    ],
)  # fmt: skip
def test_what_boats_have_passes(value, unit):
    assert beyond_a_boat(Decimal(value), unit) == ""


def test_every_unit_is_known_to_be_checked_or_not():
    unchecked = {unit.kind.value for unit in UNITS.values()} - {kind.value for kind in OUTERMOST}
    assert unchecked == {
        "area", "angle", "battery capacity", "count", "frequency", "hours", "on or off", "percent",
        "specific fuel consumption",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        ("-500", "degF", "-500 °F is below absolute zero (-459.67 °F)."),
        ("-459.68", "degF", "-459.68 °F is below absolute zero (-459.67 °F)."),
        ("-300", "degC", "-300 °C is below absolute zero (-273.15 °C)."),
        ("-1", "K", "-1 K is below absolute zero (0 K)."),
        ("-20", "psi", "-20 psi is below a perfect vacuum (-14.7 psi at sea level)."),
        ("-2", "bar", "-2 bar is below a perfect vacuum (-1.01 bar at sea level)."),
        ("-60", "inHg", "-60 inHg is below a perfect vacuum (-29.9 inHg at sea level)."),
        ("-1", "kohm", "-1 kΩ cannot be: a resistance is never below zero."),
        ("-0.5", "gal", "-0.5 gal cannot be: a volume is never below zero."),
        ("-3", "kg", "-3 kg cannot be: a mass is never below zero."),
        ("-2", "h", "-2 h cannot be: a number of hours is never below zero."),
        ("-50", "Hz", "-50 Hz cannot be: a frequency is never below zero."),
        ("-1.2", "SG", "-1.2 SG cannot be: a specific gravity is never below zero."),
    ],
)
def test_what_cannot_be_anywhere_is_told_by_what_it_is_beyond(value, unit, said):
    assert why_impossible(Decimal(value), unit) == f"{said} Check the figure and its unit."


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("-459.67", "degF"), ("-273.15", "degC"), ("0", "K"), ("-14.7", "psi"), ("-1.05", "bar"), ("-0.2", "ohm"),
        ("0", "gal"), ("-40", "degF"), ("-12", "V"), ("-300", "A"), ("-3", "deg"), ("-5", "%"), ("0", "h"),
        ("-10", "Ah"),
    ],
)  # fmt: skip
def test_what_can_be_somewhere_is_no_matter_of_nature(value, unit):
    assert why_impossible(Decimal(value), unit) == ""
