"""A drawn signature: what is taken for one, what is refused, and the picture that is kept of it."""

from __future__ import annotations

import json
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from billing.authorizations.strokes import HIGH, MOST_POINTS, MOST_STROKES, WIDE, strokes_of, svg_of
from commands.refusals import Refused
from tests.billing.signing import SIGNED


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "Nothing was drawn"),
        ("   ", "Nothing was drawn"),
        ("[]", "Nothing was drawn"),
        ("[[], []]", "Nothing was drawn"),
        ("[[[5, 5]]]", "no more than a dot"),
        ("[[[5, 5], [5, 5], [6, 6]]]", "no more than a dot"),
        ("[[[5, 5]], [[400, 200]], [[900, 10]]]", "no more than a dot"),  # three touches and no line
        ("null", "did not come whole"),
        ("{}", "did not come whole"),
        ('["a"]', "did not come whole"),
        ("[[1, 2]]", "did not come whole"),
        ("[[[1, 2, 3], [400, 5, 6]]]", "did not come whole"),
        ('[[["1", 2], [400, 5]]]', "did not come whole"),
        ("[[[true, 2], [400, 5]]]", "did not come whole"),
        ("[[[NaN, 2], [400, 5]]]", "did not come whole"),
        ("[[[1, Infinity], [400, 5]]]", "did not come whole"),
        ("[[[0, 0], [400", "did not come whole"),
        ("[" * 50_000, "did not come whole"),
        ("x" * 200_001, "too large"),
        (json.dumps([[[0, 0], [9, 9]]] * (MOST_STROKES + 1)), "too large"),
        (json.dumps([[[0, 0]] * (MOST_POINTS + 1)]), "too large"),
    ],
)
def test_what_is_no_signature(text: str, says: str) -> None:
    with pytest.raises(Refused, match=says) as refusal:
        strokes_of(text)
    assert list(refusal.value.fields) == ["strokes"]


def test_what_is_drawn_beyond_the_box_stays_at_its_edge() -> None:
    assert strokes_of("[[[-50, 1e9], [2000, -3], [10.4, 10.6]]]") == [[(0, HIGH), (WIDE, 0), (10, 11)]]


def test_the_picture_is_lines_alone() -> None:
    drawn = ET.fromstring(svg_of(strokes_of(SIGNED)))
    assert {one.tag.rpartition("}")[2] for one in drawn.iter()} == {"svg", "g", "polyline"}
    assert [one.get("points") for one in drawn.iter() if one.get("points")] == [
        "10,200 300,40 500,220", "520,100 640,120",
    ]  # fmt: skip


points = st.tuples(st.integers(0, WIDE), st.integers(0, HIGH)).map(list)


@given(st.lists(st.lists(points, max_size=8), max_size=6))
def test_whatever_is_drawn_is_kept_as_drawn_or_refused(drawn: list[list[list[int]]]) -> None:
    try:
        kept = strokes_of(json.dumps(drawn))
    except Refused:
        return
    assert kept == [[tuple(one) for one in stroke] for stroke in drawn if stroke]
    assert svg_of(kept).count(b"<polyline") == len(kept)
