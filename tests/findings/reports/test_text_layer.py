"""Who searches, copies or hears the PDF gets the words of the report: none torn, none run together, none missing."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from files.paper.drawing import Stationery
from findings.drawing.pictures import FlagState
from findings.reports.record import Record
from findings.reports.render import draw_pdf, paper_html
from tests.findings.reports import sample

WITHIN_A_WORD = {"span", "b", "a", "tspan"}
DRAWN_BY_THE_STYLES = {"page", "•"}


class _Words(HTMLParser):
    """The words of a document, those that its styles take out of attributes among them."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self._text: list[str] = []
        self._hidden = 0
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._hidden += tag in {"head", "title"}
        self._text += [f" {value} " for name, value in attrs if value and name in {"data-running", "data-check"}]
        self._text += [] if tag in WITHIN_A_WORD else [" "]

    def handle_endtag(self, tag: str) -> None:
        self._hidden -= tag in {"head", "title"}
        self._text += [] if tag in WITHIN_A_WORD else [" "]

    def handle_data(self, data: str) -> None:
        self._text += [] if self._hidden else [data]

    @property
    def all(self) -> set[str]:
        return set("".join(self._text).split())


def _with_every_flag() -> Record:
    base = sample.record()
    spoken = [
        sample.fault(f"SPN {2000 + n} FMI 1", "Invented", state, "Said.", sample.episode("900", None), status=status)
        for n, (state, status) in enumerate(
            (state.value, status) for state in FlagState for status in ("", "active", "stored", "pending")
        )
    ]
    return replace(base, findings=replace(base.findings, faults=(*base.findings.faults, *spoken)))


@pytest.fixture(scope="module", params=["issued", "draft"])
def paper(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, set[str]]:
    """The file, and the words that it should have."""
    record = _with_every_flag() if request.param == "issued" else replace(sample.record(), issue=None)
    file = tmp_path_factory.mktemp("words") / "report.pdf"
    file.write_bytes(draw_pdf(record, Stationery("letter")).data)
    return file, _Words(paper_html(record, Stationery("letter"))).all


@pytest.mark.parametrize("order", [[], ["-layout"], ["-raw"]], ids=["as read", "as laid out", "as written"])
def test_the_words_of_the_pdf_are_the_words_of_the_report(paper: tuple[Path, set[str]], order: list[str]) -> None:
    file, written = paper
    said = subprocess.run(["pdftotext", *order, str(file), "-"], capture_output=True, text=True, check=True).stdout
    found = set(said.split())
    assert written - found == set()
    # pages and parts are numbered by the styles
    assert {word for word in found - written - DRAWN_BY_THE_STYLES if not re.fullmatch(r"\d{1,2}", word)} == set()
    assert len(written) > 300
    assert "stored" in found
