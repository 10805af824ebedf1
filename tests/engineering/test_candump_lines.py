"""Lines of a CAN log."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.candump import Frame, read_frame

DM1 = Frame(0x18FECA00, extended=True, data=bytes.fromhex("40FF5B000301FFFF"))


@pytest.mark.parametrize(
    "line",
    [
        "18FECA00#40FF5B000301FFFF",
        "18feca00#40ff5b000301ffff",
        "18FECA00#40.FF.5B.00.03.01.FF.FF",
        "(1767225600.123456) can0 18FECA00#40FF5B000301FFFF",
        "(123.4) can0 18FECA00#40FF5B000301FFFF R",
        "can0 18FECA00 [8] 40 FF 5B 00 03 01 FF FF",
        "  can0  18FECA00   [8]  40 FF 5B 00 03 01 FF FF",
        " (000.000000)  vcan0  18FECA00   [8]  40 FF 5B 00 03 01 FF FF   '@.[.....'",
        "(2026-05-01 09:30:00.123456) can0 18FECA00 [8] 40 FF 5B 00 03 01 FF FF",
        "can0  RX - -  18FECA00   [8]  40 FF 5B 00 03 01 FF FF",
        "18FECA00 [8] 40FF5B000301FFFF",
    ],
)
def test_the_notations(line):
    assert read_frame(line) == DM1


def test_short_identifiers_are_not_extended():
    assert read_frame("7E8#0643020102") == Frame(0x7E8, extended=False, data=bytes.fromhex("0643020102"))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("18FECA00#40FF5B00030", "whole hex bytes"),
        ("18FECA00#40FF5B000301FFFF00", "at most 8"),
        ("can0 18FECA00 [8] 40 FF 5B 00 03 01 FF", "says [8] bytes but shows 7"),
        ("18FECA00##140FF5B", "CAN FD"),
        ("18FECA00#R", "remote frame"),
        ("can0 123 [0] remote request", "remote frame"),
        ("FFFFFFFF#00", "too large"),
        ("800#00", "too large"),
        ("18FECA00#40FF5B00 0301FFFF", "not in a candump notation"),
        ("18FECA0#00", "not in a candump notation"),
        ("can0 18FECA00 [8] 40 GG 5B 00 03 01 FF FF", "whole hex bytes"),
    ],
)
def test_a_frame_that_cannot_be_read_says_why(line, says):
    frame = read_frame(line)
    assert isinstance(frame, str)
    assert says in frame


@pytest.mark.parametrize(
    "line", ["", "P0217 active", "SPN 110 FMI 0", "43 01 33 00 00 00 00", "Item #3 [8]", "#", "[8]"]
)
def test_other_lines_are_no_candump(line):
    assert read_frame(line) is None


@pytest.mark.parametrize(
    ("can_id", "pgn", "source", "destination"),
    [
        (0x18FECA00, 65226, 0, 255),
        (0x1CECFF03, 60416, 3, 255),
        (0x18EB2103, 60160, 3, 0x21),
        (0x18EF2103, 61184, 3, 0x21),
        (0x19F20103, 127489, 3, 255),
        (0x18F00400, 61444, 0, 255),
    ],
)
def test_the_parts_of_an_identifier(can_id, pgn, source, destination):
    frame = Frame(can_id, extended=True, data=b"")
    assert (frame.pgn, frame.source, frame.destination) == (pgn, source, destination)


@given(st.text() | st.text("0123456789ABCDEFcan()[]#. '", max_size=60))
def test_no_line_makes_it_stumble(line):
    frame = read_frame(line)
    assert frame is None or isinstance(frame, str) or len(frame.data) <= 8


@given(st.integers(0, 0x1FFFFFFF), st.binary(max_size=8))
def test_every_frame_is_read_back(can_id, data):
    frame = Frame(can_id, extended=True, data=data)
    assert read_frame(f"{can_id:08X}#{data.hex()}") == frame
    assert read_frame(f"can0 {can_id:08X} [{len(data)}] {data.hex(' ')}") == frame
