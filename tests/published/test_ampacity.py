"""What wire carries, and its fuse, against the Code of Federal Regulations; when acid freezes, against army texts."""

import pytest

from engineering.electrical.ampacity import Surroundings, carries, fuse_for, largest_fuse_a, smallest_for_current
from engineering.electrical.conductors import Gauge, conductor
from engineering.electrical.freezing import freezes_at_c, may_be_frozen


def carried(size: str, **where) -> float:
    return carries(conductor(Gauge.AWG, size), Surroundings(**where)).most_a


@pytest.mark.parametrize(
    ("size", "printed"),
    [
        # 33 CFR 183.425, Table 5: allowable amperage with insulation of 60, 75, 80, 90, 105, 125 and 200 °C
        ("18", (10, 10, 15, 20, 20, 25, 25)), ("16", (15, 15, 20, 25, 25, 30, 35)),
        ("14", (20, 20, 25, 30, 35, 40, 45)), ("12", (25, 25, 35, 40, 45, 50, 55)),
        ("10", (40, 40, 50, 55, 60, 70, 70)), ("8", (55, 65, 70, 70, 80, 90, 100)),
        ("6", (80, 95, 100, 100, 120, 125, 135)), ("4", (105, 125, 130, 135, 160, 170, 180)),
        ("2", (140, 170, 175, 180, 210, 225, 240)), ("1", (165, 195, 210, 210, 245, 265, 280)),
        ("1/0", (195, 230, 245, 245, 285, 305, 325)), ("2/0", (225, 265, 285, 285, 330, 355, 370)),
        ("3/0", (260, 310, 330, 330, 385, 410, 430)), ("4/0", (300, 360, 385, 385, 445, 475, 510)),
    ],
)  # fmt: skip
def test_table_5(size, printed):
    assert tuple(carried(size, insulation_c=rating) for rating in (60, 75, 80, 90, 105, 125, 200)) == printed


@pytest.mark.parametrize(
    ("size", "alone", "three", "four_to_six", "seven_to_24"),
    [
        # a cable maker's table for boat cable of 105 °C in an engine space, by loaded conductors bundled
        ("18", 17, 11.9, 10.2, 8.5), ("16", 21.3, 14.9, 12.8, 10.6), ("14", 29.8, 20.8, 17.9, 14.9),
        ("12", 38.3, 26.8, 23, 19.1), ("10", 51, 35.7, 30.6, 25.5), ("8", 68, 47.6, 40.8, 34),
        ("6", 102, 71.4, 61.2, 51),
        ("4", 136, 95.2, 81.6, 68), ("4/0", 378.3, 264.8, 227, 189.1),
    ],
)  # fmt: skip
def test_engine_space_and_bundles(size, alone, three, four_to_six, seven_to_24):
    computed = [carried(size, in_engine_space=True, bundled=count) for count in (2, 3, 5, 10)]
    assert computed == pytest.approx([alone, three, four_to_six, seven_to_24], abs=0.11)
    assert all(
        ours <= theirs + 1e-9 for ours, theirs in zip(computed, (alone, three, four_to_six, seven_to_24), strict=True)
    )


def test_150_percent_of_the_table():
    # 33 CFR 183.455(c)(1): below 50 V at most 150 % of the amperage in Table 5
    assert largest_fuse_a(carried("12")) == 67.5
    assert fuse_for(current_a=30, carried_a=45) == 35, "above the current, or it blows in time (common practice)"
    assert fuse_for(current_a=42, carried_a=45) == 50
    assert fuse_for(current_a=101, carried_a=45) is None


@pytest.mark.parametrize(("amps", "awg", "sae"), [(45, "12", "10"), (46, "10", "8"), (150, "4", "2"), (25, "16", "14")])
def test_the_size_that_carries(amps, awg, sae):
    # by Table 5 at 105 °C; SAE wire by the next smaller AWG size of copper, as a marine catalog takes 10 SAE for 12 AWG
    assert smallest_for_current(amps, Gauge.AWG, Surroundings()).size == awg
    assert smallest_for_current(amps, Gauge.SAE, Surroundings()).size == sae


def test_18_sae_is_in_no_table():
    found = carries(conductor(Gauge.SAE, "18"), Surroundings())
    assert (found.least_a, found.most_a) == (None, 20)


@pytest.mark.parametrize(
    ("gravity", "fahrenheit"), [(1.0, 32), (1.1, 19), (1.15, 5), (1.2, -16), (1.25, -62), (1.28, -90)]
)
def test_acid_freezes(gravity, fahrenheit):
    # US Army ordnance lesson OD1002, learning event 2; TM 5-1185, table III, has the same
    assert freezes_at_c(gravity) == pytest.approx((fahrenheit - 32) / 1.8)
    assert may_be_frozen(gravity=gravity, temperature_c=(fahrenheit - 32) / 1.8)
    assert not may_be_frozen(gravity=gravity, temperature_c=(fahrenheit - 32) / 1.8 + 5)
