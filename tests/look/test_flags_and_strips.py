"""Flags are told apart by their pattern; strips say the verdict by word and by shape."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from django.template import engines
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from findings.drawing.flags import fault_flag
from findings.drawing.lettering import fitted_mono, fitted_text, mono_width, text_width
from findings.drawing.pictures import FlagState, Palette, RangeStrip, Verdict
from findings.drawing.strip import WIDTH, range_strip, strip_sentence
from tests.look.pictures import SVG, text_boxes
from tests.look.test_templates import forbidden

FONTS = Path(__file__).resolve().parents[2] / "static" / "fonts"
GRAY = Palette(**dict.fromkeys(Palette.__slots__, "#808080"))


def in_gray(state: FlagState) -> str:
    """A flag's shapes with its word and its colors taken out: what is left is the pattern."""
    svg = fault_flag(state, "", GRAY)
    svg = re.sub(r"<text.*?</text>", "", svg)
    return re.sub(r'aria-label="[^"]*"|class="[^"]*"|(width|height|viewBox)="[^"]*"', "", svg)


def strip(value: float, verdict: Verdict, **limits: float | None) -> RangeStrip:
    return RangeStrip(key="s", parameter="Battery voltage", value=value, unit="V", verdict=verdict, **limits)


@pytest.mark.parametrize(("one", "other"), list(combinations(FlagState, 2)))
def test_flags_differ_without_color_and_without_their_word(one: FlagState, other: FlagState) -> None:
    shapes = [re.sub(r"[\d.]+", "0", in_gray(state)) for state in (one, other)]
    assert shapes[0] != shapes[1]


def test_each_pattern_is_what_its_state_says() -> None:
    assert "stroke-dasharray" in fault_flag(FlagState.HISTORIC)
    assert "stroke-dasharray" not in fault_flag(FlagState.CLEARED)
    assert fault_flag(FlagState.CLEARED).count("<line") == 2  # the bar, broken for the word
    assert fault_flag(FlagState.STORED).count("<tspan") == 2  # the word, counterchanged
    assert fault_flag(FlagState.RETURNED).count("<path") == 3  # outer edge, body, turn-back arrow
    assert fault_flag(FlagState.ACTIVE).count("<path") == 1
    assert fault_flag(FlagState.NOT_FIXED_YET).count("<path") == 2  # stitched edge, body
    assert 'stroke-dasharray="4 2.5"' in fault_flag(FlagState.NOT_FIXED_YET)


@pytest.mark.parametrize("state", FlagState)
def test_a_flag_says_its_word_once_and_stays_in_its_box(state: FlagState) -> None:
    svg = fault_flag(state)
    (box,) = text_boxes(svg)
    assert box.words == state.value
    assert box.right < float(ElementTree.fromstring(svg).get("width"))
    assert forbidden(svg) == []


def test_a_returned_flag_names_the_status_now() -> None:
    assert 'aria-label="Fault state: returned · stored"' in fault_flag(FlagState.RETURNED, "stored")
    assert 'aria-label="Fault state: not fixed yet · stored"' in fault_flag(FlagState.NOT_FIXED_YET, "stored")


def test_the_tags_draw_and_refuse_an_unknown_state() -> None:
    engine = engines["django"]
    source = "{% load drawings %}{% fault_flag state status %}"
    assert "returned · active" in engine.from_string(source).render({"state": "returned", "status": "active"})
    unfixed = {"state": "not fixed yet", "status": "active"}
    assert "not fixed yet · active" in engine.from_string(source).render(unfixed)
    assert "cleared · active" not in engine.from_string(source).render({"state": "cleared", "status": "active"})
    with pytest.raises(ValueError, match="asleep"):
        engine.from_string(source).render({"state": "asleep"})


def test_a_strip_says_value_verdict_and_limits() -> None:
    svg = range_strip(strip(13.1, Verdict.OUT, low=13.5, high=14.7, minimum=12.9, maximum=13.4))
    words = [box.words for box in text_boxes(svg)]
    assert words == ["13.1 V", "out", "13.5", "14.7", "lowest 12.9 V, highest 13.4 V"]
    title = ElementTree.fromstring(svg).find(f"{SVG}title").text
    assert title == "Battery voltage: 13.1 V, 0.4 V below the band, lowest 12.9 V, highest 13.4 V (out)"


def test_the_callers_sentence_goes_before_our_own() -> None:
    given_words = RangeStrip(key="s", parameter="x", value=1, unit="V", verdict=Verdict.OUT, sentence="1 V at idle")
    assert strip_sentence(given_words) == "1 V at idle"
    assert strip_sentence(strip(15.0, Verdict.OUT, high=14.7)) == "15 V, 0.3 V above the band"
    assert strip_sentence(strip(14.0, Verdict.IN_RANGE, high=14.7)) == "14 V, in range"


def test_verdicts_differ_in_shape() -> None:
    marks = {
        verdict: re.sub(r'#[0-9a-f]{6}|class="[^"]*"', "", range_strip(strip(13, verdict))).count("<path")
        for verdict in (Verdict.IN_RANGE, Verdict.NEAR, Verdict.OUT)
    }
    assert marks[Verdict.NEAR] == 2
    assert "a7.5 7.5" in range_strip(strip(13, Verdict.IN_RANGE))
    assert "a7.5 7.5" not in range_strip(strip(13, Verdict.OUT))
    assert range_strip(strip(13, Verdict.OUT)).count("<rect") == range_strip(strip(13, Verdict.NEAR)).count("<rect") + 1


values = st.floats(-1e5, 1e6, allow_nan=False)


@given(values, st.none() | values, st.none() | values, st.none() | values, st.sampled_from(list(Verdict)))
def test_any_strip_keeps_its_labels_apart_and_on_the_paper(
    value: float, one: float | None, other: float | None, nominal: float | None, verdict: Verdict
) -> None:
    low, high = (one, other) if one is None or other is None else (min(one, other), max(one, other))
    boxes = text_boxes(range_strip(strip(value, verdict, low=low, high=high, nominal=nominal, minimum=low)))
    assert all(box.left >= 0 and box.right <= WIDTH for box in boxes)
    assert not [pair for pair in combinations(boxes, 2) if pair[0].touches(pair[1])]


def test_both_limits_are_labeled_even_when_they_are_close() -> None:
    words = {box.words for box in text_boxes(range_strip(strip(1042, Verdict.OUT, low=10, high=12, nominal=11)))}
    assert {"10", "12"} <= words


@pytest.mark.parametrize("text", ["returned · active", "SPN 110 FMI 0", "Öl %@&Wm", "near the limit"])
def test_widths_are_never_under_those_of_the_font(text: str) -> None:
    for file, measure in (("next-600.ttf", text_width), ("next-400.ttf", text_width), ("mono-600.ttf", mono_width)):
        font = TTFont(FONTS / f"atkinson-hyperlegible-{file}")
        names, advances = font.getBestCmap(), font["hmtx"].metrics
        drawn = sum(advances[names[ord(sign)]][0] for sign in text) / 1000 * 14
        assert drawn <= measure(text, 14) + 0.01
        assert measure(text, 14) <= drawn * 1.12


@given(st.text(max_size=60), st.floats(0, 300))
def test_a_fitted_text_fits(text: str, room: float) -> None:
    assert text_width(fitted_text(text, 13, room), 13) <= max(room, text_width("…", 13))
    assert mono_width(fitted_mono(text, 13, room), 13) <= max(room, mono_width("…", 13))


@pytest.mark.parametrize(
    ("by", "lowest", "highest", "seen", "says"),
    [
        (("lowest",), 20, 61, "", ["out by its lowest", "lowest 20 psi, highest 61 psi"]),
        (("lowest", "highest"), 20, 80, "", ["out by its lowest and highest", "lowest 20 psi, highest 80 psi"]),
        ((), 20, None, "over the whole log", ["lowest 20 psi over the whole log"]),
        ((), None, 61, "", ["highest 61 psi"]),
    ],
)
def test_a_strip_shows_the_extremes_and_what_the_verdict_comes_from(by, lowest, highest, seen, says):
    drawn = range_strip(
        RangeStrip(
            key="s", parameter="Oil pressure", value=60, unit="psi", verdict=Verdict.OUT, low=44, high=73,
            minimum=lowest, maximum=highest, by=by, seen=seen,
        )
    )  # fmt: skip
    for words in says:
        assert f">{words}</text>" in drawn
