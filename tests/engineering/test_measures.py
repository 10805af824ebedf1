"""Numbers and units as people write them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.measures import (
    UNITS,
    Kind,
    Measure,
    MeasureProblem,
    convert,
    parse_measure,
    parse_number,
    preferred_unit,
    show,
    to_si,
    unit_written,
    units_of,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("13.4", "13.4"), ("13,4", "13.4"), (" 13.40 ", "13.40"), (".5", "0.5"), (",5", "0.5"), ("5.", "5"),
        ("-5", "-5"), ("+5", "5"), ("−5", "-5"), ("–5,5", "-5.5"), ("0,125", "0.125"), ("1.234", "1.234"),
        ("1/8", "0.125"), ("1 1/8", "1.125"), ("1-1/8", "1.125"), ("-1 1/8", "-1.125"), ("½", "0.5"), ("1½", "1.5"),
        ("1 ⅛", "1.125"), ("3⁄4", "0.75"), ("1/3", "0.3333333333"), ("1,234.5", "1234.5"), ("1.234,5", "1234.5"),
        ("1,234,567", "1234567"), ("12,34", "12.34"), ("１３", "13"), ("1234,5", "1234.5"), ("0", "0"),
    ],
)  # fmt: skip
def test_numbers_as_people_write_them(text, value):
    assert parse_number(text) == Decimal(value)


@pytest.mark.parametrize(
    "text",
    ["", " ", "x", "1e5", "NaN", "Infinity", "1.2.3", "1,2,3", "--5", "5-", "1/0", "1/", "/8", "1 2", "1 1 1/8",
     "12,345",
     "5,200", "0x10", "²", "5²", "5₂", "1_000", "9" * 13, "0." + "1" * 10, "½½", "1/8 1/8", "٣"],
)  # fmt: skip
def test_what_is_no_number_is_refused_with_a_sentence(text):
    with pytest.raises(MeasureProblem) as refused:
        parse_number(text)
    assert refused.value.sentence.endswith(".")


def test_a_comma_that_may_be_either_is_asked_about():
    with pytest.raises(MeasureProblem, match=r"“5,200” can mean 5200 or 5\.200"):
        parse_number("5,200")


@pytest.mark.parametrize(
    ("text", "default", "value", "unit"),
    [
        ("13,4 V", "V", "13.4", "V"), ("13.4", "V", "13.4", "V"), ("13400mV", "V", "13400", "mV"),
        ("1/8 in", "mm", "0.125", "in"), ('1 1/8"', "in", "1.125", "in"), ("12″", "in", "12", "in"),
        ("6'", "m", "6", "ft"), ("180°F", "degC", "180", "degF"), ("82 C", "degF", "82", "degC"),
        ("355 K", "degF", "355", "K"), ("5200 RPM", "rpm", "5200", "rpm"), ("60 PSI", "kPa", "60", "psi"),
        ("2.5 in. Hg", "psi", "2.5", "inHg"), ("41 inH2O", "psi", "41", "inH2O"), ("1.2 kΩ", "ohm", "1.2", "kohm"),
        ("1.2 kohm", "ohm", "1.2", "kohm"), ("3 MΩ", "ohm", "3", "Mohm"), ("3 mΩ", "ohm", "3", "mohm"),
        ("35 ft-lb", "N.m", "35", "ft.lbf"), ("35 lb·ft", "N.m", "35", "ft.lbf"), ("47 Nm", "ft.lbf", "47", "N.m"),
        ("12 gph", "L/h", "12", "gal/h"), ("48 %", "%", "48", "%"), ("10°", "deg", "10", "deg"),
        ("412.3 hrs", "h", "412.3", "h"),
        ("12 imp gal", "gal", "12", "impgal"), ("12 Imp. gal/h", "gal/h", "12", "impgal/h"),
        ("10 US gal", "L", "10", "gal"),
        ("3 mm²", "in2", "3", "mm2"), ("6530 cmil", "mm2", "6530", "cmil"), ("350 cu in", "L", "350", "in3"),
        ("50 cc", "L", "50", "mL"), ("5 kgf·m", "N.m", "5", "kgf.m"), ("5 kg-m", "N.m", "5", "kgf.m"),
        ("12 lbs", "kg", "12", "lb"), ("0.73 g/cm³", "lb/gal", "0.73", "kg/L"), ("1.265", "SG", "1.265", "SG"),
        ("0.5 lb/hp-hr", "g/kW.h", "0.5", "lb/hp.h"), ("210 g/kWh", "lb/hp.h", "210", "g/kW.h"),
        ("650 CCA", "A", "650", "A"), ("100 Ah", "Ah", "100", "Ah"), ("1.5 kg/cm²", "psi", "1.5", "kgf/cm2"),
        ("30 knots", "mph", "30", "kn"), ("7", "count", "7", "count"), ("on", "on/off", "1", "on/off"),
        ("OFF", "on/off", "0", "on/off"),
    ],
)  # fmt: skip
def test_values_with_and_without_their_unit(text, default, value, unit):
    assert parse_measure(text, default_unit=default) == Measure(Decimal(value), unit)


@pytest.mark.parametrize(
    ("text", "default", "says"),
    [
        ("12 psi", "V", "psi is a unit of pressure"),
        ("12 flobs", "V", "“flobs” is not a unit known here. Units that fit: V, mV"),
        ("V", "V", "does not start with a number"),
        ("", "V", "Enter a number"),
        ("10k", "ohm", "“k” is not a unit known here"),
        ("3 MOHM", "ohm", "not a unit known here"),
        ("maybe", "on/off", "Enter on or off"),
        ("5 V", "count", "V is a unit of voltage"),
        ("5", "no such", "is not a unit"),
    ],
)
def test_what_does_not_fit_is_refused_with_a_sentence(text, default, says):
    with pytest.raises(MeasureProblem) as refused:
        parse_measure(text, default_unit=default)
    assert says in refused.value.sentence


@given(st.text())
def test_no_text_makes_the_parsers_stumble(text):
    for parse in (parse_number, lambda written: parse_measure(written, default_unit="V").value):
        try:
            value = parse(text)
        except MeasureProblem:
            continue
        assert value.is_finite()


NUMBERS = st.decimals(-10_000, 10_000, allow_nan=False, places=4)


@given(NUMBERS, st.booleans())
def test_what_is_written_is_read_back(value, with_comma):
    text = format(value, "f").replace(".", "," if with_comma else ".")
    if with_comma and len(text.rpartition(",")[2]) == 3:
        return
    assert parse_number(text) == value


@given(NUMBERS, st.sampled_from(list(UNITS)))
def test_what_is_shown_is_read_back(value, unit):
    if UNITS[unit].kind is Kind.ON_OFF:
        return
    assert parse_measure(show(value, unit), default_unit=unit) == Measure(value, unit)


@given(NUMBERS, st.sampled_from(list(UNITS)), st.data())
def test_there_and_back_gives_the_same_value(value, unit, data):
    other = data.draw(st.sampled_from(units_of(UNITS[unit].kind))).key
    back = convert(convert(value, unit, other), other, unit)
    assert abs(back - value) <= Decimal("1e-9")


@given(NUMBERS, NUMBERS, st.sampled_from(list(UNITS)))
def test_si_keeps_the_order_of_values(one, two, unit):
    assert (one <= two) == (to_si(one, unit) <= to_si(two, unit))


def test_a_value_in_its_own_unit_stays_exactly_itself():
    assert str(convert(Decimal("13.40"), "V", "V")) == "13.40"


def test_other_kinds_do_not_convert():
    with pytest.raises(MeasureProblem, match="no value in psi"):
        convert(Decimal(1), "V", "psi")


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("system", ["us", "metric"])
def test_every_kind_has_a_preferred_unit_of_its_kind(kind, system):
    assert UNITS[preferred_unit(kind, system)].kind is kind


def test_every_key_and_label_is_understood_as_its_unit():
    for unit in UNITS.values():
        assert unit.key.isascii()
        assert unit_written(unit.key) == unit.key
        if unit.label:
            assert unit_written(unit.label) == unit.key
            assert unit_written(f" {unit.label} ") == unit.key


@pytest.mark.parametrize(
    ("value", "unit", "significant", "text"),
    [
        ("13.40", "V", None, "13.4 V"), ("5200", "rpm", None, "5200 rpm"), ("180", "degF", None, "180 °F"),
        ("10", "deg", None, "10°"), ("7", "count", None, "7"), ("1", "on/off", None, "on"),
        ("0", "on/off", None, "off"),
        ("689.4757", "kPa", 4, "689.5 kPa"), ("0.000123456", "V", 2, "0.00012 V"), ("12345", "rpm", 2, "12000 rpm"),
        ("2.345", "V", 3, "2.35 V"), ("0.00", "V", None, "0 V"), ("-0.0", "V", 3, "0 V"), ("1E+3", "V", None, "1000 V"),
    ],
)  # fmt: skip
def test_values_as_they_are_shown(value, unit, significant, text):
    assert show(Decimal(value), unit, significant=significant) == text
