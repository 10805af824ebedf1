"""Hull identification numbers: right ones taken apart, wrong ones explained by character."""

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from engineering.hin import Hin, check_hin

TODAY = date(2026, 6, 15)


@pytest.mark.parametrize(
    ("text", "normalized"),
    [
        ("XYZ12345A585", "XYZ12345A585"),
        ("  xyz12345a585 ", "XYZ12345A585"),
        ("XYZ 12345 A585", "XYZ12345A585"),
        ("XYZ-12345-A585", "XYZ12345A585"),
        ("US-XYZ12345A585", "US-XYZ12345A585"),
        ("USXYZ12345A585", "US-XYZ12345A585"),
        ("US XYZ12345A585", "US-XYZ12345A585"),
        ("us – xyz 12345 a5 85", "US-XYZ12345A585"),
        ("GB-XYZ12345A585", "GB-XYZ12345A585"),
    ],
)
def test_the_usual_ways_of_writing_one(text, normalized):
    check = check_hin(text, today=TODAY)
    assert (check.ok, check.normalized, check.problems) == (True, normalized, ())
    assert check.hin is not None
    assert (check.hin.country or "") == (normalized[:2] if "-" in normalized else "")


@pytest.mark.parametrize(
    ("ending", "month", "year", "model_year"),
    [
        ("A585", 1, 1985, 1985),
        ("L990", 12, 1989, 1990),
        ("H900", 8, 1999, 2000),
        ("G020", 7, 2020, 2020),
        ("F626", 6, 2026, 2026),
        ("E627", 5, 2026, 2027),
        ("E628", 5, 2026, 2028),
        ("M82H", 3, 1982, 1982),
        ("M84E", 12, 1983, 1984),
        ("M73A", 8, 1972, 1973),
        ("1273", 12, 1973, None),
        ("0784", 7, 1984, None),
    ],
)
def test_dates_in_all_three_formats(ending, month, year, model_year):
    check = check_hin(f"XYZ12345{ending}", today=TODAY)
    assert check.hin == Hin(None, "XYZ", "12345", month, year, model_year)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("XYZ1O345A585", "Character 5 is the letter O"),
        ("XYZ1I345A585", "write the digit 1"),
        ("XYZ1234QA585", "Character 8 is the letter Q"),
        ("XYZ12345N585", "Character 9 is “N”"),
        ("XYZ123451585", "no month"),
        ("XYZ12345AO85", "Character 10 is “O”"),
        ("XYZ12345A5B5", "Character 11 is “B”"),
        ("XYZ12345A5S5", "write 5"),
        ("XYZ12345A550", "Characters 11 and 12"),
        ("XYZ12345L626", "still to come"),
        ("XYZ12345E629", "at most two years ahead"),
        ("XYZ12345M8ZA", "Character 11 is “Z”"),
        ("XYZ12345M82Z", "Character 12 is “Z”"),
        ("XYZ12345M95A", "1995"),
        ("XYZ123451373", "no month"),
        ("XYZ123451299", "1999"),
        ("XYZ12345A58", "1 is missing"),
        ("XYZ12345A5855", "1 is too many"),
        ("XYZ12", "7 are missing"),
        ("XYZ12*45A585", "Character 6 is “*”"),
        ("", "12 are missing"),
    ],
)
def test_what_is_wrong_is_said_by_character(text, says):
    check = check_hin(text, today=TODAY)
    assert not check.ok
    assert check.hin is None
    assert any(says in problem for problem in check.problems), check.problems


def test_several_faults_are_said_at_once():
    check = check_hin("XYZ1O3Q5N5B5", today=TODAY)
    assert len(check.problems) == 4


def test_a_digit_in_the_makers_code_is_only_noted():
    check = check_hin("XY012345A585", today=TODAY)
    assert check.ok
    assert any("character 3" in note for note in check.notes)


def test_dates_far_apart_are_only_noted():
    check = check_hin("XYZ12345A020", today=TODAY)
    assert check.notes == ()
    apart = check_hin("XYZ12345A520", today=TODAY)
    assert apart.ok
    assert apart.hin is not None
    assert apart.hin.certified_year == 2015
    assert any("unusual" in note for note in apart.notes)


@given(st.text() | st.text("US-ABCXYZ0123456789MOIQ ", max_size=20))
@example("ﬀﬀﬀﬀﬀﬀ")
@example("US-")
def test_no_text_makes_it_stumble(text):
    check = check_hin(text, today=TODAY)
    assert check.ok is (not check.problems) is (check.hin is not None)
    again = check_hin(check.normalized, today=TODAY)
    assert again.ok or not check.ok


@given(
    st.text("ABCDEFGHJKLMNPRSTUVWXYZ", min_size=3, max_size=3),
    st.text("ABCDEFGHJKLMNPRSTUVWXYZ0123456789", min_size=5, max_size=5),
    st.dates(date(1984, 8, 1), date(2026, 6, 1)),
    st.booleans(),
)
def test_every_number_made_by_the_rule_is_read_back(code, serial, certified, is_next_year):
    model_year = certified.year + is_next_year
    text = f"{code}{serial}{'ABCDEFGHIJKL'[certified.month - 1]}{certified.year % 10}{model_year % 100:02d}"
    check = check_hin(text, today=TODAY)
    assert check.hin == Hin(None, code, serial, certified.month, certified.year, model_year)
