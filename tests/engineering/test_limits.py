"""A reading against its limits."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.limits import Limits, LimitsProblem, Verdict, convert_limits, judge, judge_range
from engineering.measures import convert
from engineering.usual import is_difference

BAND = Limits(Decimal("13.5"), Decimal("14.5"))


@pytest.mark.parametrize(
    ("value", "verdict", "distance", "sentence"),
    [
        ("13.1", Verdict.OUT, "0.4", "13.1 V, 0.4 V below the band"),
        ("15", Verdict.OUT, "0.5", "15 V, 0.5 V above the band"),
        ("13.5", Verdict.NEAR, "0", "13.5 V, in range but only just: on the lower limit"),
        ("13.6", Verdict.NEAR, "0.1", "13.6 V, in range but only just: 0.1 V inside the lower limit"),
        ("13.61", Verdict.IN_RANGE, "0.11", "13.61 V, in range"),
        ("14.39", Verdict.IN_RANGE, "0.11", "14.39 V, in range"),
        ("14.45", Verdict.NEAR, "0.05", "14.45 V, in range but only just: 0.05 V inside the upper limit"),
        ("14.5", Verdict.NEAR, "0", "14.5 V, in range but only just: on the upper limit"),
        ("14.500001", Verdict.OUT, "0.000001", "14.500001 V, 0.000001 V above the band"),
    ],
)
def test_a_band(value, verdict, distance, sentence):
    judgment = judge(Decimal(value), BAND, unit="V")
    assert (judgment.verdict, judgment.distance, judgment.sentence) == (verdict, Decimal(distance), sentence)


@pytest.mark.parametrize(
    ("limits", "value", "verdict"),
    [
        (Limits(low=Decimal(100)), "99", Verdict.OUT),
        (Limits(low=Decimal(100)), "110", Verdict.NEAR),
        (Limits(low=Decimal(100)), "110.1", Verdict.IN_RANGE),
        (Limits(high=Decimal("2.5")), "2.6", Verdict.OUT),
        (Limits(high=Decimal("2.5")), "2.25", Verdict.NEAR),
        (Limits(high=Decimal("2.5")), "2.2", Verdict.IN_RANGE),
        (Limits(high=Decimal(0)), "0", Verdict.NEAR),
        (Limits(high=Decimal(0)), "-1", Verdict.IN_RANGE),
        (Limits(low=Decimal(5), high=Decimal(5)), "5", Verdict.NEAR),
        (Limits(low=Decimal(0), high=Decimal(10), near_fraction=Decimal(0)), "0.001", Verdict.IN_RANGE),
        (Limits(nominal=Decimal(5)), "7", Verdict.NO_LIMITS),
    ],
)
def test_one_limit_or_an_odd_one(limits, value, verdict):
    assert judge(Decimal(value), limits).verdict is verdict


def test_no_limits_say_so():
    judgment = judge(Decimal(7), Limits(), unit="V")
    assert (judgment.distance, judgment.sentence) == (None, "7 V, no limits to compare with")


def test_a_single_limit_is_called_a_limit():
    assert judge(Decimal(3), Limits(high=Decimal("2.5")), unit="inHg").sentence == "3 inHg, 0.5 inHg above the limit"


@pytest.mark.parametrize(
    "wrong",
    [
        {"low": Decimal(2), "high": Decimal(1)},
        {"low": Decimal(2), "nominal": Decimal(1)},
        {"high": Decimal(2), "nominal": Decimal(3)},
        {"near_fraction": Decimal("0.6")},
        {"near_fraction": Decimal("-0.1")},
    ],
)
def test_limits_that_contradict_each_other_are_refused(wrong):
    with pytest.raises(LimitsProblem):
        Limits(**wrong)


NUMBERS = st.decimals(-1000, 1000, allow_nan=False, places=2)


@given(NUMBERS, st.tuples(NUMBERS, NUMBERS).map(sorted))
def test_out_means_outside_and_nothing_else_does(value, band):
    low, high = band
    judgment = judge(value, Limits(low, high))
    assert (judgment.verdict is Verdict.OUT) is not (low <= value <= high)
    assert judgment.distance is not None
    assert judgment.distance >= 0


OIL = Limits(Decimal(44), Decimal(73))


@pytest.mark.parametrize(
    ("value", "lowest", "highest", "verdict", "by", "sentence"),
    [
        ("60", "20", "61", Verdict.OUT, ("lowest",), "60 psi, lowest 20 psi, below 44 psi"),
        ("60", "58", "80", Verdict.OUT, ("highest",), "60 psi, highest 80 psi, above 73 psi"),
        (
            "60", "20", "80", Verdict.OUT, ("lowest", "highest"),
            "60 psi, lowest 20 psi, below 44 psi, highest 80 psi, above 73 psi",
        ),
        (
            "60", "45", "61", Verdict.NEAR, ("lowest",),
            "60 psi, lowest 45 psi, in range but only just: 1 psi inside the lower limit",
        ),
        ("60", "44", "80", Verdict.OUT, ("highest",), "60 psi, highest 80 psi, above 73 psi"),
        ("60", "55", "61", Verdict.IN_RANGE, (), "60 psi, in range"),
        ("40", "20", "80", Verdict.OUT, (), "40 psi, 4 psi below the band"),
        ("45", "44", "60", Verdict.NEAR, (), "45 psi, in range but only just: 1 psi inside the lower limit"),
        ("60", None, None, Verdict.IN_RANGE, (), "60 psi, in range"),
        ("60", None, "74", Verdict.OUT, ("highest",), "60 psi, highest 74 psi, above 73 psi"),
    ],
)  # fmt: skip
def test_the_verdict_of_an_extreme_says_which_and_by_what(value, lowest, highest, verdict, by, sentence):
    extremes = {
        name: None if one is None else Decimal(one) for name, one in (("minimum", lowest), ("maximum", highest))
    }
    judgment = judge_range(Decimal(value), OIL, unit="psi", **extremes)
    assert (judgment.verdict, judgment.by, judgment.sentence) == (verdict, by, sentence)


def test_extremes_without_limits_are_not_judged():
    judgment = judge_range(Decimal(60), Limits(), minimum=Decimal(0), maximum=Decimal(900), unit="psi")
    assert (judgment.verdict, judgment.by) == (Verdict.NO_LIMITS, ())


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [("10", "degC", "degF", "18"), ("18", "degF", "degC", "10"), ("-9", "degF", "K", "-5"), ("5", "K", "degC", "5")],
)
def test_a_rise_of_temperature_knows_no_zero(value, unit, to, expected):
    """NIST SP 811 (2008), B.8: a temperature interval of 1 °C is one of 1.8 °F (recalled from memory)."""
    assert convert(Decimal(value), unit, to, is_difference=True) == Decimal(expected)
    limits = convert_limits(Limits(high=Decimal(value)), unit, to, is_difference=True)
    assert limits.high == Decimal(expected)


@pytest.mark.parametrize(
    ("name", "unit", "expected"),
    [
        ("Coolant temperature rise", "degF", True),
        ("Heat exchanger temperature difference", "degC", True),
        ("EGT spread", "degF", True),
        ("ΔT intercooler", "degC", True),
        ("Temperature drop over the cooler", "degC", True),
        ("Coolant temperature", "degF", False),
        ("Exhaust riser temperature", "degF", False),
        ("Raindrop temperature", "degC", False),
        ("Starter circuit voltage drop", "V", False),
        ("Pressure difference", "psi", False),
    ],
)
def test_what_is_a_difference_of_temperatures_by_its_name(name, unit, expected):
    assert is_difference(name, unit) is expected


@pytest.mark.parametrize(
    ("limits", "unit", "to", "value", "sentence"),
    [
        # 60 psi are 413.68544 kPa, 55 psi 3.7921166 bar, 18 psi 1.2410566 bar: worked by hand from 6.894757 kPa
        (Limits(Decimal(20), Decimal(60)), "psi", "kPa", "413.7", "413.7 kPa, 0.0146 kPa above the band"),
        (Limits(Decimal(55), Decimal(60)), "psi", "bar", "3.78", "3.78 bar, 0.0122 bar below the band"),
        (
            Limits(Decimal(20), Decimal(60)), "psi", "kPa", "413.6",
            "413.6 kPa, in range but only just: 0.085 kPa inside the upper limit",
        ),
        (
            Limits(low=Decimal(18)), "psi", "bar", "1.243",
            "1.243 bar, in range but only just: 0.0019 bar inside the lower limit",
        ),
        (Limits(Decimal(20), Decimal(60)), "psi", "kPa", "300", "300 kPa, in range"),
        (Limits(Decimal(20), Decimal(60)), "psi", "kPa", "500", "500 kPa, 86.4 kPa above the band"),
        (Limits(Decimal(20), Decimal(60)), "psi", "psi", "60.5", "60.5 psi, 0.5 psi above the band"),
        (
            Limits(Decimal(20), Decimal(60)), "bar", "kPa", "6000",
            "6000 kPa, in range but only just: on the upper limit",
        ),
    ],
)  # fmt: skip
def test_how_far_out_is_told_from_the_exact_limit(limits, unit, to, value, sentence):
    turned = convert_limits(limits, unit, to, values=[Decimal(value)], most_decimals=4)
    assert judge(Decimal(value), turned, unit=to).sentence == sentence


@given(
    low=st.integers(1, 400),
    width=st.integers(1, 400),
    value=st.decimals("0.1", "6000", places=1),
)
def test_a_distance_is_right_to_a_hundredth(low, width, value):
    card = Limits(Decimal(low), Decimal(low + width))
    turned = convert_limits(card, "psi", "kPa", values=[value])
    judged = judge(value, turned, unit="kPa")
    if judged.verdict is not Verdict.IN_RANGE:
        exact = min(abs(value - convert(Decimal(one), "psi", "kPa")) for one in (low, low + width))
        assert abs(judged.distance - exact) <= exact / 100 + Decimal("0.00001")
