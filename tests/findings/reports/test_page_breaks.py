"""What a page of the paper shows is understood from that page: nothing loses the word without which it misleads."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator

import pytest

from files.paper.drawing import Stationery
from findings.reports.render import draw_pdf
from tests.findings.reports import sample

HEADINGS = {
    "What was looked at", "Summary", "Recommendations", "What this revision changes", "Fault codes and their history",
    "Codes that appeared more than once", "Codes that appeared once", "Scans of this job",
    "Clears on record, up to the end of this job", "Readings against their limits", "Port", "Starboard",
    "Remarks on the findings", "Work done", "Work logged", "Engines and control units", "Condition on arrival",
    "What was not inspected", "Not inspected:", "Cautions", "Signature", "Before next use", "Soon", "Watch",
    "Different in the record:",
}  # fmt: skip


@pytest.fixture(scope="module", params=[("letter", 0), pytest.param(("a4", 11), marks=pytest.mark.long)], ids=str)
def pages(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[list[str]]:
    """The lines of each page, without what runs at its top and foot."""
    size, shift = request.param
    file = tmp_path_factory.mktemp("torn") / "torn.pdf"
    file.write_bytes(draw_pdf(sample.torn(shift), Stationery(size)).data)
    said = subprocess.run(["pdftotext", "-layout", str(file), "-"], capture_output=True, text=True, check=True).stdout
    return [[line.strip() for line in page.splitlines() if _is_of_the_page(line)] for page in said.split("\f")[:-1]]


def _is_of_the_page(line: str) -> bool:
    return bool(line.strip()) and not re.search(r"Condition report 1032-4 ·|Check at reports", line)


def _under(page: list[str], row: str, head: str) -> Iterator[tuple[re.Match[str], re.Match[str] | None]]:
    """Each line that is such a row, with the last such head above it on its page."""
    last = None
    for line in page:
        last = re.search(head, line) or last
        if found := re.search(row, line):
            yield found, last


def _all_under(pages: list[list[str]], row: str, head: str) -> list[tuple[re.Match[str], re.Match[str] | None]]:
    pairs = [pair for page in pages for pair in _under(page, row, head)]
    assert pairs, row
    assert [found.string for found, above in pairs if above is None] == []
    return pairs


def test_a_recommendation_stands_with_its_urgency(pages: list[list[str]]) -> None:
    label = r"(Before next use|Soon|Watch)(?= )"
    pairs = _all_under(pages, r"(before next use|soon|watch) item \d+:", label)
    assert len(pairs) == 3 * 22 + 1
    assert all(above and above[1].lower() == found[1] for found, above in pairs)
    going_on = _all_under(pages, "a sentence as long as a letter", label)
    assert {above[1] for _, above in going_on if above} == {"Watch"}


def test_what_was_not_inspected_is_never_a_bare_list(pages: list[list[str]]) -> None:
    assert len(_all_under(pages, r"^Thing \d+ of the boat", "^Not inspected:")) == 70


def test_a_unit_stands_under_its_engine_in_the_coverage(pages: list[list[str]]) -> None:
    engine = r"^(Port|Starboard) +– +– +\d+ readings"
    for found, above in _all_under(pages, r"^Unit \d+ \((port|starboard)\) +not scanned +–", engine):
        assert above
        assert above[1].lower() == found[1]


def test_a_line_about_codes_or_readings_says_at_each_page_when_that_was(pages: list[list[str]]) -> None:
    _all_under(pages, r"^Unit \d+ \(\w+\): not scanned", "^Codes listed, on arrival +Codes listed, after")
    _all_under(pages, r"^Value \d+, \w+: 38 psi, limits", "^Readings out of their limits, on arrival +Readings out of")


def test_codes_that_appeared_once_stand_under_their_unit(pages: list[list[str]]) -> None:
    for found, above in _all_under(
        pages, r"SPN 13(\d\d) FMI 4 +Invented +Stored\.", r"^Engine control unit \((port|starboard)\)$"
    ):
        assert above
        assert above[1] == ("port" if int(found[1]) % 2 else "starboard")


def test_a_history_stands_under_its_code_and_its_columns(pages: list[list[str]]) -> None:
    episode = r"\d h, \w{3} \d+.* cleared \d"
    assert len(_all_under(pages, episode, r"SPN 110 FMI 0")) == 71
    _all_under(pages, episode, r"First seen +Last seen +Ended")


def test_readings_stand_under_engine_instrument_and_columns(pages: list[list[str]]) -> None:
    value = r"^Value (\d+) +warm"
    for found, above in _all_under(pages, value, r"^(Port|Starboard)\. (On arrival|Sea trial),"):
        assert above
        assert above[1] == ("Port" if int(found[1]) % 2 else "Starboard")
        assert above[2] == ("On arrival", "Sea trial")[int(found[1]) % 4 // 2]
    _all_under(pages, value, "Gauge G-12, serial 4471-B")
    _all_under(pages, value, "^Reading +Condition +Value +Limits +Judgment")
    for found, above in _all_under(pages, r"^Value (\d+) {0,3}$|^Value (\d+) +38", "^Reading, (port|starboard)"):
        assert above
        assert above[1] == ("port" if int(found[1] or found[2]) % 2 else "starboard")


def test_a_number_in_brackets_is_explained_on_its_page(pages: list[list[str]]) -> None:
    numbered = [page for page in pages if any("psi [1]" in line for line in page)]
    assert len(numbered) > 1
    for page in numbered:
        assert any(line.startswith("[1] Norrland D6T service manual") for line in page)


def test_no_heading_is_the_last_line_of_a_page_and_no_signature_its_only_one(pages: list[list[str]]) -> None:
    assert [page[-1] for page in pages if page[-1] in HEADINGS] == []
    (signed,) = [page for page in pages if any("Signed for Marlin Creek Marine" in line for line in page)]
    assert any("Cautions" in line for line in signed)
