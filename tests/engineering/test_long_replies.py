"""Service replies of more than one CAN frame: whole, late, doubled, missing, long."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.long_replies import LongReplies


def _frames(payload: bytes) -> list[bytes]:
    """The frames of ISO 15765-2 that carry a payload of more than seven bytes."""
    first = bytes((0x10 | len(payload) >> 8, len(payload) & 255)) + payload[:6]
    rest = payload[6:]
    parts = [rest[start : start + 7] for start in range(0, len(rest), 7)]
    return [first, *(bytes((0x20 | number % 16,)) + part for number, part in enumerate(parts, 1))]


def _payloads(replies: LongReplies, frames: list[bytes], sender: int = 1) -> list[bytes]:
    parts = [replies.take(sender, frame, line) for line, frame in enumerate(frames, 1)]
    return [part.payload for part in parts if part.payload is not None]


@given(st.binary(min_size=8, max_size=600))
def test_any_reply_in_order(payload):
    replies = LongReplies()
    assert _payloads(replies, _frames(payload)) == [payload]
    assert replies.unfinished() == ()


@given(st.binary(min_size=8, max_size=111), st.randoms(use_true_random=False))
def test_up_to_fifteen_parts_may_come_in_any_order(payload, random):
    first, *rest = _frames(payload)
    random.shuffle(rest)
    assert _payloads(LongReplies(), [first, *rest]) == [payload]


def test_more_parts_must_come_in_order():
    first, *rest = _frames(bytes(200))
    replies = LongReplies()
    replies.take(1, first, 1)
    assert not replies.take(1, rest[1], 2).understood
    assert _payloads(replies, rest) == [bytes(200)]


def test_a_missing_part_leaves_the_reply_unread():
    first, second, third = _frames(bytes(20))
    replies = LongReplies()
    assert _payloads(replies, [first, third]) == []
    (lost,) = replies.unfinished()
    assert (lost.lines, lost.reason) == ((1, 2), "Not read: 1 of 2 later parts is missing.")
    assert replies.is_waiting_for(1)
    assert _payloads(replies, [second]) == [bytes(20)]


def test_a_part_twice_is_used_once_if_it_is_the_same():
    first, second, third = _frames(bytes(range(20)))
    assert _payloads(LongReplies(), [first, second, second, third]) == [bytes(range(20))]


def test_a_part_twice_with_other_bytes_spoils_the_reply():
    first, second, third = _frames(bytes(range(20)))
    replies = LongReplies()
    assert _payloads(replies, [first, second, second[:-1] + b"\x77", third]) == []
    assert not replies.is_waiting_for(1)


@pytest.mark.parametrize("frame", ["22 00 00 00 00 00 00 00", "20 00 00 00 00 00 00 00", "21 00 00"])
def test_a_part_that_does_not_fit_is_not_understood(frame):
    replies = LongReplies()
    replies.take(1, _frames(bytes(13))[0], 1)
    assert not replies.take(1, bytes.fromhex(frame), 2).understood


def test_a_new_beginning_ends_an_unfinished_reply():
    replies = LongReplies()
    replies.take(1, _frames(bytes(20))[0], 1)
    part = replies.take(1, _frames(bytes(9))[0], 2)
    assert part.understood
    assert part.lost[0].lines == (1,)


@pytest.mark.parametrize("frame", ["00", "08 00", "03 43 00", "10 07 43 00 00 00 00 00", "10 09 43", "40 00", "F0"])
def test_framing_that_does_not_fit_is_not_understood(frame):
    part = LongReplies().take(1, bytes.fromhex(frame), 1)
    assert (part.understood, part.payload) == (False, None)


@given(st.lists(st.tuples(st.integers(0, 1), st.binary(min_size=1, max_size=8)), max_size=30))
def test_no_frames_make_it_stumble(frames):
    replies = LongReplies()
    for line, (sender, data) in enumerate(frames, 1):
        part = replies.take(sender, data, line)
        assert part.sentence or part.payload is not None
    for lost in replies.unfinished():
        assert lost.lines
