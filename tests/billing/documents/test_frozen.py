"""What is kept of a document: one spelling for a dataclass and for plain values, the same for good."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from billing.documents.frozen import freeze, thawed


@dataclass(frozen=True)
class Line:
    words: str
    price: Decimal | None


@dataclass(frozen=True)
class Paper:
    number: int
    day: date
    lines: tuple[Line, ...]
    at: datetime


AT = datetime(2026, 3, 2, 17, 5, tzinfo=UTC)
PAPER = Paper(7, date(2026, 3, 2), (Line("Impeller", Decimal("48.75")), Line("Öl, 5 %", None)), AT)
PLAIN = {
    "number": 7,
    "day": date(2026, 3, 2),
    "lines": [{"words": "Impeller", "price": Decimal("48.75")}, {"price": None, "words": "Öl, 5 %"}],
    "at": AT,
}
# Worked out by hand: names in order, no blanks, decimals and days as texts, UTF-8.
TEXT = (
    '{"at":"2026-03-02T17:05:00.000000Z","day":"2026-03-02","lines":[{"price":"48.75","words":"Impeller"},'
    '{"price":null,"words":"Öl, 5 %"}],"number":7}'
)


def test_both_have_one_spelling_and_one_digest() -> None:
    for one in (PAPER, PLAIN):
        kept = freeze(one)
        assert kept.text == TEXT
        assert kept.sha256 == hashlib.sha256(TEXT.encode()).hexdigest()


def test_what_was_kept_is_read_again() -> None:
    assert thawed(dict, TEXT)["lines"][1] == {"price": None, "words": "Öl, 5 %"}
    assert freeze(thawed(dict, TEXT)).text == TEXT
