"""What a parameter can be and seldom is, as a careful mechanic would say of a figure that somebody calls out."""

from decimal import Decimal

import pytest

from engineering.measures import UNITS
from engineering.usual import SPANS, impossible, span_of, unusual

FINE, ODD, NEVER = "fine", "odd", "never"


@pytest.mark.parametrize(
    ("name", "value", "unit", "found"),
    [
        ("Engine speed", "650", "rpm", FINE), ("Engine speed", "8200", "rpm", FINE), ("Engine speed", "0", "rpm", FINE),
        ("Engine speed", "62000", "rpm", ODD), ("Engine speed", "620000", "rpm", NEVER),
        ("Engine speed", "-650", "rpm", NEVER), ("Wide-open-throttle speed", "58000", "rpm", ODD),
        ("Turbocharger speed", "150000", "rpm", FINE), ("Shaft speed", "-900", "rpm", FINE),
        ("Oil pressure", "60", "psi", FINE), ("Oil pressure", "0", "psi", FINE), ("Oil pressure", "10", "bar", FINE),
        ("Oil pressure", "48", "bar", ODD), ("Oil pressure", "4800", "bar", NEVER), ("Oil pressure", "600", "psi", ODD),
        ("Oil pressure", "-10", "psi", ODD), ("Gear oil pressure", "25", "bar", FINE),
        ("Gear oil pressure", "250", "bar", ODD), ("Injection control pressure", "3000", "psi", FINE),
        ("Fuel pressure", "42", "psi", FINE), ("Fuel pressure", "1800", "bar", FINE),
        ("Fuel pressure", "3000", "bar", FINE), ("Fuel pressure", "3600", "bar", ODD),
        ("Fuel pressure", "-0.3", "bar", FINE), ("Rail pressure", "2500", "bar", FINE),
        ("Coolant temperature", "180", "degF", FINE), ("Coolant temperature", "230", "degF", FINE),
        ("Coolant temperature", "180", "degC", ODD), ("Coolant temperature", "1800", "degF", NEVER),
        ("Coolant temperature", "-20", "degF", FINE), ("Coolant temperature rise", "180", "degC", FINE),
        ("Exhaust gas temperature", "720", "degC", FINE), ("Exhaust gas temperature", "1200", "degC", ODD),
        ("Exhaust gas temperature", "3000", "degF", NEVER), ("Oil temperature", "210", "degF", FINE),
        ("Oil temperature", "210", "degC", ODD), ("Sea water temperature", "75", "degF", FINE),
        ("Sea water temperature", "75", "degC", ODD),
        ("Battery voltage", "12.6", "V", FINE), ("Battery voltage", "25.4", "V", FINE),
        ("Battery voltage", "51.2", "V", FINE), ("Battery voltage", "126", "V", ODD),
        ("Battery voltage", "400", "V", ODD), ("Battery voltage", "-12.6", "V", ODD),
        ("Charging voltage", "144", "V", ODD), ("Cranking voltage", "9.8", "V", FINE),
        ("Ground circuit voltage drop", "0.2", "V", FINE), ("Ground circuit voltage drop", "-0.2", "V", ODD),
        ("Sensor supply voltage", "12.4", "V", FINE), ("Sensor supply voltage", "498", "V", NEVER),
        ("Boost pressure", "22", "psi", FINE), ("Boost pressure", "220", "psi", ODD),
        ("Exhaust back-pressure", "1.5", "psi", FINE), ("Exhaust back-pressure", "15", "psi", ODD),
        ("Compression", "175", "psi", FINE), ("Compression", "450", "psi", FINE), ("Compression", "1750", "psi", ODD),
        ("Fuel rate", "28", "gal/h", FINE), ("Fuel rate", "2800", "gal/h", ODD), ("Fuel rate", "-4", "gal/h", ODD),
        ("Throttle position", "100", "%", FINE), ("Throttle position", "250", "%", ODD),
        ("Engine load", "112", "%", FINE), ("Leak-down", "12", "%", FINE), ("Leak-down", "120", "%", NEVER),
        ("Raw water pump pressure", "18", "psi", FINE), ("Raw water pump pressure", "18", "bar", ODD),
        ("Boat speed", "38", "kn", FINE), ("Boat speed", "380", "kn", NEVER), ("Fluid level", "60", "%", FINE),
        ("Generator frequency", "60", "Hz", FINE), ("Generator frequency", "600", "Hz", ODD),
        ("Generator output voltage", "240", "V", FINE), ("Alternator output", "92", "A", FINE),
        ("Alternator output", "920", "A", ODD), ("Oil pressure sender voltage", "300", "V", FINE),
        ("Paint thickness", "400", "mm", FINE), ("Oil pressure", "5000", "rpm", FINE),
    ],
)  # fmt: skip
def test_a_figure_that_is_called_out(name, value, unit, found):
    wrong, odd = impossible(name, Decimal(value), unit), unusual(name, Decimal(value), unit)
    assert (NEVER if wrong else ODD if odd else FINE) == found, wrong or odd
    for sentence in filter(None, [wrong, odd]):
        assert sentence.startswith(value.lstrip("-")[:1]) or sentence[0] in "-−"
        assert sentence.endswith(".")


def test_every_row_is_in_order():
    for span in SPANS:
        ends = [span.possible[0], *span.usual, span.possible[1]]
        assert ends == sorted(ends), span.what
        assert span.unit in UNITS


def test_every_row_finds_a_name():
    """A row that an earlier one always takes first says nothing."""
    assert {"gear oil pressure", "oil pressure", "injection oil pressure", "fuel pressure"} == {
        span.what
        for name in ("Gear oil pressure", "Port oil pressure", "Injection control pressure", "Fuel pressure")
        if (span := span_of(name, "psi"))
    }


@pytest.mark.parametrize(
    ("name", "value", "unit", "says"),
    [
        ("Oil pressure", "-5", "psi", "-5 psi is far below the usual oil pressure; seldom below -2.9 psi."),
        ("Oil pressure", "20", "bar", "20 bar is far above the usual oil pressure; seldom above 15 bar."),
        ("Oil pressure", "300", "psi", "300 psi is far above the usual oil pressure; seldom above 218 psi."),
        (
            "Coolant temperature",
            "300",
            "degF",
            "300 °F is far above the usual coolant temperature; seldom above 266 °F.",
        ),
    ],
)
def test_a_bound_is_told_in_the_unit_that_was_typed(name, value, unit, says):
    assert unusual(name, Decimal(value), unit) == says
