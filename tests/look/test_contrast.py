"""Every pair of colors that the style sheets put on each other can be read, in every scheme."""

from __future__ import annotations

import re

import pytest

from findings.drawing.pictures import PRINT
from tests.look.stylesheet import CSS, SCHEMES, contrast, tokens

GROUNDS = ("paper", "surface", "sunk")
FOR_PAPER = (
    "paper.css",
    "findings/report.css",
    "findings/report-screen.css",
    "workorders/tag.css",
    "billing/paper.css",
)
WASHES = ("action-wash", "signal-wash", "second-signal-wash", "kept-wash")
TEXT_PAIRS = (
    [(ink, ground) for ink in ("ink", "soft-ink", "action", "action-deep", "signal") for ground in GROUNDS]
    + [(ink, ground) for ink in ("second-signal", "kept") for ground in ("paper", "surface")]
    + [("ink", wash) for wash in WASHES]
    + [("action", "action-wash"), ("signal", "signal-wash"), ("kept", "kept-wash")]
    + [("second-signal", "second-signal-wash"), ("paper", "ink")]
    + [("on-action", "action"), ("on-action", "action-deep"), ("on-signal", "signal")]
    + [("on-second-signal", "second-signal"), ("on-kept", "kept")]
    + [("spine-ink", "spine"), ("spine-soft", "spine")]
)
SHAPE_PAIRS = (
    [("edge", ground) for ground in GROUNDS]
    + [("focus", ground) for ground in (*GROUNDS, *WASHES)]
    + [("spine-ink", "spine"), ("spine-signal", "spine"), ("signal", "paper")]
    + [(shape, "surface") for shape in ("action", "signal", "second-signal", "kept", "ink", "soft-ink")]
)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("ink", "ground"), TEXT_PAIRS)
def test_text_can_be_read(scheme: str, ink: str, ground: str) -> None:
    least = 7.0 if "more" in scheme else 4.5
    colors = tokens(scheme)
    assert contrast(colors[ink], colors[ground]) >= least


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("shape", "ground"), SHAPE_PAIRS)
def test_shapes_stand_out(scheme: str, shape: str, ground: str) -> None:
    colors = tokens(scheme)
    assert contrast(colors[shape], colors[ground]) >= 3.0


def test_the_contrast_formula_gives_the_known_extremes() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # WCAG techniques: just fails AA


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_scheme_names_every_color(scheme: str) -> None:
    assert set(tokens(scheme)) == set(tokens("light"))


def test_every_color_used_is_a_token() -> None:
    """No style sheet but tokens.css writes a color of its own, and none names a token that is not there."""
    known = set(re.findall(r"(--[\w-]+):", (CSS / "tokens.css").read_text()))
    for sheet in CSS.rglob("*.css"):
        text = re.sub(r"/\*.*?\*/", "", sheet.read_text(), flags=re.S)
        used = set(re.findall(r"var\((--[\w-]+)", text))
        assert used <= known, f"{sheet.name} names {used - known}"
        if str(sheet.relative_to(CSS)) not in ("tokens.css", "print.css", *FOR_PAPER):
            assert not re.findall(r"#[0-9a-fA-F]{3,8}\b", text), sheet.name


@pytest.mark.parametrize("name", FOR_PAPER)
def test_paper_has_the_colors_of_the_light_scheme(name: str) -> None:
    """The PDF's renderer gets colors as they are; they are still the house's."""
    written = set(re.findall(r"#[0-9a-f]{6}\b|#[0-9a-f]{3}\b", (CSS / name).read_text()))
    assert written <= {*tokens("light").values(), "#fff", "#ffffff"}


def test_the_palette_on_paper_is_the_light_scheme() -> None:
    light = tokens("light")
    for name in PRINT.__slots__:
        assert getattr(PRINT, name) == light[name.replace("_", "-")], name
