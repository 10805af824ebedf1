"""P, C, B and U codes of SAE J2012 / ISO 15031-6, and replies of ISO 15031-5 services.

Oracle: python-OBD 0.7 (open source, used in tests only). It writes hex digits small and takes only the tuple (0, 0) as
padding; both are its habits, not the standard's.
"""

import pytest
from obd.decoders import parse_dtc

from engineering.codes import CodeStatus, read_text
from engineering.codes.code_blocks import code_block
from engineering.codes.failure_types import FAILURE_TYPES, failure_type_group, failure_type_meaning
from engineering.codes.obd import controlled_by, decode_dtc


@pytest.mark.parametrize(
    ("two", "text"),
    [
        ("01 33", "P0133"),  # SAE J2012 class of example; own computation equals python-OBD
        ("01 35", "P0135"),  # a public bit-by-bit example, citing the encyclopedia article on OBD-II PIDs
        ("41 23", "C0123"),  # comment in python-OBD, decoders.py
        ("04 20", "P0420"), ("11 22", "P1122"), ("2B AD", "P2BAD"), ("40 35", "C0035"), ("92 34", "B1234"),
        ("C0 73", "U0073"), ("C1 00", "U0100"), ("D0 0D", "U100D"), ("FF FF", "U3FFF"), ("34 00", "P3400"),
    ],
)  # fmt: skip
def test_published_codes_in_two_bytes(two, text):
    assert decode_dtc(*bytes.fromhex(two)) == text


def test_two_zero_bytes_are_padding():
    assert decode_dtc(0, 0) is None
    assert parse_dtc((0, 0)) is None


def test_every_code_equals_python_obd():
    for number in range(1, 65536):
        two = number.to_bytes(2, "big")
        text = decode_dtc(*two)
        assert text == parse_dtc(two)[0].upper()


def test_the_third_byte_is_the_failure_type():
    # ISO 15031-6:2015, scope c: a code of three bytes is the base code and the failure type byte; text form P0133-11
    assert decode_dtc(0x01, 0x33, 0x11) == "P0133-11"
    assert decode_dtc(0x01, 0x33, 0x00) == "P0133-00"


@pytest.mark.parametrize(
    ("failure_type", "meaning"),
    [
        # SAE J2012-DA failure types, as two independent public lists give them. One public page calls 15 "open": wrong.
        (0x11, "short* to ground"), (0x12, "short* to battery"), (0x13, "open"), (0x14, "short* to ground or open"),
        (0x15, "short* to battery or open"), (0x16, "voltage below threshold"), (0x17, "voltage above threshold"),
        (0x1F, "intermittent"), (0x2F, "erratic"), (0x31, "no signal"), (0x49, "internal electronic failure"),
    ],
)  # fmt: skip
def test_failure_types(failure_type, meaning):
    said = failure_type_meaning(failure_type)
    assert said is not None
    assert said.endswith(meaning.replace("short*", "shorted"))


# SAE J2012-DA failure types by the word or two that matter, as a car enthusiasts' wiki and the test tables of an open
# telematics project both list them
LISTED = """
18 current below; 19 current above; 1A resistance below; 1B resistance above; 1C voltage out; 1D current out;
1E resistance out; 21 below minimum; 22 above maximum; 23 stuck low; 24 stuck high; 25 shape; 26 slowly; 27 fast;
28 bias; 29 invalid; 32 low short; 33 low long; 34 high short; 35 high long; 36 frequency low; 37 frequency high;
38 frequency incorrect; 39 few pulses; 3A many pulses; 41 checksum; 42 memory; 43 special; 44 data memory;
45 program memory; 46 calibration parameter; 47 watchdog; 48 supervising software; 4A wrong component;
4B over temperature; 51 not programmed; 52 not activated; 53 deactivated; 54 calibration missing; 55 not configured;
61 calculation; 62 compared; 63 protection time-out; 64 not plausible; 65 too few; 66 too many; 67 after event;
71 stuck; 72 stuck open; 73 stuck closed; 74 slipping; 75 emergency position; 76 mounted wrong; 77 commanded position;
78 alignment adjustment; 79 linkage; 7A leak seal; 7B level low; 81 serial data; 82 counter; 83 protection value;
84 below range; 85 above range; 86 invalid; 87 missing; 88 bus off; 8F erratic; 91 parameters; 92 performance;
93 no operation; 94 unexpected; 95 assembly; 96 inside; 97 blocked; 98 over temperature
"""


@pytest.mark.parametrize("row", [row.split() for row in LISTED.split(";")], ids=lambda row: row[0])
def test_listed_failure_types(row):
    meaning = failure_type_meaning(int(row[0], 16))
    assert meaning is not None
    assert all(word in meaning for word in row[1:]), meaning


def test_no_failure_type_is_made_up():
    listed = {int(row.split()[0], 16) for row in LISTED.split(";")}
    checked_above = {0x11, 0x12, 0x13, 0x14, 0x15, 0x16, 0x17, 0x1F, 0x2F, 0x31, 0x49}
    groups = {group for group in range(10) if failure_type_group(group << 4)}
    # 2A and 2B stand in one of the two lists only
    assert set(FAILURE_TYPES) - listed - checked_above - groups == {0x2A, 0x2B}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        # a car maker's published service text "DTC Format (SAE J2012)": the character after P0 names the system
        ("P0133", "fuel and air metering"), ("P0201", "injector circuits"), ("P0301", "ignition misfire"),
        ("P0420", "auxiliary emission controls"), ("P0501", "speed idle control"), ("P0603", "output circuits"),
        ("P0705", "transmission"),
        # a scan accessory's public manual: P00 too, and 5 has the auxiliary inputs
        ("P0087", "fuel and air metering auxiliary emission"), ("P0532", "auxiliary inputs"),
    ],
)  # fmt: skip
def test_blocks_of_generic_codes(text, words):
    block = code_block(text)
    assert block is not None
    assert all(word in block for word in words.split()), block


@pytest.mark.parametrize("text", ["P1133", "B1234", "C0035", "P3000"])
def test_blocks_are_not_guessed_where_none_is_known(text):
    assert code_block(text) is None


@pytest.mark.parametrize(
    ("text", "owner"),
    [
        # P0 and P2 generic, P1 maker: published service text "DTC Format (SAE J2012)". The rest from memory.
        ("P0133", "ISO/SAE"), ("P2BAD", "ISO/SAE"), ("P1122", "maker"),
        ("P3000", "maker"), ("P33FF", "maker"), ("P3400", "ISO/SAE"), ("P39FF", "ISO/SAE"),
        ("B0001", "ISO/SAE"), ("B1234", "maker"), ("B2234", "maker"), ("B3234", "reserved"),
        ("C0035", "ISO/SAE"), ("C1035", "maker"), ("C2035", "maker"), ("C3035", "reserved"),
        ("U0073", "ISO/SAE"), ("U100D", "maker"), ("U2001", "maker"), ("U3FFF", "reserved"),
    ],
)  # fmt: skip
def test_who_controls_a_range(text, owner):
    assert controlled_by(text) == owner


def test_on_can_a_reply_has_a_count_byte_and_on_older_buses_it_has_none():
    # both replies from one public thread on the framing trap
    assert [seen.code.text for seen in read_text("43 02 01 02 01 13").codes] == ["P0102", "P0113"]
    assert [seen.code.text for seen in read_text("43 01 33 00 00 00 00").codes] == ["P0133"]


@pytest.mark.parametrize(
    ("service", "status"),
    [("43", CodeStatus.STORED), ("47", CodeStatus.PENDING), ("4A", CodeStatus.PERMANENT)],
)
def test_each_service_gives_its_codes_their_status(service, status):
    # ISO 15031-5 / SAE J1979: 03 stored, 07 pending, 0A permanent; a positive reply is the service + 40
    (seen,) = read_text(f"7E8 04 {service} 01 01 33").codes
    assert (seen.code.text, seen.status) == ("P0133", status)
