"""Hull identification numbers against the regulation's text and published guides.

Present format: 33 CFR 181.25 (a) to (d), text current through September 2024. Former formats: guides of boating-law
administrators and class associations, which agree with each other. Numbers are the guides' own examples.
"""

from datetime import date

import pytest

from engineering.hin import check_hin

TODAY = date(2026, 6, 15)
LETTERS_AND_DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def _is_right(text: str) -> bool:
    return check_hin(text, today=TODAY).ok


@pytest.mark.parametrize("character", LETTERS_AND_DIGITS)
@pytest.mark.parametrize("place", range(4, 9))
def test_serial_in_letters_or_digits_except_i_o_q(character, place):
    # 181.25 (b): characters four through eight, letters or Arabic numerals or both, except the letters I, O, and Q
    text = "ABC12345A585"
    text = text[: place - 1] + character + text[place:]
    assert _is_right(text) is (character not in "IOQ")


@pytest.mark.parametrize(("letter", "month"), list(zip("ABCDEFGHIJKL", range(1, 13), strict=True)))
def test_month_letters_from_january_to_december(letter, month):
    # 181.25 (c): January is "A", February "B", and so on until December
    hin = check_hin(f"ABC12345{letter}495", today=TODAY).hin
    assert hin is not None
    assert (hin.certified_month, hin.certified_year, hin.model_year) == (month, 1994, 1995)


@pytest.mark.parametrize("letter", "NOPQRSTUVWXYZ")
def test_no_other_month_letters(letter):
    assert not _is_right(f"ABC12345{letter}495")


@pytest.mark.parametrize("character", "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
def test_the_year_is_an_arabic_numeral(character):
    # 181.25 (c): character ten must be the last digit of the year and an Arabic numeral; (d) so are eleven and twelve
    assert not _is_right(f"ABC12345A{character}95")
    assert not _is_right(f"ABC12345A4{character}5")
    assert not _is_right(f"ABC12345A49{character}")


@pytest.mark.parametrize("length", [0, 3, 11, 13, 15])
def test_twelve_characters(length):
    assert not _is_right("ABC12345A585XYZ"[:length])


@pytest.mark.parametrize(
    ("text", "month", "year", "model_year"),
    [
        # a boat builders' guide to the regulation: December, last digit 4, model year 95
        ("ABC12345L495", 12, 1994, 1995),
        # a class association's summary of the boating-law administrators' guide
        ("BOA13579B607", 2, 2006, 2007),
        ("BOA13579M84E", 12, 1983, 1984),
        # an owners' association's list of the conventions before and after 1984
        ("ABC 12345 A900", 1, 1999, 2000),
        ("ABC 12345 1272", 12, 1972, None),
        ("ABC 12345 M73E", 12, 1972, 1973),
    ],
)
def test_published_examples(text, month, year, model_year):
    hin = check_hin(text, today=TODAY).hin
    assert hin is not None
    assert (hin.certified_month, hin.certified_year, hin.model_year) == (month, year, model_year)


@pytest.mark.parametrize(
    ("letter", "month"), list(zip("ABCDEFGHIJKL", [8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6, 7], strict=True))
)
def test_months_of_the_model_year_format_from_august_to_july(letter, month):
    # the same list: A August, B September ... F January ... L July; H of M82H is March 1982 in a second source
    hin = check_hin(f"ABC12345M82{letter}", today=TODAY).hin
    assert hin is not None
    assert (hin.certified_month, hin.certified_year) == (month, 1981 if month >= 8 else 1982)
