"""What can be true of a value on a boat."""

from decimal import Decimal

import pytest

from engineering.measures import UNITS
from engineering.plausible import OUTERMOST, beyond_a_boat


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("18000", "ft.lbf"), ("2000", "V"), ("-300", "degF"), ("4000", "degC"), ("-20", "psi"), ("100000", "psi"),
        ("500", "mph"), ("-1", "L"), ("-1", "kg"), ("2000", "ft"), ("-1", "kohm"), ("30000", "hp"),
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
