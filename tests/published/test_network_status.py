"""Status bits of NMEA 2000 PGN 127489 and 127493 against published messages, and the nmea2000 library as the oracle.

Order of the bits: canboat (Apache-2.0), docs/canboat.json, 2026. Messages: canboatjs, test/pgns/127489, 2026.
"""

import re

import pytest
from nmea2000.decoder import NMEA2000Decoder

from engineering.codes.network_status import (
    ENGINE_STATUS_1,
    ENGINE_STATUS_2,
    STATUS_FIELDS,
    TRANSMISSION_STATUS,
    bits_set,
)


def _keys(raw, field):
    return [bit.key for bit in bits_set(raw, field)]


def _status(payload: str, start: int, width: int = 2) -> int:
    return int.from_bytes(bytes.fromhex(payload)[start : start + width], "little")


def test_over_temperature_and_low_oil_pressure():
    # canboatjs, test/pgns/127489: status 1 = over temperature + low oil pressure, status 2 = none
    payload = "00 2f06 ffff e373 6605 ff7f 58020000 ffff ffff ff 0600 0000 7f 7f"
    assert _keys(_status(payload, 20), ENGINE_STATUS_1) == ["engine-over-temperature", "low-oil-pressure"]
    assert _keys(_status(payload, 22), ENGINE_STATUS_2) == []


def test_every_bit_of_the_second_status():
    # canboatjs, test/pgns/127489: all eight named bits of status 2
    payload = "00 2f06 1020 e373 6505 6504 72100000 1020 3040 ff 0600 ff00 30 18"
    assert _keys(_status(payload, 22), ENGINE_STATUS_2) == [
        "warning-level-1", "warning-level-2", "power-reduction", "maintenance-needed", "engine-comm-error",
        "secondary-throttle", "neutral-start-protect", "engine-shutting-down",
    ]  # fmt: skip


def test_a_transmission_over_temperature():
    # constructed after canboat's layout: 127493 00 fc 983a c40d 02 ff, read alike by two implementations
    assert _keys(_status("00 fc 983a c40d 02 ff", 6, 1), TRANSMISSION_STATUS) == ["transmission-over-temperature"]


def test_a_transmission_without_a_status():
    # canboat samples: 127493 01 00 ffff ffff 00 ff
    assert _keys(_status("01 00 ffff ffff 00 ff", 6, 1), TRANSMISSION_STATUS) == []


@pytest.fixture(scope="module")
def oracle():
    return NMEA2000Decoder()


_SHORT_FORMS = {"recirculation": "egr", "communication": "comm"}


def _words(text):
    return {_SHORT_FORMS.get(word, word) for word in re.findall(r"\w+", text.lower())}


@pytest.mark.parametrize(
    ("pgn", "payload", "field", "start"),
    [
        (127489, "00 2f06 ffff e373 6605 ff7f 58020000 ffff ffff ff 0000 0000 7f 7f", ENGINE_STATUS_1, 20),
        (127489, "00 2f06 ffff e373 6605 ff7f 58020000 ffff ffff ff 0000 0000 7f 7f", ENGINE_STATUS_2, 22),
        (127493, "00 fc 983a c40d 00 ff", TRANSMISSION_STATUS, 6),
    ],
    ids=["engine 1", "engine 2", "transmission"],
)
def test_each_named_bit_equals_nmea2000(oracle, pgn, payload, field, start):
    name = "discreteStatus1" if field.pgn == 127493 else f"discreteStatus{field.number}"
    for bit in field.bits:
        sent = bytearray(bytes.fromhex(payload))
        sent[start + bit.bit // 8] = 1 << bit.bit % 8
        read = oracle.decode(f"2026-01-01T00:00:00.000Z,2,{pgn},1,255,{len(sent)},{sent.hex(',')}")
        said = next(found.value for found in read.fields if found.id == name)
        assert _words(str(said)) <= _words(bit.words), (said, bit.words)
        assert _words(str(said)) - {"transmission"}
        assert bits_set(1 << bit.bit, field) == (bit,)


@pytest.mark.parametrize("field", STATUS_FIELDS)
def test_all_bits_set_is_no_status(field):
    # canboat: all ones mean "not available" in a field of any type
    assert bits_set(field.not_available, field) == ()
