"""Hull identification numbers: right ones taken apart, wrong ones explained by character."""

from datetime import date

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from engineering.hin import Hin, check_hin, other_model_year

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
        ("XYZ12345A550", "Characters 11 and 12 give model year “50”"),
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


@pytest.mark.parametrize(
    ("letter", "digit"),
    [("O", "0"), ("Q", "0"), ("D", "0"), ("I", "1"), ("L", "1"), ("Z", "2"), ("S", "5"), ("G", "6"), ("B", "8")],
)
def test_a_letter_that_looks_like_a_digit_is_told_which(letter, digit):
    hint = f"must be a digit: write {digit} if that is what the hull shows."
    year = check_hin(f"XYZ12345A{letter}85", today=TODAY)
    assert year.problems == (f"Character 10 is “{letter}”, but the last digit of the year of certification {hint}",)
    model_year = check_hin(f"XYZ12345A58{letter}", today=TODAY)
    assert model_year.problems == (f"Character 12 is “{letter}”, but the model year {hint}",)
    older = check_hin(f"XYZ12345M8{letter}A", today=TODAY)
    assert older.problems == (f"Character 11 is “{letter}”, but the model year after M {hint}",)


def test_a_letter_like_no_digit_comes_without_a_guess():
    assert check_hin("XYZ12345AX85", today=TODAY).problems == (
        "Character 10 is “X”, but the last digit of the year of certification must be a digit.",
    )


@pytest.mark.parametrize(
    ("letter", "month"),
    list(zip(
        "ABCDEFGHIJKL",
        [
            "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
            "November", "December",
        ],
        strict=True,
    )),
)  # fmt: skip
def test_a_month_still_to_come_is_named(letter, month):
    check = check_hin(f"XYZ12345{letter}626", today=date(2025, 12, 31))
    assert check.problems == (
        f"Characters 9 and 10 say certified in {month} 2026, which is still to come. Compare characters 9 to 12 with "
        "the hull.",
    )
    assert check_hin(f"XYZ12345{letter}626", today=date(2026, 12, 1)).ok


def test_the_month_of_today_has_come():
    assert check_hin("XYZ12345F626", today=date(2026, 6, 1)).ok
    assert not check_hin("XYZ12345G626", today=date(2026, 6, 30)).ok


@pytest.mark.parametrize(
    ("text", "notes"),
    [
        ("XYZ12345A585", ()),
        ("XYZ-12345-A585", ("Spaces, hyphens and slashes were left out: the number itself has none.",)),
        ("USXYZ12345A585", ("Read with the country prefix US, as the number has 14 characters.",)),
        ("XYZ12345M82H", ("Older format with M and the model year, used until July 1984.",)),
        (
            "XYZ123451284",
            (
                "Older format with month and year in digits, used until July 1984; it has no model year.",
                "December 1984 is outside of November 1972 to July 1984, when the older formats were used: compare "
                "characters 9 to 12 with the hull.",
            ),
        ),
        (
            "XYZ12345M85L",
            (
                "Older format with M and the model year, used until July 1984.",
                "July 1985 is outside of November 1972 to July 1984, when the older formats were used: compare "
                "characters 10 to 12 with the hull.",
            ),
        ),
        ("XYZ123450784", ("Older format with month and year in digits, used until July 1984; it has no model year.",)),
        ("XYZ12345M84L", ("Older format with M and the model year, used until July 1984.",)),
        ("XYZ123451273", ("Older format with month and year in digits, used until July 1984; it has no model year.",)),
        (
            "X0Z12345A585",
            (
                "The manufacturer's code X0Z has a digit (character 2). Codes are nearly always three letters: check "
                "whether it is the letter O or I.",
            ),
        ),
        (
            "1Y312345A585",
            (
                "The manufacturer's code 1Y3 has a digit (character 1 and 3). Codes are nearly always three letters: "
                "check whether it is the letter O or I.",
            ),
        ),
        (
            "XYZ12345A895",
            ("Certified in 1988 but model year 1995: unusual, so compare characters 10 to 12 with the hull.",),
        ),
    ],
)
def test_what_was_read_otherwise_than_usual_is_noted(text, notes):
    assert check_hin(text, today=TODAY).notes == notes


@pytest.mark.parametrize(
    ("ending", "is_right"),
    [
        ("M72A", True), ("M71A", False), ("M85L", True), ("M86A", False),
        ("0172", True), ("1271", False), ("1284", True), ("0185", False), ("0073", False), ("1373", False),
        ("A584", True), ("A485", True), ("A484", True), ("A483", False),
    ],
)  # fmt: skip
def test_each_format_only_in_its_years(ending, is_right):
    assert check_hin(f"XYZ12345{ending}", today=TODAY).ok is is_right


@pytest.mark.parametrize("wrong", ["XYZ-12345-N585", "XYZ-12345-A58", "XYZ-1O345-A585"])
def test_what_was_left_out_is_noted_of_a_wrong_number_as_well(wrong):
    check = check_hin(wrong, today=TODAY)
    assert not check.ok
    assert check.notes == ("Spaces, hyphens and slashes were left out: the number itself has none.",)
    assert check.normalized == wrong.replace("-", "")


@pytest.mark.parametrize(
    ("hin", "on_record", "is_said"),
    [
        ("ABC12345D404", 2005, True),
        ("ABC12345D404", 2004, False),
        ("ABC12345D404", None, False),
        ("ABC12345D405", 2005, False),
        ("ABC12345D405", 2004, True),
        ("US-ABC12345D404", 2005, True),
        ("ABC12345M79C", 1980, True),
        ("ABC12345M79C", 1979, False),
        ("ABC123450678", 1990, False),  # straight year: it has no model year
    ],
)
def test_a_model_year_that_is_not_the_one_in_the_number_is_pointed_out(hin, on_record, is_said):
    found = check_hin(hin, today=date(2025, 6, 1)).hin
    assert found is not None
    said = other_model_year(found, on_record)
    assert bool(said) is is_said
    if is_said:
        assert f"The record says model year {on_record}, the HIN says {found.model_year}." in said
