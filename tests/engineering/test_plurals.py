"""Words beside a count, as people say them."""

from __future__ import annotations

import pytest

from engineering.plurals import counted, plural


@pytest.mark.parametrize(
    ("count", "words"),
    [(0, "0 lines"), (1, "1 line"), (2, "2 lines"), (999, "999 lines"), (1000, "1,000 lines"), (-1, "-1 lines")],
)
def test_a_count_with_its_word(count: int, words: str) -> None:
    assert counted(count, "line") == words


@pytest.mark.parametrize(("count", "word"), [(0, "are"), (1, "is"), (2, "are"), (21, "are"), (101, "are")])
def test_a_word_that_no_s_makes_plural(count: int, word: str) -> None:
    assert plural(count, "is", "are") == word


def test_both_say_the_same_word() -> None:
    assert [counted(count, "entry", "entries") for count in (1, 3)] == ["1 entry", "3 entries"]
    assert [plural(count, "entry", "entries") for count in (1, 3)] == ["entry", "entries"]
