"""Trouble codes and lamps of SAE J1939-73 against published vectors and can-j1939 2.0 (an open library, the oracle).

The standard itself is not open; every value here is agreed on by at least two open implementations.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from j1939.diagnostic_messages import DTC, DtcLamp
from nmea2000._canboat import can_id_decompose

from engineering.codes import CodeStatus, read_text
from engineering.codes.candump import Frame, read_frame
from engineering.codes.dm import read_dm
from engineering.codes.spn import unpack_dtc


@pytest.mark.parametrize(
    ("spn", "fmi", "count", "four"),
    [
        # from pretty_j1939 (Apache-2.0), file test_diagnostic_messages, 2026
        (91, 3, 1, "5B 00 03 01"),
        # from AgIsoStack++ (MIT), file diagnostic_protocol_tests, 2026
        (1234, 31, 1, "D2 04 1F 01"),
        # computed with can-j1939 and an implementation of its own: the boundaries of 16 and 19 bits
        (110, 0, 1, "6E 00 00 01"),
        (65535, 31, None, "FF FF 1F 7F"),
        (65536, 0, 0, "00 00 20 00"),
        (524287, 31, None, "FF FF FF 7F"),
    ],
)
def test_published_codes_in_four_bytes(spn, fmi, count, four):
    dtc = unpack_dtc(bytes.fromhex(four))
    assert (dtc.spn, dtc.fmi, dtc.count) == (spn, fmi, count)


@given(st.integers(0, 524287), st.integers(0, 31), st.integers(0, 127))
def test_what_can_j1939_packs_is_unpacked(spn, fmi, count):
    dtc = unpack_dtc(DTC(spn=spn, fmi=fmi, oc=count).dtc.to_bytes(4, "little"))
    assert (dtc.spn, dtc.fmi, dtc.count) == (spn, fmi, None if count == 127 else count)


@given(st.binary(min_size=4, max_size=4).filter(lambda four: four[3] < 128))
def test_unpacking_equals_can_j1939(four):
    oracle = DTC(dtc=int.from_bytes(four, "little"))
    dtc = unpack_dtc(four)
    assert (dtc.spn, dtc.fmi, dtc.conversion_method) == (oracle.spn, oracle.fmi, oracle.cm)
    assert dtc.count == (None if oracle.oc == 127 else oracle.oc)


def test_the_method_bit_hides_the_spn():
    # pretty_j1939, tests/test_describe.py: D2 04 03 81 is SPN 1234, FMI 3, count 1 with the method bit set. That
    # library takes version 3; the bytes do not tell it from 1 and 2 (a generator-controller manual, appendix "Old DTC
    # conversion methods").
    dtc = unpack_dtc(bytes.fromhex("D2 04 03 81"))
    assert (dtc.spn, dtc.fmi, dtc.count, dtc.conversion_method) == (None, 3, 1, 1)
    assert 1234 in dtc.possible_spns


@pytest.mark.parametrize("status", range(4))
@pytest.mark.parametrize("flash", range(4))
@pytest.mark.parametrize(("shift", "name"), [(0, "protect"), (2, "amber"), (4, "red"), (6, "malfunction")])
def test_lamps_equal_can_j1939(status, flash, shift, name):
    read = read_dm(65226, bytes((status << shift, flash << shift, 0, 0, 0, 0, 255, 255)))
    (lamp,) = (lamp for lamp in read.lamps if lamp.name.startswith(name))
    oracle = DtcLamp().get_status(status, flash)
    if status in (2, 3):  # the oracle has one word for "in error" and "not available"
        assert (oracle, lamp.state) == (DtcLamp.NA, ("in error", "not available")[status - 2])
    elif status == 1 and flash == 2:  # reserved: on, and nothing said about flashing
        assert (oracle, str(lamp).partition(" on")[2]) == (DtcLamp.NA, "")
    else:
        words = {
            DtcLamp.OFF: "off",
            DtcLamp.ON: "on",
            DtcLamp.ON_SLOW_FLASH: "on, flashing slowly",
            DtcLamp.ON_FAST_FLASH: "on, flashing fast",
        }
        assert f"{lamp.state}{lamp.flash}" == words[oracle]


def test_one_code_with_its_lamp():
    # pretty_j1939, tests; can-j1939 reads the same lamp (mil: 1) and code
    readout = read_text("18FECA00#40FF5B000301FFFF")
    (seen,) = readout.codes
    assert (seen.code.text, seen.status, seen.count) == ("91-3", CodeStatus.ACTIVE, 1)
    assert readout.lamps == ("malfunction indicator lamp on",)


def test_a_real_message_without_a_code():
    # canboat (Apache-2.0), analyzer/tests/j1939-pgn-test.in, from a log of 2023
    readout = read_text("18FECA00#00FF00000000FFFF")
    assert (readout.codes, readout.lamps, readout.no_codes_stated) == ((), (), True)


def test_a_lamp_that_flashes_slowly():
    # can-j1939 reads awl: 2 (on, slow flash)
    readout = read_text("18FECA00#0400FFFF1F7FFFFF")
    assert readout.lamps == ("amber warning lamp on, flashing slowly",)
    assert [(seen.code.text, seen.count) for seen in readout.codes] == [("65535-31", None)]


@pytest.mark.parametrize(
    ("frame", "pgn", "source"),
    [
        # SAE J1939-21 identifier: priority 6, PGN, source; nmea2000 2026.10 takes 18FECA00 apart alike
        ("18FECA00", 65226, 0), ("18FECB00", 65227, 0), ("18ECFF00", 60416, 0), ("18EBFF00", 60160, 0),
        ("0CF00400", 61444, 0),
    ],
)  # fmt: skip
def test_identifiers_taken_apart(frame, pgn, source):
    read = read_frame(f"{frame}#0000000000000000")
    assert isinstance(read, Frame)
    oracle = can_id_decompose(int(frame, 16))
    assert (read.pgn, read.source) == (pgn, source) == (oracle[1], oracle[2])


def test_spn_0_with_another_failure_mode_is_a_code():
    # caveat of the published vectors: only four zero bytes mean "no fault"
    (dtc,) = read_dm(65226, bytes.fromhex("00FF00000301FFFF")).dtcs
    assert (dtc.text, dtc.count) == ("0-3", 1)


@pytest.mark.parametrize(("pgn", "status"), [(65226, CodeStatus.ACTIVE), (65227, CodeStatus.STORED)])
def test_dm1_is_for_active_and_dm2_for_previously_active_codes(pgn, status):
    # SAE J1939-73: DM1 active, DM2 previously active trouble codes
    assert read_dm(pgn, bytes.fromhex("00FF5B000301FFFF")).status is status
