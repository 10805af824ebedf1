"""Charts of recurrence and trend: what they draw, that it stays on the paper, and that they can be heard."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.drawing.charts import (
    HEIGHT,
    PHONE_WIDTH,
    WIDTH,
    HoldingPicture,
    Step,
    TrendPicture,
    holding_chart,
    trend_chart,
)
from tests.look.pictures import SVG, text_boxes
from tests.look.test_templates import forbidden

HOLDING = HoldingPicture(
    key="holding", sentence="Half come back within 140 h.", longest=300, median=140,
    steps=[Step(0, 1, 0.7, 1), Step(30, 0.8, 0.6, 0.95), Step(140, 0.5, 0.3, 0.7), Step(250, 0.35, 0.1, 0.6)],
)  # fmt: skip
TREND = TrendPicture(
    key="trend", sentence="It falls to its limit.", unit="psi", low=38, high=46, limit=38,
    points=[(97.4, 43.6), (204.2, 42.1), (303.1, 40.4), (404.6, 38.4)],
    line=((97.4, 43.8), (448, 38)), meets=(425, 460, True),
)  # fmt: skip
hours = st.floats(0, 50_000).map(lambda value: round(value, 1))
values = st.floats(-1e6, 1e6)


def drawn(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def texts(svg: str) -> list[str]:
    return ["".join(node.itertext()) for node in drawn(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize(
    ("svg", "name"), [(holding_chart(HOLDING), "Half come back"), (trend_chart(TREND), "It falls")]
)
def test_a_chart_has_a_name_and_nothing_that_the_policy_blocks(svg, name):
    root = drawn(svg)
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title").startswith(name)
    assert not list(forbidden(svg))


def test_the_median_is_drawn_and_said():
    assert "half back by 140 h" in texts(holding_chart(HOLDING))
    assert not any("half back" in said for said in texts(holding_chart(HoldingPicture(
        key="h", sentence="s", longest=300, steps=HOLDING.steps[:2]
    ))))  # fmt: skip


def test_the_steps_fall_from_all_to_what_is_left():
    ways = [node.get("d") for node in drawn(holding_chart(HOLDING)).iter(f"{SVG}path")]
    heights = [float(part.split("H")[0]) for part in ways[0].split("V")[1:]]
    assert heights == sorted(heights)
    assert len(heights) == len(HOLDING.steps)


def test_limits_and_units_are_said():
    said = texts(trend_chart(TREND))
    for words in ("at least 38 psi", "at most 46 psi", "psi", "engine hours"):
        assert words in said


def test_what_lies_beyond_the_readings_is_broken():
    lines = [node for node in drawn(trend_chart(TREND)).iter(f"{SVG}line") if node.get("stroke-dasharray") == "7 5"]
    assert len(lines) == 1


def test_a_limit_far_off_does_not_press_the_readings_flat():
    far = TrendPicture(key="t", sentence="s", unit="V", points=[(0, 14.1), (100, 14.2), (200, 14.0)], low=2, high=14.4)
    said = texts(trend_chart(far))
    assert "at most 14.4 V" in said
    assert "at least 2 V" not in said


def test_readings_that_never_differ_still_have_a_scale():
    assert trend_chart(TrendPicture(key="t", sentence="s", unit="V", points=[(5, 14.2)] * 5))


@given(st.lists(st.tuples(hours, values), min_size=1, max_size=20), st.none() | values, st.none() | values)
@settings(max_examples=60, deadline=None)
def test_everything_stays_on_the_paper(points, low, high):
    svg = trend_chart(TrendPicture(key="t", sentence="s", unit="psi", points=sorted(points), low=low, high=high))
    root = drawn(svg)
    for node in root.iter():
        for name, most in (("x1", WIDTH), ("x2", WIDTH), ("x", WIDTH), ("y1", HEIGHT), ("y2", HEIGHT), ("y", HEIGHT)):
            if node.get(name) is not None:
                assert -1 <= float(node.get(name)) <= most + 1


def test_words_do_not_leave_the_paper():
    for svg in (holding_chart(HOLDING), trend_chart(TREND)):
        for box in text_boxes(svg):
            assert box.left >= 0
            assert box.right <= WIDTH


@pytest.mark.parametrize(
    ("draw", "one", "said"),
    [(holding_chart, HOLDING, "half back by 140 h"), (trend_chart, TREND, "at least 38 psi")],
)
def test_a_phones_chart_says_the_same_in_less_width_and_in_letters_as_large(draw, one, said):
    wide, narrow = drawn(draw(one)), drawn(draw(one, width=PHONE_WIDTH))
    assert [float(side) for side in narrow.get("viewBox").split()] == [0, 0, PHONE_WIDTH, HEIGHT]
    for node in narrow.iter(f"{SVG}text"):
        assert 0 <= float(node.get("x")) <= PHONE_WIDTH - 10
        assert node.get("font-size") == "13"
    for box in text_boxes(draw(one, width=PHONE_WIDTH)):
        assert box.left >= 0
        assert box.right <= PHONE_WIDTH
    for node in narrow.iter():
        assert all(float(node.get(name, "0")) <= PHONE_WIDTH for name in ("x1", "x2"))
    assert said in texts(draw(one, width=PHONE_WIDTH))
    assert "is-narrow" in narrow.get("class").split()
    named = [picture.find(f"{SVG}title").get("id") for picture in (wide, narrow)]
    assert None not in named
    assert len(set(named)) == 2
