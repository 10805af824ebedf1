"""Which scripts a report prints and which it refuses: the table in docs/report.md is held against the fonts."""

from __future__ import annotations

import re
import unicodedata

import pytest
from django.conf import settings

from files.paper.letters import lacking_in, printable

# The letters of living languages by their blocks in Unicode: Cyrillic with its supplement, Arabic without the marks of
# the Quran, and so on. From the Unicode Character Database, by the names that Python's unicodedata has of it.
PRINTED = {
    "Latin": [(0x41, 0x24F), (0x1E00, 0x1EFF)],
    "Greek": [(0x386, 0x3E1), (0x3F0, 0x3FF), (0x1F00, 0x1FFF)],
    "Cyrillic": [(0x400, 0x52F)],
    "Arabic": [(0x620, 0x64A), (0x660, 0x669), (0x671, 0x6D3), (0x6F0, 0x6FC)],
    "Hebrew": [(0x5D0, 0x5EA), (0x5B0, 0x5BC)],
    "Devanagari": [(0x900, 0x97F)],
    "Thai": [(0xE01, 0xE3A), (0xE40, 0xE5B)],
}
REFUSED = {
    "Chinese": "船机",
    "kanji": "機関",
    "hiragana": "ふね",
    "katakana": "エンジン",
    "Korean": "배엔진",
    "Armenian": "Նավ",
    "Georgian": "გემი",
    "Ethiopic": "መርከብ",
    "Khmer": "ទូក",
    "Lao": "ເຮືອ",
    "Myanmar": "လှေ",
    "Sinhala": "බෝට්ටුව",
    "Tibetan": "གྲུ",
    "Bengali": "নৌকা",
    "Gujarati": "હોડી",
    "Gurmukhi": "ਕਿਸ਼ਤੀ",
    "Kannada": "ದೋಣಿ",
    "Malayalam": "വള്ളം",
    "Oriya": "ଡଙ୍ଗା",
    "Tamil": "படகு",
    "Telugu": "పడవ",
    "emoji": "🛥",
}
TABLE = (settings.BASE_DIR / "docs" / "report.md").read_text()


def _rows(answer: str) -> str:
    return " ".join(re.findall(rf"^\| (.+) \| {answer}[a-z ]* \|$", TABLE, re.MULTILINE))


@pytest.mark.parametrize("script", list(PRINTED))
def test_every_letter_of_a_printed_script_has_a_shape(script):
    assert script in _rows("printed")
    letters = [
        code
        for first, last in PRINTED[script]
        for code in range(first, last + 1)
        if unicodedata.category(chr(code))[0] in "LMN"
    ]
    assert len(letters) > 35
    assert [f"U+{code:04X}" for code in letters if code not in printable()] == []


@pytest.mark.parametrize("script", list(REFUSED))
def test_every_letter_of_a_refused_script_is_named(script):
    assert script in _rows("refused")
    text = unicodedata.normalize("NFC", REFUSED[script])
    assert set(lacking_in(text)) == {one for one in text if unicodedata.category(one) != "Cf"}


def test_the_table_names_no_script_that_is_not_tried_here():
    named = re.findall(r"[A-Z][a-z]+|kanji|hiragana|katakana|emoji", f"{_rows('printed')} {_rows('refused')}")
    assert set(named) - {"Japanese"} == {*PRINTED, *REFUSED}
