"""Lamps and code lists of the diagnostic messages."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes import CodeStatus
from engineering.codes.dm import DM_NAMES, read_dm


def _read(hex_bytes: str, pgn: int = 65226):
    return read_dm(pgn, bytes.fromhex(hex_bytes))


def test_each_lamp_has_its_place_and_state():
    read = _read("1B C0 00 00 00 00 FF FF")
    assert [str(lamp) for lamp in read.lamps] == [
        "malfunction indicator lamp off",
        "red stop lamp on, flashing slowly",
        "amber warning lamp in error",
        "protect lamp not available",
    ]
    assert [lamp.name for lamp in read.lamps_not_off] == ["red stop lamp", "amber warning lamp"]


@pytest.mark.parametrize(
    ("flash", "said"), [("00", "on, flashing slowly"), ("40", "on, flashing fast"), ("80", "on"), ("C0", "on")]
)
def test_the_second_byte_says_how_a_lamp_that_is_on_flashes(flash, said):
    read = _read(f"40 {flash} 5B 00 03 01 FF FF")
    assert str(read.lamps[0]) == f"malfunction indicator lamp {said}"


@pytest.mark.parametrize("padding", ["FF FF", "00 00"])
def test_zeros_state_that_there_is_no_code(padding):
    read = _read(f"00 FF 00 00 00 00 {padding}")
    assert (read.dtcs, read.no_code, read.problem) == ((), True, "")


def test_an_empty_place_states_nothing():
    read = _read("00 FF FF FF FF FF FF FF")
    assert (read.dtcs, read.no_code, read.problem) == ((), False, "")


def test_spn_zero_with_a_failure_mode_is_a_code():
    read = _read("00 FF 00 00 02 01 FF FF")
    assert [dtc.text for dtc in read.dtcs] == ["0-2"]
    assert not read.no_code


def test_bytes_that_belong_to_no_code_are_told():
    assert "AB CD" in _read("00 FF 5B 00 03 01 AB CD").problem


def test_a_short_message_is_told():
    assert "at least 6 bytes" in _read("00 FF 00 00 00").problem


@pytest.mark.parametrize(("pgn", "name_and_status"), DM_NAMES.items())
def test_each_message_gives_its_codes_their_status(pgn, name_and_status):
    read = _read("00 FF 5B 00 03 01 FF FF", pgn)
    assert (read.name, read.status) == name_and_status


def test_the_two_everyone_knows():
    assert DM_NAMES[0xFECA] == ("DM1", CodeStatus.ACTIVE)
    assert DM_NAMES[0xFECB] == ("DM2", CodeStatus.STORED)


def test_another_group_is_refused():
    with pytest.raises(ValueError, match="61444"):
        read_dm(61444, bytes(8))


@given(st.sampled_from(list(DM_NAMES)), st.binary(max_size=80))
def test_no_payload_makes_it_stumble(pgn, payload):
    read = read_dm(pgn, payload)
    assert len(read.dtcs) <= len(payload) // 4
