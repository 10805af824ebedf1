"""Whatever the text: nothing is lost, nothing stumbles, nothing is slow."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import CodeSystem, read_text
from engineering.codes.readout import MAX_LINE_LENGTH, MAX_LINES

FRAGMENTS = st.sampled_from(
    ["SPN 110 FMI 0", "SPN 110", "FMI 3", "P0217", "P0217-00", "110-0", "2-3", "active", "Stored:", "x3", "OC 127",
     "none",
     "18FECA00#40FF5B000301FFFF", "18ECFF00#20120003FFCAFE00", "18EBFF00#0100FF5B0003015C", "18EBFF00#035E000604FFFFFF",
     "43 01 33 00 00 00 00", "7E8 10 08 43 03 01 02 01 13", "7E8 21 02 17 00", "0: 43 04", "1: 02 17 03 00", "00A",
     "SPN FMI",
     "110 0 3", "MIL: on", "\t", ",", "43 00", "7F 03 11", "flash code 23", "E12"]
)  # fmt: skip
TEXTS = st.text() | st.lists(st.lists(FRAGMENTS, max_size=4).map(" ".join), max_size=8).map("\n".join)


@given(TEXTS, st.sampled_from([None, *CodeSystem]))
def test_every_line_is_accounted_for_and_nothing_is_lost(text, preferred):
    readout = read_text(text, preferred=preferred)
    assert [line.text for line in readout.lines] == text.splitlines()
    assert [line.number for line in readout.lines] == list(range(1, len(readout.lines) + 1))
    assert all(line.sentence for line in readout.lines if line.kind != "blank")
    assert all(line.understood for line in readout.lines if line.kind == "blank")
    assert readout.codes == tuple(code for line in readout.lines for code in line.codes)
    assert all(seen.line == line.number for line in readout.lines for seen in line.codes)
    assert readout.not_understood_lines == tuple(line for line in readout.lines if not line.understood)


@given(TEXTS)
def test_reading_twice_gives_the_same(text):
    assert read_text(text) == read_text(text)


def test_lines_beyond_the_limit_are_kept_and_say_so():
    text = "P0217\n" * (MAX_LINES + 3)
    readout = read_text(text)
    assert len(readout.lines) == MAX_LINES + 3
    assert len(readout.codes) == MAX_LINES
    assert [line.kind for line in readout.not_understood_lines] == ["unread"] * 3
    assert str(MAX_LINES) in readout.lines[-1].sentence


def test_a_line_that_is_too_long_is_kept_and_says_so():
    text = "P0217 " * MAX_LINE_LENGTH
    (line,) = read_text(text).lines
    assert (line.text, line.kind, line.understood) == (text, "unread", False)


@pytest.mark.parametrize(
    "pattern",
    ["SPN ", "SPN 1 ", "SPN:110 FMI:0 ", "1-1-", "1/1 ", "P0217-", "P02", "43 ", "4", "0: 43 ", "18FECA00#", "(((((",
     "no a b c ",
     "flash 1,2,3,", "1,", "x1 ", "- ", "codes: ", " ", ".", "active ", "can0 18FECA00 [8] ", "FMI=", "A1",
     "((1) can0 "],
)  # fmt: skip
@pytest.mark.parametrize("preferred", [None, *CodeSystem])
def test_no_repetition_makes_a_line_slow(pattern, preferred):
    line = (pattern * MAX_LINE_LENGTH)[:MAX_LINE_LENGTH]
    started = time.process_time()
    read_text("\n".join([line] * 5), preferred=preferred)
    assert time.process_time() - started < 1.0


def test_a_full_text_is_read_in_a_moment():
    text = "SPN 110 FMI 0 active x3 and some words about coolant temperature\n18FECA00#40FF5B000301FFFF\n" * (
        MAX_LINES // 2
    )
    started = time.process_time()
    assert len(read_text(text).codes) == MAX_LINES
    assert time.process_time() - started < 10
