"""P, C, B and U codes of SAE J2012 / ISO 15031-6, and replies of ISO 15031-5 services.

Oracle: python-OBD 0.7 (open source, used in tests only). It writes hex digits small and takes only the tuple (0, 0) as
padding; both are its habits, not the standard's.
"""

import pytest
from obd.decoders import parse_dtc

from engineering.codes import CodeStatus, read_text
from engineering.codes.obd import controlled_by, decode_dtc, encode_dtc, failure_type_meaning


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
    assert encode_dtc(text) == bytes.fromhex(two)


def test_two_zero_bytes_are_padding():
    assert decode_dtc(0, 0) is None
    assert parse_dtc((0, 0)) is None


def test_every_code_equals_python_obd():
    for number in range(1, 65536):
        two = number.to_bytes(2, "big")
        text = decode_dtc(*two)
        assert text == parse_dtc(two)[0].upper()
        assert encode_dtc(text) == two


def test_the_third_byte_is_the_failure_type():
    # ISO 15031-6:2015, scope c: a code of three bytes is the base code and the failure type byte; text form P0133-11
    assert decode_dtc(0x01, 0x33, 0x11) == "P0133-11"
    assert encode_dtc("P0133-11") == bytes.fromhex("013311")
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
