"""Codes with MID, PID or SID, and FMI (SAE J1587), written, read out of text and explained. Cases judged by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import Code, CodeProblem, CodeStatus, CodeSystem, explain, make_code, read_text, recognize
from engineering.codes.fmi import fmi_meaning
from engineering.codes.j1587 import failure_words, subject_words

OLDER = CodeSystem.J1587
ACTIVE, STORED = CodeStatus.ACTIVE, CodeStatus.STORED


@pytest.mark.parametrize(
    ("written", "text"),
    [
        ("MID 128 PID 110 FMI 3", "128-P110-3"),
        ("mid128 pid110 fmi3", "128-P110-3"),
        ("MID: 128, PID: 100, FMI: 1", "128-P100-1"),
        ("MID 128 SID 021 FMI 05", "128-S21-5"),
        ("MID 128 / SID 254 / FMI 12", "128-S254-12"),
        ("128-S21-5", "128-S21-5"),
        ("128-p110-3", "128-P110-3"),
        ("MID 128 PPID 119 FMI 5", "128-PP119-5"),
        ("mid: 144, psid: 3, fmi: 9", "144-PS3-9"),
        ("128-ps98-12", "128-PS98-12"),
    ],
)
def test_however_it_is_written_it_is_one_code(written, text):
    assert make_code(OLDER, written) == Code(OLDER, text)
    assert recognize(written) == Code(OLDER, text)


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        ("PID 110 FMI 3", "Enter all three, like MID 128 PID 110 FMI 3."),
        ("110-3", "Enter all three"),
        ("PPID 119 FMI 5", "Enter all three"),
        ("MID 128 PID 110 SID 21 FMI 3", "Enter all three"),
        ("MID 256 PID 110 FMI 3", "MID 256 is too large: an MID is from 0 to 255."),
        ("MID 128 PID 512 FMI 3", "PID 512 is too large: a PID is from 0 to 511."),
        ("MID 128 SID 512 FMI 3", "SID 512 is too large: an SID is from 0 to 511."),
        ("MID 128 PID 110 FMI 16", "FMI 16 is too large: an FMI is from 0 to 15."),
    ],
)
def test_what_is_none_is_refused_with_why(written, sentence):
    with pytest.raises(CodeProblem) as refused:
        make_code(OLDER, written)
    assert sentence in refused.value.sentence


@given(
    mid=st.integers(0, 255),
    kind=st.sampled_from(["P", "S", "PP", "PS"]),
    number=st.integers(0, 511),
    fmi=st.integers(0, 15),
)
def test_what_is_said_of_a_code_is_the_code_again(mid, kind, number, fmi):
    code = make_code(OLDER, f"{mid}-{kind}{number}-{fmi}")
    assert str(code) == f"MID {mid} {kind}ID {number} FMI {fmi}"
    assert recognize(str(code)) == code
    (seen,) = read_text(str(code)).codes
    assert (seen.code, seen.reason) == (code, None)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("MID 128 PID 110 FMI 3", [("128-P110-3", None, None)]),
        ("MID 128 SID 21 FMI 5 active", [("128-S21-5", ACTIVE, None)]),
        ("Inactive codes:\nMID 128 PID 100 FMI 4 count 3\nMID 130 PID 177 FMI 0", [
            ("128-P100-4", STORED, 3), ("130-P177-0", STORED, None)]),
        ("Active codes\nMID 128 Engine\nPID 110 FMI 3\nSID 21 FMI 5 count 2\nMID 130 Transmission:\nPID 177 FMI 0", [
            ("128-P110-3", ACTIVE, None), ("128-S21-5", ACTIVE, 2), ("130-P177-0", ACTIVE, None)]),
        ("MID 128\n\nPID 110 FMI 3 inactive", [("128-P110-3", STORED, None)]),
        ("MID 128\nMID 130 SID 4 FMI 5\nSID 21 FMI 5", [("130-S4-5", None, None), ("128-S21-5", None, None)]),
        ("MID\tPID\tSID\tFMI\tCount\n128\t110\t\t3\t2\n128\t\t21\t5\t1", [
            ("128-P110-3", None, 2), ("128-S21-5", None, 1)]),
        ("MID;PID;SID;FMI;Status\n128;-;254;12;active", [("128-S254-12", ACTIVE, None)]),
        ("| MID | PID | FMI | Description |\n| 128 | 100 | 1 | Oil pressure |", [("128-P100-1", None, None)]),
        ("MID  PID  FMI  Count\n128  100  1    4", [("128-P100-1", None, 4)]),
        ("SPN 110 FMI 0\nMID 128 PID 110 FMI 0", [("110-0", None, None), ("128-P110-0", None, None)]),
    ],
)  # fmt: skip
def test_a_list_is_read_with_status_and_count(text, expected):
    readout = read_text(text)
    assert [(one.code.text, one.status, one.count) for one in readout.codes] == expected
    assert not readout.not_understood_lines


@pytest.mark.parametrize(
    "text",
    [
        "PID 110 FMI 3",
        "128 PID 110 FMI 3",
        "MID 128 PID 110",
        "MID\tPID\tSID\tFMI\n128\t110\t21\t3",
        "MID\tPID\tSID\tFMI\n128\t\t\t3",
        "MID  PID  SID  FMI\n128  110  3",
        "PID\tValue\tUnit\n110\t84\tC",
        "MID 300\nPID 110 FMI 3",
        "MID 128 seen last year\nPID 110 FMI 3",
        "MID 128\nThe other engine has been read before:\nPID 110 FMI 3",
        "MID 128\nStarboard engine:\nPID 110 FMI 3",
        "No MID 128 PID 110 FMI 3",
        "MID 128 PID 110 FMI 3 did not come back",
        "if MID 128 PID 110 FMI 3 returns call me",
        "MID 128 PID 110 FMI 31",
        "AMID 128 PID 110 FMI 3",
        "mid 128 hours, PID 110 seen, FMI 3 asked for",
    ],
)
def test_what_does_not_clearly_list_one_is_not_read_as_one(text):
    assert not read_text(text).codes
    assert read_text(text).not_understood_lines


def test_a_second_fmi_makes_it_unsure():
    (seen,) = read_text("MID 128 PID 110 FMI 3, 4").codes
    assert seen.reason


def test_a_half_code_is_told_what_it_lacks_and_not_taken_for_an_spn():
    (line,) = read_text("PID 110 FMI 3").not_understood_lines
    assert "MID, PID or SID, and FMI stand together" in line.sentence
    assert "110-0" not in line.sentence


def test_a_bare_pair_of_such_a_unit_is_no_spn():
    readout = read_text("110-3", preferred=OLDER)
    assert not readout.codes
    assert recognize("110-3", preferred=OLDER) is None


@pytest.mark.parametrize(
    ("text", "title", "fact"),
    [
        ("128-P110-0", "Engine coolant temperature: above the normal range", "MID 128 is the engine."),
        ("128-P100-4", "Engine oil pressure: voltage below normal, or shorted low", "PID 100 is the engine oil"),
        ("128-S4-5", "Injector of cylinder 4: current below normal, or open circuit", "SID 4 is the injector"),
        ("128-S254-12", "Control unit itself: bad device or component", "SID 254 is the control unit itself."),
        ("130-S4-5", "Current below normal, or open circuit", "Which part SID 4 is, the manual says."),
        ("130-S254-12", "Control unit itself: bad device or component", "MID 130 is the transmission."),
        ("200-P110-15", "FMI 15, which is reserved", "Which unit MID 200 is, the maker's manual says."),
        ("128-P411-3", "Voltage above normal, or shorted high", "Which signal PID 411 is, the manual says."),
    ],
)  # fmt: skip
def test_it_says_what_is_certain_and_leaves_the_rest_to_the_manual(text, title, fact):
    explanation = explain(Code(OLDER, text))
    assert title.lower() in explanation.title.lower()
    assert any(fact in said for said in explanation.facts)
    assert "from memory" in explanation.source
    assert explanation.facts[-1].startswith("The engine maker's current manual")


def test_the_ways_to_fail_have_no_degrees_here_and_end_at_fourteen():
    """From memory: 0 and 1 know no "most severe", as 15 to 18 of J1939 are not there; 2 to 14 are the same."""
    assert failure_words(0) == "above the normal range"
    assert failure_words(1) == "below the normal range"
    assert [failure_words(fmi) for fmi in range(2, 15)] == [fmi_meaning(fmi) for fmi in range(2, 15)]
    assert failure_words(15) is None
    with pytest.raises(ValueError, match="0 to 15"):
        failure_words(16)


def test_parts_up_to_150_are_each_senders_own():
    assert subject_words(128, "S", 21) == "engine position sensor"
    assert subject_words(130, "S", 21) is None
    assert subject_words(130, "S", 251) == subject_words(128, "S", 251) == "power supply"
