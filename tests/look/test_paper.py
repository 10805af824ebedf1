"""The pictures on paper: the same string as on screen, with the house's fonts and colors, as vectors and real text."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration

from findings.drawing.flags import fault_flag
from findings.drawing.lanes import fault_lanes
from findings.drawing.pictures import PRINT, FlagState, RangeStrip, Verdict
from findings.drawing.strip import range_strip
from tests.look.pictures import history

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def paper() -> PdfReader:
    strip = RangeStrip(key="s", parameter="Resistance", value=1042, unit="Ω", verdict=Verdict.OUT, low=10, high=12)
    flags = "".join(f"<p>{fault_flag(state)}</p>" for state in FlagState)
    page = f"<html lang=en><body>{flags}{fault_lanes(history(), 700)}{range_strip(strip)}</body></html>"
    known = FontConfiguration()
    fonts = CSS(filename=ROOT / "static" / "css" / "paper-fonts.css", font_config=known)
    return PdfReader(io.BytesIO(HTML(string=page).write_pdf(stylesheets=[fonts], font_config=known)))


def test_every_word_is_text(paper: PdfReader) -> None:
    words = "".join(page.extract_text() for page in paper.pages)
    for expected in (
        "active",
        "stored",
        "returned",
        "cleared",
        "historic",
        "SPN 110 · FMI 0",
        "84 h",
        "1011",
        "1042 Ω",
    ):
        assert expected in words, expected


def test_only_the_houses_fonts_are_used(paper: PdfReader) -> None:
    names = {
        str(font.get_object()["/BaseFont"])
        for page in paper.pages
        for font in page["/Resources"]["/Font"].get_object().values()
    }
    assert names
    assert all("Atkinson" in name for name in names), names


def test_shapes_are_vectors_in_the_colors_of_the_house(paper: PdfReader) -> None:
    drawn = "".join(page.get_contents().get_data().decode("latin-1") for page in paper.pages)
    for page in paper.pages:
        assert not [
            x for x in page["/Resources"].get("/XObject", {}).values() if x.get_object()["/Subtype"] == "/Image"
        ]
        for form in page["/Resources"].get("/XObject", {}).values():
            drawn += form.get_object().get_data().decode("latin-1")
    for color in (PRINT.signal, PRINT.second_signal, PRINT.kept):
        parts = (round(int(color[at : at + 2], 16) / 255, 6) for at in (1, 3, 5))
        assert f"{' '.join(f'{part:g}' for part in parts)} rg" in drawn, color
