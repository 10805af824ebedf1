"""The fault lanes: every fact drawn, nothing over something else, the same string for screen and paper."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.drawing.lanes import PHONE_WIDTH, fault_lanes, plan_lanes
from findings.drawing.pictures import Axis, Bar, FittedMark, FlagState, JobRule, Lane, LanesPicture, day_position
from findings.drawing.spread import Extent, spread_bars, spread_labels
from tests.look.pictures import SVG, bar, crowd, history, text_boxes
from tests.look.stylesheet import CSS
from tests.look.test_templates import forbidden

ONE_POINT = LanesPicture(
    key="p",
    title="One point",
    lanes=[Lane(code="C1234", name="Steering", state=FlagState.ACTIVE, bars=[bar(50, None)])],
    jobs=[JobRule(at=50, number="1")],
    now=50,
)
NO_HOURS = LanesPicture(
    key="n",
    title="No hours",
    lanes=[Lane(code="B0001", name="x", state=FlagState.STORED, note="3 sightings without hours")],
)
EMPTY = LanesPicture(key="e", title="Nothing", lanes=[])
FITTED = replace(
    history(), fitted=[FittedMark(at=861, words="1 × TW-150 Impeller"), FittedMark(at=1100.5, words="2 × <Anode>")]
)
PICTURES = {
    "fitted": FITTED,
    "history": history(),
    "crowd": crowd(),
    "one point": ONE_POINT,
    "no hours": NO_HOURS,
    "empty": EMPTY,
}


@pytest.mark.parametrize("width", [PHONE_WIDTH, 700.0, 980.0])
@pytest.mark.parametrize("name", PICTURES)
def test_no_two_texts_touch_and_all_are_on_the_paper(name: str, width: float) -> None:
    svg = fault_lanes(PICTURES[name], width)
    root = ElementTree.fromstring(svg)
    height = float(root.get("height"))
    boxes = text_boxes(svg)
    assert boxes
    for box in boxes:
        assert box.left >= 0, box
        assert box.right <= width + 0.5, box
        assert box.top >= 0, box
        assert box.bottom <= height, box
    for one, other in combinations(boxes, 2):
        assert not one.touches(other), (one, other)


@pytest.mark.parametrize("name", PICTURES)
def test_the_markup_is_whole_safe_and_named(name: str) -> None:
    svg = fault_lanes(PICTURES[name])
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    title = root.find(f"{SVG}title")
    assert root.get("aria-labelledby") == title.get("id")
    assert title.text == PICTURES[name].title
    assert forbidden(svg) == []
    assert "url(" not in svg  # nothing in it points to another id


def test_ids_are_unique_over_pictures_with_other_keys() -> None:
    page = fault_lanes(history()) + fault_lanes(replace(history(), key="star board/2"))
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert ids == ["port-title", "star-board-2-title"]


def test_what_people_typed_is_escaped() -> None:
    lane = Lane(code='<a">', name="<script>go()</script> & co", state=FlagState.ACTIVE, bars=[bar(1, 2)], note="<i>")
    svg = fault_lanes(LanesPicture(key="x", title="<t>", lanes=[lane], jobs=[JobRule(at=1, number="<9>")], now=3))
    texts = {box.words for box in text_boxes(svg)}
    assert {'<a">', "<script>go()</script> & co", "<i>", "<9>"} <= texts
    assert "<script" not in svg


def test_every_class_has_a_rule_and_every_color_a_class() -> None:
    svg = fault_lanes(crowd()) + fault_lanes(history())
    rules = (CSS / "findings" / "drawings.css").read_text()
    for name in {name for group in re.findall(r'class="([^"]+)"', svg) for name in group.split()}:
        assert f".{name} " in rules, name
    for tag in re.findall(r"<(?:rect|line|path|text|tspan)[^>]*>", svg):
        if re.search(r'(?:fill|stroke)="#', tag):
            assert 'class="d-' in tag, tag


def test_the_history_is_drawn() -> None:
    svg = fault_lanes(history())
    words = [box.words for box in text_boxes(svg)]
    for expected in ("SPN 110 · FMI 0", "returned · active", "cleared", "1011", "1023", "1024", "1,100.5 h"):
        assert expected in words, expected
    assert words.count("84 h") == 2
    assert "engine hours" in words
    for said in ("active", "stored", "returned", "clear", "still open", "beginning unknown", "job"):
        assert said in words, said


def test_gaps_that_cannot_be_labeled_are_counted() -> None:
    picture = crowd(lanes=8, jobs=0)
    plan = plan_lanes(picture)
    gaps = sum(len(lane.returns) for lane in picture.lanes)
    drawn = [box.words for box in text_boxes(fault_lanes(picture))]
    assert plan.unlabeled > 0
    assert drawn.count("0.1 h") == gaps - plan.unlabeled
    assert f"{plan.unlabeled} gaps are too short to be labeled here; the table says them." in drawn


def test_a_long_name_stands_in_two_lines() -> None:
    name = "Engine coolant temperature: above the normal range"
    lane = Lane(code="SPN 110 FMI 0", name=name, state=FlagState.HISTORIC, bars=[bar(1, 2)])
    for width in (760.0, 980.0):
        words = [box.words for box in text_boxes(fault_lanes(LanesPicture(key="x", title="x", lanes=[lane]), width))]
        assert " ".join(words[words.index("SPN 110 FMI 0") + 1 :][:2]) == name


def test_on_a_phone_time_has_the_whole_width() -> None:
    plan = plan_lanes(history(), PHONE_WIDTH)
    assert plan.scale.right - plan.scale.left > 0.9 * PHONE_WIDTH
    assert plan.rows[0].caption < plan.rows[0].middle - 20


def test_every_job_has_its_rule_and_no_number_is_lost() -> None:
    plan = plan_lanes(crowd(jobs=60))
    assert sum(len(label.marks) for label in plan.jobs) == 60
    joined = sum(int(label.words.split("+")[1]) for label in plan.jobs if "+" in label.words)
    assert len(plan.jobs) + joined == 60


@pytest.mark.parametrize("width", [PHONE_WIDTH, 980.0])
def test_a_part_that_was_fitted_stands_on_the_axis_with_its_words(width: float) -> None:
    svg, plan = fault_lanes(FITTED, width), plan_lanes(FITTED, width)
    root = ElementTree.fromstring(svg)
    assert [one.text for one in root.iter(f"{SVG}title")][1:] == ["1 × TW-150 Impeller", "2 × <Anode>"]
    wedges = [one.get("d") for one in root.iter(f"{SVG}path") if "h10l-5 9z" in (one.get("d") or "")]
    tips = [float(way[1:].split(" ")[0]) + 5 for way in wedges]
    places = [plan.scale.at(mark.at) for mark in FITTED.fitted]
    assert tips[:2] == pytest.approx(places, abs=0.1)
    assert len(wedges) == 3  # one of them in the legend
    assert "part fitted" in svg
    assert "part fitted" not in fault_lanes(history(), width)


def test_dates_stand_along_the_bottom_where_hours_are_unknown() -> None:
    lane = Lane(
        code="P0562",
        name="Voltage",
        state=FlagState.CLEARED,
        bars=[bar(day_position(date(2024, 5, 1)), day_position(date(2025, 9, 1)))],
    )
    picture = LanesPicture(key="d", title="By date", axis=Axis.DATES, lanes=[lane], now=day_position(date(2026, 3, 9)))
    words = [box.words for box in text_boxes(fault_lanes(picture))]
    assert "Mar 9, 2026" in words
    assert "Jan 2025" in words
    assert "dates" in words


@pytest.mark.parametrize("day", [0.0, 1.0, float(date.max.toordinal())])
def test_the_ends_of_the_calendar_are_no_trap(day: float) -> None:
    lane = Lane(code="P0562", name="Voltage", state=FlagState.ACTIVE, bars=[bar(day, None)])
    assert "<svg" in fault_lanes(LanesPicture(key="d", title="Edge", axis=Axis.DATES, lanes=[lane], now=day))


def test_without_any_hours_the_axis_claims_nothing() -> None:
    words = [box.words for box in text_boxes(fault_lanes(NO_HOURS))]
    assert "3 sightings without hours" in words
    assert not [word for word in words if re.fullmatch(r"[\d,.]+( h)?", word)]


def test_episodes_keep_their_order_and_a_gap_between_them() -> None:
    wanted = [Extent(10, 10), Extent(10.1, 10.2), Extent(10.3, 60), Extent(99, 100)]
    placed = spread_bars(wanted, 7, 5, 0, 100)
    for one, other in pairwise(placed):
        assert other.left - one.right >= 5 - 1e-9
    assert placed[-1].right <= 100


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(0, 60)), max_size=60))
def test_bars_never_overlap_nor_leave_the_paper(pairs: list[tuple[float, float]]) -> None:
    wanted = [Extent(at, min(at + length, 500)) for at, length in sorted(pairs)]
    placed = spread_bars(wanted, 7, 5, 0, 500)
    assert len(placed) == len(wanted)
    assert all(one.right < other.left for one, other in pairwise(placed))
    assert all(-1e-6 <= extent.left < extent.right <= 500 + 1e-6 for extent in placed)


@given(st.lists(st.tuples(st.floats(0, 500), st.text("0123456789", min_size=1, max_size=6)), max_size=80))
@settings(deadline=None)
def test_job_numbers_never_overlap_and_all_are_accounted_for(wanted: list[tuple[float, str]]) -> None:
    placed = spread_labels(wanted, advance=7.5, levels=4, gap=8, left=0, right=520)
    assert sorted(mark for label in placed for mark in label.marks) == sorted(at for at, _ in wanted)
    for one, other in combinations(placed, 2):
        if one.level == other.level:
            first, second = sorted((one, other), key=lambda label: label.left)
            assert first.left + len(first.words) * 7.5 <= second.left
    assert all(label.left + len(label.words) * 7.5 <= 520 + 1e-6 for label in placed)


@given(
    st.lists(st.floats(0, 1e6, allow_nan=False), min_size=1, max_size=6),
    st.sampled_from(list(Axis)),
    st.sampled_from([PHONE_WIDTH, 700.0, 980.0]),
)
@settings(max_examples=60, deadline=None)
def test_any_span_can_be_drawn(places: list[float], axis: Axis, width: float) -> None:
    lanes = [
        Lane(code="P0001", name="Any", state=FlagState.ACTIVE, bars=[bar(at, None if at == places[0] else at + 3)])
        for at in places
    ]
    svg = fault_lanes(LanesPicture(key="any", title="Any", lanes=lanes, axis=axis, now=max(places) + 3), width)
    boxes = text_boxes(svg)
    assert not [pair for pair in combinations(boxes, 2) if pair[0].touches(pair[1])]


@pytest.mark.parametrize("width", [PHONE_WIDTH, 700.0, 980.0])
@pytest.mark.parametrize("end", [80.0, None])
def test_what_was_not_seen_is_hollow_dashed_and_said(width: float, end: float | None) -> None:
    known = Bar(start=10, end=end, state=FlagState.ACTIVE, seen_to=100 if end is None else end)
    unknown = replace(known, seen_to=40)
    whole = LanesPicture(
        key="u", title="Unseen", now=100, lanes=[Lane(code="C1234", name="x", state=FlagState.ACTIVE, bars=[known])]
    )
    part = replace(whole, lanes=[replace(whole.lanes[0], bars=[unknown])])
    svg = fault_lanes(part, width)
    assert svg.count('stroke-dasharray="2 2"') == 2  # the bar and its sample in the legend
    words = [box.words for box in text_boxes(svg)]
    assert "not known whether still there" in words
    assert "Dashed: not known whether still there." in ElementTree.fromstring(svg).find(f"{SVG}title").text
    assert "dasharray" not in fault_lanes(whole, width)
    assert "not known whether still there" not in fault_lanes(whole, width)
    for one, other in combinations(text_boxes(svg), 2):
        assert not one.touches(other), (one, other)
