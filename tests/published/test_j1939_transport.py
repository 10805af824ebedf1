"""Messages in packets (SAE J1939-21) against a published vector and can-j1939 2.0 as the oracle."""

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from j1939 import ElectronicControlUnit

from engineering.codes import read_text
from engineering.codes.transport import TP_CM, TP_DT, Transport

# pretty_j1939 (Apache-2.0), its tests, 2026; can-j1939 and nmea2000 put the same bytes together
PUBLISHED = [
    "18ECFF00#20120003FFCAFE00",
    "18EBFF00#0100FF5B0003015C",
    "18EBFF00#020004025D000503",
    "18EBFF00#035E000604FFFFFF",
]
PAYLOAD = bytes.fromhex("00ff5b0003015c0004025d0005035e000604")


@pytest.fixture(scope="module")
def oracle() -> Iterator[ElectronicControlUnit]:
    """A unit of can-j1939 that is on no bus: frames are handed to it."""
    unit = ElectronicControlUnit()
    yield unit
    unit.stop()


def _by_oracle(unit: ElectronicControlUnit, frames: list[tuple[int, bytes]]) -> list[tuple[int, bytes]]:
    heard: list[tuple[int, bytes]] = []

    def hear(_priority: int, pgn: int, _source: int, _time: float, data: list[int]) -> None:
        heard.append((pgn, bytes(data)))

    unit.subscribe(hear)
    try:
        for can_id, data in frames:
            unit.notify(can_id, bytearray(data), 0.0)
    finally:
        unit.unsubscribe(hear)
    return heard


def _by_us(frames: list[tuple[int, bytes]]) -> list[tuple[int, bytes]]:
    transport = Transport()
    heard = []
    for line, (can_id, data) in enumerate(frames, 1):
        pgn = TP_CM if can_id >> 16 & 0xFF == 0xEC else TP_DT
        step = transport.push(pgn, can_id & 0xFF, 255, data, line)
        if step.message:
            heard.append((step.message.pgn, step.message.payload))
    return heard


def _frames(lines: list[str]) -> list[tuple[int, bytes]]:
    return [(int(can_id, 16), bytes.fromhex(data)) for can_id, data in (line.split("#") for line in lines)]


def test_the_published_message(oracle):
    assert _by_us(_frames(PUBLISHED)) == [(0xFECA, PAYLOAD)]
    assert _by_oracle(oracle, _frames(PUBLISHED)) == [(0xFECA, PAYLOAD)]


def test_the_codes_in_it():
    readout = read_text("\n".join(PUBLISHED))
    assert [(seen.code.text, seen.count) for seen in readout.codes] == [
        ("91-3", 1),
        ("92-4", 2),
        ("93-5", 3),
        ("94-6", 4),
    ]


def test_without_its_second_packet_there_is_no_message(oracle):
    # pretty_j1939 and nmea2000 give nothing either
    lines = [PUBLISHED[0], PUBLISHED[1], PUBLISHED[3]]
    assert _by_us(_frames(lines)) == []
    assert _by_oracle(oracle, _frames(lines)) == []
    assert read_text("\n".join(lines)).codes == ()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(payload=st.binary(min_size=9, max_size=1785), pgn=st.sampled_from([0xFECA, 0xFECB, 0xFEEC]))
def test_any_message_in_order_equals_can_j1939(oracle, payload, pgn):
    count = -(-len(payload) // 7)
    padded = payload + b"\xff" * (7 * count - len(payload))
    size = len(payload).to_bytes(2, "little")
    frames = [(0x1CECFF07, b"\x20" + size + bytes((count, 255)) + pgn.to_bytes(3, "little"))]
    frames += [(0x1CEBFF07, bytes((n + 1,)) + padded[7 * n : 7 * n + 7]) for n in range(count)]
    assert _by_us(frames) == _by_oracle(oracle, frames) == [(pgn, payload)]
