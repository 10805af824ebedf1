"""Messages of more than eight bytes: whole, late, doubled, missing, mixed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.transport import TP_CM, TP_DT, Transport

PGN = 0xFECA


def announcement(size: int, *, control: int = 32, pgn: int = PGN) -> bytes:
    return bytes((control, size & 255, size >> 8, min(255, -(-size // 7)), 255, pgn & 255, pgn >> 8 & 255, pgn >> 16))


def packets_of(payload: bytes) -> list[bytes]:
    padded = payload + b"\xff" * (-len(payload) % 7)
    return [bytes([number + 1]) + padded[7 * number : 7 * number + 7] for number in range(len(padded) // 7)]


class Log:
    """A log being read: pushes packets with running line numbers."""

    def __init__(self) -> None:
        self.transport = Transport()
        self.steps = []

    def announce(self, data: bytes, source: int = 0, destination: int = 255):
        return self._push(TP_CM, source, destination, data)

    def send(self, data: bytes, source: int = 0, destination: int = 255):
        return self._push(TP_DT, source, destination, data)

    def _push(self, pgn, source, destination, data):
        self.steps.append(self.transport.push(pgn, source, destination, data, len(self.steps) + 1))
        return self.steps[-1]

    @property
    def messages(self) -> list[bytes]:
        return [step.message.payload for step in self.steps if step.message]


PAYLOADS = st.binary(min_size=9, max_size=120)


@given(PAYLOADS, st.randoms(use_true_random=False))
def test_the_numbers_decide_and_not_the_order(payload, random):
    log = Log()
    log.announce(announcement(len(payload)))
    packets = packets_of(payload) * 2
    random.shuffle(packets)
    for packet in packets:
        assert log.send(packet).understood
    assert log.messages == [payload]
    assert log.transport.unfinished() == ()


@given(PAYLOADS, st.data())
def test_with_a_packet_missing_there_is_no_message_and_it_is_said_which(payload, data):
    packets = packets_of(payload)
    gone = data.draw(st.integers(0, len(packets) - 1))
    log = Log()
    log.announce(announcement(len(payload)))
    for number, packet in enumerate(packets):
        if number != gone:
            log.send(packet)
    assert log.messages == []
    (lost,) = log.transport.unfinished()
    assert lost.reason == f"Not read: packet {gone + 1} of {len(packets)} is missing."
    assert lost.lines == tuple(range(1, len(packets) + 1))


def test_a_packet_twice_with_other_bytes_spoils_the_message():
    log = Log()
    log.announce(announcement(18))
    first, second, third = packets_of(bytes(range(18)))
    log.send(first)
    step = log.send(first[:-1] + b"\x77")
    assert not step.understood
    assert step.lost[0].lines == (1, 2)
    assert not log.send(second).understood
    assert not log.send(third).understood
    assert log.messages == []


def test_a_new_announcement_ends_an_unfinished_message():
    log = Log()
    log.announce(announcement(18))
    log.send(packets_of(bytes(range(18)))[0])
    step = log.announce(announcement(9))
    assert step.understood
    assert step.lost[0].lines == (1, 2)
    for packet in packets_of(bytes(9)):
        log.send(packet)
    assert log.messages == [bytes(9)]


def test_two_units_at_once_do_not_mix():
    log = Log()
    log.announce(announcement(9), source=0)
    log.announce(announcement(10), source=1)
    for one, other in zip(packets_of(b"A" * 9), packets_of(b"B" * 10), strict=True):
        log.send(one, source=0)
        log.send(other, source=1)
    assert log.messages == [b"A" * 9, b"B" * 10]


def test_a_transfer_between_two_units_is_read_too():
    log = Log()
    log.announce(announcement(9, control=16), source=0, destination=0x21)
    assert log.announce(bytes((17, 2, 1, 255, 255, 0xCA, 0xFE, 0)), source=0x21, destination=0).understood
    for packet in packets_of(b"C" * 9):
        log.send(packet, source=0, destination=0x21)
    assert log.announce(bytes((19, 9, 0, 2, 255, 0xCA, 0xFE, 0)), source=0x21, destination=0).understood
    assert log.messages == [b"C" * 9]


def test_an_abort_ends_the_message():
    log = Log()
    log.announce(announcement(9, control=16), source=0, destination=0x21)
    step = log.announce(bytes((255, 1, 255, 255, 255, 0xCA, 0xFE, 0)), source=0x21, destination=0)
    assert step.lost[0].lines == (1,)
    assert log.transport.unfinished() == ()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x20",
        announcement(8),
        announcement(1786),
        announcement(18)[:3] + b"\x05" + announcement(18)[4:],
        announcement(18)[:6],
        announcement(18, control=99),
    ],
)
def test_an_announcement_that_does_not_fit_is_not_understood(data):
    log = Log()
    assert not log.announce(data).understood
    assert log.transport.unfinished() == ()


@pytest.mark.parametrize("packet", [b"\x00" + bytes(7), b"\x04" + bytes(7), b"\x01" + bytes(6), b"\x01"])
def test_a_packet_that_does_not_fit_is_not_understood(packet):
    log = Log()
    log.announce(announcement(18))
    assert not log.send(packet).understood


def test_a_packet_without_announcement_is_not_understood():
    assert not Log().send(b"\x01" + bytes(7)).understood


def test_the_last_packet_may_leave_its_padding_out():
    log = Log()
    log.announce(announcement(9))
    log.send(b"\x01ABCDEFG")
    log.send(b"\x02HI")
    assert log.messages == [b"ABCDEFGHI"]


def test_a_late_double_after_the_message_is_harmless():
    log = Log()
    log.announce(announcement(9))
    for packet in packets_of(b"A" * 9):
        log.send(packet)
    assert log.send(packets_of(b"A" * 9)[0]).understood
    assert not log.send(packets_of(b"B" * 9)[0]).understood
    assert log.messages == [b"A" * 9]


@given(st.lists(st.tuples(st.sampled_from([TP_CM, TP_DT]), st.integers(0, 2), st.binary(max_size=8)), max_size=30))
def test_no_packets_make_it_stumble(packets):
    transport = Transport()
    for line, (pgn, source, data) in enumerate(packets, 1):
        assert transport.push(pgn, source, 255, data, line).sentence
    for lost in transport.unfinished():
        assert lost.lines
