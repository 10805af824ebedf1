"""The list of codes in the form, and what a person types into it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commands.refusals import Refused
from engineering.codes import Code, CodeStatus, CodeSystem
from findings.faults.listed import (
    ListedCode,
    add_to_list,
    code_key,
    code_of_key,
    read_count,
    read_list,
    with_row_answers,
    write_list,
)
from findings.faults.typed_codes import codes_typed

COOLANT = Code(CodeSystem.SPN, "110-0")
OVERHEAT = Code(CodeSystem.OBD, "P0217")
ACTIVE, STORED = CodeStatus.ACTIVE, CodeStatus.STORED


def typed(text, *, system=None, preferred=CodeSystem.SPN, count=None):
    return codes_typed(text, status=ACTIVE, count=count, system=system, preferred=preferred)


codes = st.one_of(
    st.builds(lambda spn, fmi: Code(CodeSystem.SPN, f"{spn}-{fmi}"), st.integers(1, 524_287), st.integers(0, 31)),
    st.builds(lambda number: Code(CodeSystem.OBD, f"P{number:04X}"), st.integers(1, 0x3FFF)),
    st.builds(lambda number: Code(CodeSystem.FLASH, str(number)), st.integers(1, 999)),
)
rows = st.lists(
    st.builds(ListedCode, codes, st.sampled_from(CodeStatus), st.none() | st.integers(0, 65_535)), max_size=20
)


@given(rows)
def test_the_form_carries_the_list_unchanged(listed):
    assert read_list(write_list(listed)) == listed


@given(codes)
def test_a_code_survives_a_button(code):
    assert code_of_key(code_key(code)) == code


@pytest.mark.parametrize(
    "damaged",
    [
        "{",
        "3",
        '"x"',
        "[1]",
        '[["spn","110-0","active"]]',
        '[["spn","x","active",1]]',
        '[["spn","110-0","lit",1]]',
        '[["spn","110-0","active",-1]]',
        '[["spn","110-0","active",99999999]]',
    ],
)
def test_a_damaged_list_is_refused(damaged):
    with pytest.raises(Refused, match="damaged"):
        read_list(damaged)


@pytest.mark.parametrize("damaged", ["", "spn", "spn:", "xyz:110-0", "spn:P0217"])
def test_a_damaged_button_is_refused(damaged):
    with pytest.raises(Refused):
        code_of_key(damaged)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("110-0", [(COOLANT, ACTIVE, None)]),
        ("spn 110 fmi 0", [(COOLANT, ACTIVE, None)]),
        ("p0217", [(OVERHEAT, ACTIVE, None)]),
        ("110-0 stored, P0217 count 3", [(COOLANT, STORED, None), (OVERHEAT, ACTIVE, 3)]),
    ],
)
def test_typed_codes(text, found):
    assert [(one.code, one.status, one.count) for one in typed(text)] == found


def test_a_kind_that_was_chosen_decides():
    assert typed("23", system=CodeSystem.FLASH)[0].code == Code(CodeSystem.FLASH, "23")
    assert typed("e-0412", system=CodeSystem.MAKER)[0].code == Code(CodeSystem.MAKER, "E-0412")


@pytest.mark.parametrize("text", ["nonsense", "110", "P9", "P0217, nonsense", "110-0 stored P0217"])
def test_what_is_no_code_is_explained(text):
    with pytest.raises(Refused) as refusal:
        typed(text)
    assert len(refusal.value.fields["code"]) > 20


@pytest.mark.parametrize(
    ("text", "left"),
    [("520 192-3", "520"), ("P0217 (stored) 3", "3"), ("SPN 110 FMI 0 at 3000 rpm", "3000"), ("110-0, 4 P0217", "4")],
)
def test_no_number_that_was_typed_is_dropped(text, left):
    with pytest.raises(Refused) as refusal:
        typed(text)
    assert f"“{left}” was not read" in refusal.value.fields["code"]


@pytest.mark.parametrize("text", ["P 0217", "p 02 17"])
def test_a_code_that_a_display_breaks_is_put_together(text):
    assert typed(text)[0].code == OVERHEAT


@pytest.mark.parametrize(
    ("text", "system", "preferred", "said"),
    [
        ("P0217", CodeSystem.SPN, CodeSystem.SPN, "It reads as a P/C/B/U code: take that as its kind."),
        ("SPN 110 FMI 0", CodeSystem.OBD, CodeSystem.OBD, "It reads as SPN/FMI: take that as its kind."),
        ("P217", None, CodeSystem.SPN, "is not a P, C, B or U code"),
        ("SPN 110", None, CodeSystem.OBD, "Enter both, like 110-0"),
        ("23", None, CodeSystem.SPN, "If the unit blinks this number, choose Flash as its kind."),
        ("E22-WATER", None, CodeSystem.OBD, "If the maker writes it so, choose Maker's own as its kind."),
    ],
)
def test_a_code_of_another_kind_than_the_unit_gives_is_told_so(text, system, preferred, said):
    with pytest.raises(Refused) as refusal:
        typed(text, system=system, preferred=preferred)
    assert said in refusal.value.fields["code"]


def test_adding_again_renews_the_count_and_keeps_the_place():
    first = [ListedCode(COOLANT, ACTIVE, 2), ListedCode(OVERHEAT, STORED)]
    assert add_to_list(first, [ListedCode(COOLANT, ACTIVE, 5)]) == [ListedCode(COOLANT, ACTIVE, 5), first[1]]
    assert add_to_list(first, [ListedCode(COOLANT, ACTIVE)]) == first
    assert add_to_list(first, [ListedCode(COOLANT, STORED)])[-1] == ListedCode(COOLANT, STORED)


def test_rows_answer_for_themselves():
    listed = [ListedCode(COOLANT, ACTIVE, 2), ListedCode(OVERHEAT, STORED)]
    changed, problem = with_row_answers(
        listed, {"row-0-status": "stored", "row-0-count": "", "row-1-count": " 7 ", "row-1-status": "lit"}
    )
    assert changed == [ListedCode(COOLANT, STORED), ListedCode(OVERHEAT, STORED, 7)]
    assert problem == ""


def test_a_wrong_count_loses_nothing():
    listed = [ListedCode(COOLANT, ACTIVE, 2)]
    changed, problem = with_row_answers(listed, {"row-0-count": "3x", "row-0-status": "stored"})
    assert changed == [ListedCode(COOLANT, STORED, 2)]
    assert "SPN 110 FMI 0" in problem


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("999999999-77", "SPN 999999999 is too large: an SPN is from 0 to 524287. FMI 77 is too large: an FMI is from"),
        ("SPN 9999999999 FMI 3", "SPN 9999999999 is too large: an SPN is from 0 to 524287."),
        ("524288-3", "SPN 524288 is too large: an SPN is from 0 to 524287."),
        ("110-32", "FMI 32 is too large: an FMI is from 0 to 31."),
        ("110-0 active bilge", "has more in it than an SPN and an FMI"),
    ],
)
@pytest.mark.parametrize("system", [None, CodeSystem.SPN])
def test_a_pair_that_is_out_of_range_is_told_which_number_and_what_is_allowed(text, said, system):
    with pytest.raises(Refused) as refusal:
        typed(text, system=system)
    if "bilge" not in text or system:
        assert said in refusal.value.fields["code"]
    assert "Enter both" not in refusal.value.fields["code"]


@pytest.mark.parametrize("text", ["524287-31", "SPN 524287 FMI 31"])
def test_the_largest_pair_is_a_code(text):
    assert typed(text)[0].code == Code(CodeSystem.SPN, "524287-31")


@pytest.mark.parametrize(
    ("text", "system", "preferred", "code", "count"),
    [
        ("110-0 x3", None, CodeSystem.SPN, COOLANT, 3),
        ("110-0 X 3", None, CodeSystem.SPN, COOLANT, 3),
        ("110-0 ×3", None, CodeSystem.SPN, COOLANT, 3),
        ("110-0x3", None, CodeSystem.SPN, COOLANT, 3),
        ("110-0 x3", None, CodeSystem.OBD, COOLANT, 3),
        ("110-0 x3", CodeSystem.SPN, CodeSystem.OBD, COOLANT, 3),
        ("110-0 3 times", CodeSystem.SPN, CodeSystem.SPN, COOLANT, 3),
        ("110-0 count 3", CodeSystem.SPN, CodeSystem.SPN, COOLANT, 3),
        ("P0217 x3", CodeSystem.OBD, CodeSystem.SPN, OVERHEAT, 3),
        ("23 x3", CodeSystem.FLASH, CodeSystem.SPN, Code(CodeSystem.FLASH, "23"), 3),
        ("2-3 x 12", None, CodeSystem.FLASH, Code(CodeSystem.FLASH, "2-3"), 12),
        ("e27 x3", None, CodeSystem.MAKER, Code(CodeSystem.MAKER, "E27"), 3),
        ("e27 x3", CodeSystem.MAKER, CodeSystem.SPN, Code(CodeSystem.MAKER, "E27"), 3),
    ],
)
def test_a_count_behind_the_code_is_its_count(text, system, preferred, code, count):
    (one,) = typed(text, system=system, preferred=preferred)
    assert (one.code, one.count) == (code, count)


def test_several_codes_each_with_its_count():
    found = typed("110-0 x3, P0217 x2 stored, 111-1")
    assert [(one.code.text, one.count, one.status) for one in found] == [
        ("110-0", 3, ACTIVE),
        ("P0217", 2, STORED),
        ("111-1", None, ACTIVE),
    ]


@pytest.mark.parametrize(("text", "field"), [("110-0 x70000", "up to 65,535"), ("110-0 x99999999999", "up to 65,535")])
def test_a_count_that_no_unit_gives_is_refused_behind_the_code_too(text, field):
    with pytest.raises(Refused) as refusal:
        typed(text)
    assert field in refusal.value.fields["code"]


def test_two_counts_for_one_code_are_asked_about():
    assert typed("110-0 x3", count=3)[0].count == 3
    with pytest.raises(Refused) as refusal:
        typed("110-0 x3", count=5)
    assert refusal.value.fields["code"] == "The code says 3 times and the count 5. Enter the right count once."


@pytest.mark.parametrize("text", ["14x21", "2-3 x", "x3", "110 x3", "gasket x2"])
def test_a_number_behind_what_is_no_code_makes_none(text):
    with pytest.raises(Refused):
        typed(text)


@pytest.mark.parametrize("text", ["-1", "1.5", "65536", "９", "99999999999999"])
def test_counts_that_no_unit_gives(text):
    with pytest.raises(Refused):
        read_count(text)


@pytest.mark.parametrize(
    ("text", "preferred"),
    [
        ("no P0217", CodeSystem.MAKER),
        ("P0217 cleared", CodeSystem.MAKER),
        ("P0217 not present", CodeSystem.OBD),
        ("110-0 was active", CodeSystem.SPN),
        ("110-0 was active", CodeSystem.MAKER),
        ("P0217?", CodeSystem.OBD),
        ("12.4 V", CodeSystem.SPN),
        ("12.4 V", CodeSystem.MAKER),
        ("14x21", CodeSystem.MAKER),
        ("2026-11-24", CodeSystem.MAKER),
        ("555-0142", CodeSystem.MAKER),
        ("no codes", CodeSystem.MAKER),
        ("active", CodeSystem.MAKER),
        ("110-0 to 110-5", CodeSystem.SPN),
        ("U0100 87", CodeSystem.OBD),
        ("P0217 Active: No", CodeSystem.OBD),
        ("P0217 pending inspection", CodeSystem.OBD),
        ("Engine 2: P0217 active", CodeSystem.OBD),
        ("P0217 (2)", CodeSystem.OBD),
    ],
)
def test_what_a_person_did_not_say_is_not_logged(text, preferred):
    with pytest.raises(Refused) as refusal:
        typed(text, preferred=preferred)
    assert len(refusal.value.fields["code"]) > 20


@pytest.mark.parametrize("text", ["E12-4", "E22-WATER", "4711", "A 104", "gear 2"])
def test_the_makers_own_codes_are_typed_as_they_are(text):
    assert typed(text, preferred=CodeSystem.MAKER)[0].code == Code(CodeSystem.MAKER, text.upper())


def test_a_chosen_kind_still_decides():
    assert typed("NONE", system=CodeSystem.MAKER)[0].code == Code(CodeSystem.MAKER, "NONE")


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("14, 22", [("14", ACTIVE, None), ("22", ACTIVE, None)]),
        ("14;22", [("14", ACTIVE, None), ("22", ACTIVE, None)]),
        ("14 and 22", [("14", ACTIVE, None), ("22", ACTIVE, None)]),
        ("14 stored 3", [("14", STORED, 3)]),
        ("code 14", [("14", ACTIVE, None)]),
    ],
)
def test_flash_codes_are_typed_in_a_row_and_with_their_status(text, listed):
    read = typed(text, preferred=CodeSystem.FLASH)
    assert [(one.code, one.status, one.count) for one in read] == [
        (Code(CodeSystem.FLASH, code), status, count) for code, status, count in listed
    ]


@pytest.mark.parametrize("text", ["14 22", "14 or 22", "14 not stored", "14 port"])
def test_flash_codes_that_are_not_clear_are_refused(text):
    with pytest.raises(Refused):
        typed(text, preferred=CodeSystem.FLASH)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("P0118 or P0119", "leaves open which"),
        ("P0118 port", "names an engine or unit"),
        ("P0118 engine 2", "names an engine or unit"),
    ],
)
def test_which_code_and_which_engine_is_never_guessed(text, said):
    with pytest.raises(Refused) as refused:
        typed(text)
    assert said in refused.value.fields["code"]
