"""Bars beside their names: what they draw, that it stays on the paper, and that they can be heard."""

from __future__ import annotations

from xml.etree import ElementTree

from hypothesis import given, settings
from hypothesis import strategies as st

from billing.figures.pictures import PHONE_WIDTH, WIDTH, Bar, BarsPicture, bars_chart
from tests.look.pictures import SVG, text_boxes
from tests.look.test_templates import forbidden

sums = st.floats(0, 1e9)
bars = st.builds(
    Bar,
    name=st.text(alphabet=st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=80),
    value=sums, words=st.floats(0, 1e9).map(lambda value: f"${value:,.2f}"), second=st.none() | sums,
    low=st.none() | sums, high=st.none() | sums,
)  # fmt: skip


@settings(max_examples=40)
@given(st.lists(bars, max_size=30), st.sampled_from([WIDTH, PHONE_WIDTH]))
def test_everything_stays_on_the_paper_and_policy_blocks_nothing(shown: list[Bar], width: float) -> None:
    svg = bars_chart(BarsPicture("key", "What it says.", shown, "one", "other", "line"), width=width)
    root = ElementTree.fromstring(svg)
    high = float(root.get("height") or 0)
    assert (root.get("role"), root.findtext(f"{SVG}title")) == ("img", "What it says.")
    assert not list(forbidden(svg))
    for box in root.iter(f"{SVG}rect"):
        left, wide = float(box.get("x") or 0), float(box.get("width") or 0)
        assert 0 <= left <= left + wide <= width + 0.1
        assert float(box.get("y") or 0) + float(box.get("height") or 0) <= high
    for box in text_boxes(svg):
        assert box.left >= -0.1
        assert box.right <= width + 0.1


def test_a_bar_is_as_long_as_what_it_stands_for() -> None:
    svg = bars_chart(BarsPicture("key", "s", [Bar("a", 10, "10", 5), Bar("b", 2.5, "2.5"), Bar("c", 0, "0")]))
    wide = [float(box.get("width") or 0) for box in ElementTree.fromstring(svg).iter(f"{SVG}rect")]
    assert [round(one / wide[0], 2) for one in wide] == [1, 0.5, 0.25, 0]


def test_nothing_to_draw_is_drawn() -> None:
    assert "<svg" in bars_chart(BarsPicture("key", "s", []))
