"""Tanks, level senders and calibration tables: properties, quadrature, and what is refused."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from engineering.amounts import AmountProblem
from engineering.sensors.level_sender import AMERICAN, EUROPEAN, LevelSender, SenderState, straight_sender
from engineering.tanks.calibration import SenderInTank, height_at, table_by_height, table_by_share
from engineering.tanks.measured_fills import MeasuredFills, fills_from_additions
from engineering.tanks.shapes import Box, HorizontalCylinder, Wedge

measures = st.floats(0.05, 5)
cylinders = st.builds(HorizontalCylinder, measures, measures)
boxes = st.builds(Box, measures, measures, measures)


@st.composite
def wedges(draw):
    top = draw(measures)
    return Wedge(draw(measures), top, draw(measures), draw(st.floats(0, 1)) * top, draw(st.sampled_from([0.0, 0.3])))


@st.composite
def fills(draw):
    steps = draw(st.lists(st.tuples(st.floats(0.01, 0.2), st.floats(0.001, 0.1)), min_size=1, max_size=12))
    heights, volumes = [0.0], [0.0]
    for height, volume in steps:
        heights.append(heights[-1] + height)
        volumes.append(volumes[-1] + volume)
    return MeasuredFills(list(zip(heights[1:], volumes[1:], strict=True)))


tanks = st.one_of(cylinders, boxes, wedges(), fills())
shares = st.floats(0, 1)


@given(tanks)
def test_empty_and_full(tank):
    assert tank.volume_m3(0) == pytest.approx(0, abs=1e-12)
    assert tank.volume_m3(tank.height_m) == pytest.approx(tank.capacity_m3, rel=1e-12)
    assert height_at(tank, 0) == 0
    assert height_at(tank, tank.capacity_m3) == tank.height_m


@given(tanks, shares, shares)
def test_higher_holds_more(tank, one, other):
    less, more = sorted((one * tank.height_m, other * tank.height_m))
    assert tank.volume_m3(less) <= tank.volume_m3(more) + 1e-12 * tank.capacity_m3


@given(tanks, shares)
def test_height_and_volume_there_and_back(tank, share):
    volume = share * tank.capacity_m3
    assert tank.volume_m3(height_at(tank, volume)) == pytest.approx(volume, rel=1e-9, abs=1e-12 * tank.capacity_m3)


@given(cylinders, shares)
@settings(max_examples=40)
def test_a_cylinder_is_the_integral_of_its_width(tank, share):
    radius, height = tank.diameter_m / 2, share * tank.height_m
    area, _ = quad(lambda h: 2 * math.sqrt(max(0.0, radius**2 - (radius - h) ** 2)), 0, height)
    assert tank.volume_m3(height) == pytest.approx(area * tank.length_m, rel=1e-6, abs=1e-9)


@given(wedges(), shares)
@settings(max_examples=40)
def test_a_wedge_is_the_integral_of_its_width(tank, share):
    def width(height):
        in_v = min(height, tank.v_height_m) / tank.v_height_m
        return tank.bottom_width_m + (tank.top_width_m - tank.bottom_width_m) * in_v

    height = share * tank.height_m
    area, _ = quad(width, 0, height, points=[min(tank.v_height_m, height)])
    assert tank.volume_m3(height) == pytest.approx(area * tank.length_m, rel=1e-6, abs=1e-9)


@given(cylinders, shares)
def test_a_cylinder_upside_down_is_the_same(tank, share):
    height = share * tank.height_m
    both = tank.volume_m3(height) + tank.volume_m3(tank.height_m - height)
    assert both == pytest.approx(tank.capacity_m3, rel=1e-9)


@given(measures, measures, measures, shares)
def test_a_wedge_without_flare_is_a_box(length, width, height, share):
    wedge, box = Wedge(length, width, height, bottom_width_m=width), Box(length, width, height)
    assert wedge.volume_m3(share * height) == pytest.approx(box.volume_m3(share * height), rel=1e-9, abs=1e-12)


@given(boxes, st.lists(st.floats(0.01, 1), min_size=1, max_size=8, unique=True), shares)
def test_measured_fills_of_a_box_are_the_box(box, at, share):
    pairs = [(part * box.height_m, box.volume_m3(part * box.height_m)) for part in {*at, 1.0}]
    assume(len({height for height, _ in pairs}) == len({volume for _, volume in pairs}) == len(pairs))
    height = share * box.height_m
    assert MeasuredFills(pairs).volume_m3(height) == pytest.approx(box.volume_m3(height), rel=1e-6, abs=1e-9)


def test_what_was_added_makes_the_same_table():
    added = fills_from_additions([(0.1, 0.012), (0.2, 0.014), (0.3, 0.015)])
    whole = MeasuredFills([(0.3, 0.041), (0.1, 0.012), (0.2, 0.026)])
    assert [height for height, _ in added.fills] == [height for height, _ in whole.fills]
    assert [volume for _, volume in added.fills] == pytest.approx([volume for _, volume in whole.fills])


def test_contents_below_the_dipstick_count():
    tank = MeasuredFills([(0.0, 0.003), (0.2, 0.02)])
    assert tank.volume_m3(0) == 0.003
    assert height_at(tank, 0.001) == 0


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "one height at least"),
        ([(0, 0)], "one height at least"),
        ([(0.1, 0.01), (0.1, 0.02)], "same height"),
        ([(0.1, 0.02), (0.2, 0.02)], "holds no more"),
        ([(0.1, 0.02), (0.2, 0.01)], "not what was added"),
        ([(0.1, -0.02)], "less than 0"),
        ([(-0.1, 0.02)], "less than 0"),
        ([(math.nan, 0.02)], "not a number"),
        ([(0.1, math.inf)], "not a number"),
        ([(0.1, 0.0)], "holds no more"),
    ],
)
def test_fills_that_are_none(pairs, words):
    with pytest.raises(AmountProblem, match=words) as refused:
        MeasuredFills(pairs)
    assert refused.value.field == "fills"


@pytest.mark.parametrize(
    ("additions", "words"), [([(0.2, 0.01), (0.1, 0.01)], "reach higher"), ([(0.1, 0.0)], "more than 0")]
)
def test_additions_that_are_none(additions, words):
    with pytest.raises(AmountProblem, match=words):
        fills_from_additions(additions)


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, 51.0])
def test_measures_that_are_none(value):
    for make in (
        lambda: HorizontalCylinder(value, 1), lambda: HorizontalCylinder(1, value), lambda: Box(value, 1, 1),
        lambda: Box(1, value, 1), lambda: Box(1, 1, value), lambda: Wedge(value, 1, 1), lambda: Wedge(1, value, 1),
        lambda: Wedge(1, 1, value),
    ):  # fmt: skip
        with pytest.raises(AmountProblem):
            make()


@pytest.mark.parametrize(
    ("arguments", "field"),
    [((1, 0.5, 1, 0.6), "bottom_width_m"), ((1, 1, 1, -0.1), "bottom_width_m"), ((1, 1, 1, 0, -1), "upright_m"),
     ((1, 1, 1, 0, 60), "upright_m")],
)  # fmt: skip
def test_wedges_that_are_none(arguments, field):
    with pytest.raises(AmountProblem) as refused:
        Wedge(*arguments)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("height", "words"), [(-0.01, "below the bottom"), (1.01, "above the top"), (math.nan, "not a")]
)
def test_heights_outside(height, words):
    for tank in (HorizontalCylinder(1, 1), Box(1, 1, 1), Wedge(1, 1, 1), MeasuredFills([(1, 1)])):
        with pytest.raises(AmountProblem, match=words) as refused:
            tank.volume_m3(height)
        assert refused.value.field == "height_m"


@pytest.mark.parametrize("volume", [-0.1, 1.1, math.nan])
def test_volumes_outside(volume):
    with pytest.raises(AmountProblem) as refused:
        height_at(Box(1, 1, 1), volume)
    assert refused.value.field == "volume_m3"


@given(tanks, st.floats(0.006, 1))
def test_a_table_by_height_begins_empty_ends_full_and_rises(tank, share):
    rows = table_by_height(tank, step_m=share * tank.height_m)
    assert rows[0].height_m == 0
    assert rows[-1].height_m == tank.height_m
    assert rows[-1].fraction == pytest.approx(1)
    assert all(low.height_m < high.height_m for low, high in pairwise(rows))
    assert all(row.sender_ohm is None for row in rows)


def test_a_last_step_that_is_whole_makes_no_second_full_line():
    assert [row.height_m for row in table_by_height(Box(1, 1, 0.3), step_m=0.1)] == pytest.approx([0, 0.1, 0.2, 0.3])
    assert [row.height_m for row in table_by_height(Box(1, 1, 0.35), step_m=0.1)] == pytest.approx(
        [0, 0.1, 0.2, 0.3, 0.35]
    )
    assert len(table_by_height(Box(1, 1, 0.3), step_m=1)) == 2


@given(tanks, st.integers(1, 20))
def test_a_table_by_share_has_equal_shares(tank, parts):
    rows = table_by_share(tank, parts=parts)
    assert [row.fraction for row in rows] == pytest.approx([part / parts for part in range(parts + 1)], abs=1e-9)


@pytest.mark.parametrize("step", [0.0, -1.0, math.nan, 0.005])
def test_steps_that_are_none(step):
    with pytest.raises(AmountProblem) as refused:
        table_by_height(Box(1, 1, 1), step_m=step)
    assert refused.value.field == "step_m"


@pytest.mark.parametrize("parts", [0, -1, 200])
def test_parts_that_are_none(parts):
    with pytest.raises(AmountProblem):
        table_by_share(Box(1, 1, 1), parts=parts)


def test_a_float_rests_at_its_stops():
    sender = SenderInTank(straight_sender(240, 33), lowest_m=0.05, highest_m=0.45)
    assert sender.resistance_ohm(0) == 240
    assert sender.resistance_ohm(0.05) == 240
    assert sender.resistance_ohm(0.25) == pytest.approx(136.5)
    assert sender.resistance_ohm(0.45) == 33
    assert sender.resistance_ohm(0.5) == 33


@given(st.floats(0, 0.4), st.floats(0.01, 0.6), shares)
def test_a_senders_height_there_and_back(lowest, travel, share):
    placed = SenderInTank(AMERICAN, lowest, lowest + travel)
    height = lowest + share * travel
    assert placed.height_m(AMERICAN.read(placed.resistance_ohm(height))) == pytest.approx(height, abs=1e-9)


def test_a_failed_sender_has_no_height():
    assert SenderInTank(AMERICAN, 0, 1).height_m(AMERICAN.read(320)) is None


@pytest.mark.parametrize(
    ("lowest", "highest", "field"),
    [(-0.1, 1, "lowest_m"), (0.5, 0.5, "highest_m"), (0.5, 0.4, "highest_m"), (0, math.nan, "highest_m")],
)
def test_floats_that_do_not_travel(lowest, highest, field):
    with pytest.raises(AmountProblem) as refused:
        SenderInTank(AMERICAN, lowest, highest)
    assert refused.value.field == field


@given(st.sampled_from([AMERICAN, EUROPEAN, straight_sender(0, 90)]), shares)
def test_a_sender_there_and_back(sender, fraction):
    reading = sender.read(sender.resistance_ohm(fraction))
    assert reading.state is SenderState.READS
    assert reading.fraction == pytest.approx(fraction, abs=1e-9)


@given(st.sampled_from([AMERICAN, EUROPEAN]), st.floats(0, 300), st.floats(0, 300))
def test_a_sender_is_monotone(sender, one, other):
    lower, upper = (sender.read(ohms).fraction for ohms in sorted((one, other)))
    assume(lower is not None and upper is not None)
    assert (lower <= upper) if sender.rises else (lower >= upper)


def test_a_short_cannot_be_told_from_empty_where_empty_is_near_zero():
    assert "shorted to ground reads the same" in EUROPEAN.read(2).sentence
    assert "shorted to ground" not in AMERICAN.read(30).sentence


def test_a_curve_in_any_order():
    assert LevelSender(((1.0, 33.0), (0.0, 240.0), (0.5, 103.0))) == AMERICAN
    assert not AMERICAN.rises
    assert EUROPEAN.rises


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ((), "0 % and at 100 %"),
        (((0.0, 240.0),), "0 % and at 100 %"),
        (((0.0, 240.0), (0.9, 33.0)), "0 % and at 100 %"),
        (((0.0, 240.0), (1.2, 33.0)), "0 % and at 100 %"),
        (((0.0, 240.0), (1.0, 240.0)), "turns"),
        (((0.0, 240.0), (0.5, 250.0), (1.0, 33.0)), "turns between 0 % and 50 %"),
        (((0.0, 240.0), (0.5, 100.0), (0.5, 90.0), (1.0, 33.0)), "twice"),
        (((0.0, -1.0), (1.0, 33.0)), "less than 0"),
        (((0.0, 10.0), (math.nan, 20.0), (1.0, 33.0)), "not a number"),
    ],
)
def test_curves_that_are_none(points, words):
    with pytest.raises(AmountProblem, match=words):
        LevelSender(points)


@pytest.mark.parametrize("value", [-1.0, math.nan, math.inf])
def test_resistances_that_are_none(value):
    with pytest.raises(AmountProblem):
        AMERICAN.read(value)


@pytest.mark.parametrize("fraction", [-0.01, 1.01, math.nan])
def test_levels_that_are_none(fraction):
    with pytest.raises(AmountProblem):
        AMERICAN.resistance_ohm(fraction)
