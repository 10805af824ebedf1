"""Replies of diagnostic service 19 that list codes by their status (ISO 14229-1, 59 02).

Layout and bytes: python-udsoncan (open source, MIT), its tests of ReadDTCInformation, test/client/
test_read_dtc_information.py; the standard itself is not open. Bits of the status byte: ISO 14229-1 (2013), D.2, as
three independent public lists give them and uds_protocol (open source, docs.rs) implements them.
"""

import pytest

from engineering.codes import CodeStatus, read_text
from engineering.codes.status_replies import is_status_reply, read_status_reply

TWO = "59 02 FB 12 34 56 20 12 34 57 60"
"""As python-udsoncan has it: codes 123456 with status 20 and 123457 with status 60."""


def test_the_layout_is_a_mask_and_four_bytes_for_each_code():
    listed = read_status_reply(bytes.fromhex(TWO))
    assert not isinstance(listed, str)
    assert [(one.text, one.status_byte) for one in listed] == [("P1234-56", 0x20), ("P1234-57", 0x60)]


def test_a_reply_without_codes_is_the_mask_alone():
    assert is_status_reply(bytes.fromhex("59 02 FB"))
    assert read_status_reply(bytes.fromhex("59 02 FB")) == ()
    assert not is_status_reply(bytes.fromhex("59 03 FB"))
    assert not is_status_reply(bytes.fromhex("6F 02 FB"))


def test_a_code_of_zeros_is_padding():
    # python-udsoncan leaves it out as well, unless it is told otherwise
    assert read_status_reply(bytes.fromhex(f"{TWO} 00 00 00 00")) == read_status_reply(bytes.fromhex(TWO))


@pytest.mark.parametrize("padding", ["00", "00 00", "00 00 00", "00 00 00 00 00"])
def test_what_is_no_whole_code_is_not_read(padding):
    # python-udsoncan refuses these where zeros are not to be tolerated
    assert "cut off or padded" in read_status_reply(bytes.fromhex(f"{TWO} {padding}"))


@pytest.mark.parametrize(
    ("status_byte", "is_there", "status"),
    [
        (0x01, True, None),  # bit 0, the test fails now; whether it is confirmed is another bit
        (0x02, False, None),  # bit 1, it failed in this operation cycle
        (0x04, True, CodeStatus.PENDING),  # bit 2, pending
        (0x08, True, CodeStatus.STORED),  # bit 3, confirmed
        (0x09, True, CodeStatus.ACTIVE),  # failing and confirmed
        (0x10, False, None),  # bit 4, not tested since the last clear
        (0x20, False, None),  # bit 5, it failed since the last clear
        (0x40, False, None),  # bit 6, not tested in this operation cycle
        (0x80, False, None),  # bit 7, a lamp is asked for
        (0x24, True, CodeStatus.PENDING), (0x2F, True, CodeStatus.ACTIVE), (0x00, False, None), (0x50, False, None),
    ],
)  # fmt: skip
def test_the_bits_of_the_status_byte(status_byte, is_there, status):
    listed = read_status_reply(bytes.fromhex(f"59 02 FF 0A BC 01 {status_byte:02X}"))
    assert not isinstance(listed, str)
    assert [one.is_there for one in listed] == [is_there]
    if is_there:
        assert listed[0].status is status


def test_a_pasted_reply_claims_none_that_is_only_listed():
    frames = "7E8 10 0B 59 02 FB 12 34 56\n7E8 21 20 12 34 57 60 00 00"
    readout = read_text(frames)
    assert readout.codes == ()
    assert "not failing, pending or confirmed" in readout.lines[-1].sentence
