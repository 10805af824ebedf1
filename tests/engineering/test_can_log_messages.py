"""Messages of more than one frame in a log: interrupted, mixed, late, twice; and more senders than are kept."""

import io
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.canlog import LogSummary, summarize
from engineering.canlog.fast_packets import FastPackets
from engineering.canlog.frames import NO_TIME
from engineering.codes import CodeStatus

PAYLOAD = bytes.fromhex("002f06ffffe3736605ff7f58020000ffffffffff060000007f7f")
BAM = [
    "18ECFF00#20120003FFCAFE00",
    "18EBFF00#0100FF5B0003015C",
    "18EBFF00#020004025D000503",
    "18EBFF00#035E000604FFFFFF",
]


def _fragments(payload: bytes, sequence: int) -> list[bytes]:
    head = sequence << 5
    rest = [payload[at : at + 7] for at in range(6, len(payload), 7)]
    return [bytes([head, len(payload)]) + payload[:6]] + [
        bytes([head | number]) + part.ljust(7, b"\xff") for number, part in enumerate(rest, 1)
    ]


def _read(frames: list[str], step: float = 0.001) -> LogSummary:
    log = "".join(f"({1_764_000_000 + at * step:.6f}) can0 {frame}\n" for at, frame in enumerate(frames))
    return summarize(io.BytesIO(log.encode()), name="trip.log")


def _engine(payload: bytes = PAYLOAD, sequence: int = 0, source: int = 1) -> list[str]:
    return [f"09F201{source:02X}#{part.hex()}" for part in _fragments(payload, sequence)]


def _causes(summary: LogSummary) -> dict[str, tuple[int, int]]:
    return {one.cause: (one.count, one.messages) for one in summary.not_understood}


@given(st.binary(min_size=1, max_size=223), st.integers(0, 7), st.randoms(use_true_random=False))
def test_any_message_in_any_order_behind_its_first_frame_comes_out_whole(payload, sequence, shuffle):
    first, *parts = _fragments(payload, sequence)
    shuffle.shuffle(parts)
    parts.insert(0, first)
    packets = FastPackets()
    messages = [message for part in parts if (message := packets.push(1, 0, part)) is not None]
    assert messages == [payload]
    assert (packets.used_frames, packets.lost_frames) == (len(parts), 0)


@settings(max_examples=100)
@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 400_000), st.binary(max_size=8)), max_size=60))
def test_no_frame_is_counted_twice(pushed):
    packets, now = FastPackets(), 0
    for key, step, data in pushed:
        now += step
        packets.push(key, now, data)
    packets.finish()
    assert packets.used_frames + packets.lost_frames <= len(pushed)
    assert (packets.lost_messages == 0) == (packets.lost_frames == 0)


def test_a_message_broken_off_by_the_next_is_lost_and_the_next_is_read():
    first, second = _engine(sequence=2), _engine(PAYLOAD[:1] + b"\x10\x27" + PAYLOAD[3:], sequence=2)
    summary = _read(first[:3] + second)
    assert [(span.count, str(span.first)) for span in summary.parameters[:1]] == [(1, "1000.0")]
    assert _causes(summary) == {"fast-packet-lost": (3, 1)}


def test_a_late_frame_of_an_old_message_does_not_complete_it():
    frames = _engine(sequence=2)
    summary = _read([*frames[:3], frames[3]], step=0.6)
    assert summary.parameters == ()
    assert _causes(summary) == {"fast-packet-lost": (4, 3)}


def test_senders_and_networks_with_the_same_sequence_are_kept_apart():
    port, starboard = _engine(source=1), _engine(b"\x01" + PAYLOAD[1:], source=2)
    mixed = [frame for pair in zip(port, starboard, strict=True) for frame in pair]
    log = "".join(f"(1764000000.0) {name} {frame}\n" for frame in mixed for name in ("can0", "can1"))
    summary = summarize(io.BytesIO(log.encode()), name="trip.log")
    assert {(s.channel, s.source, s.instance) for s in summary.parameters} == {
        ("can0", 1, 0), ("can0", 2, 1), ("can1", 1, 0), ("can1", 2, 1)
    }  # fmt: skip
    assert summary.not_understood == ()


def test_a_message_sent_twice_the_same_is_two_messages():
    assert _read(_engine(sequence=1) + _engine(sequence=1)).parameters[0].count == 2


@pytest.mark.parametrize("length", [0, 224, 255])
def test_a_length_that_cannot_be_is_no_message(length):
    frame = f"09F20101#00{length:02x}002f06ffffe3"
    assert _causes(_read([frame])) == {"fast-packet-rest": (1, 0)}


def test_a_shorter_message_gives_the_fields_that_it_has():
    spans = {span.key: span for span in _read(_engine(PAYLOAD[:9])).parameters}
    assert str(spans["engine-temperature"].first) == "23.52"
    assert (spans["engine-hours"].count, spans["engine-hours"].not_available) == (0, 0)


def test_codes_in_packets_are_seen_with_their_unit_and_times():
    summary = _read([*BAM, "18FECA00#00FF00000000FFFF", "18FECB00#00FF5B000302FFFF"])
    active = [code for code in summary.codes if code.status is CodeStatus.ACTIVE]
    assert [(code.code.text, code.count, code.messages, code.in_last) for code in active] == [
        ("91-3", 1, 1, False), ("92-4", 2, 1, False), ("93-5", 3, 1, False), ("94-6", 4, 1, False)
    ]  # fmt: skip
    assert [(code.code.text, code.in_last) for code in summary.codes if code.status is CodeStatus.STORED] == [
        ("91-3", True)
    ]
    unit = next(one for one in summary.units if one.status is CodeStatus.ACTIVE)
    assert (unit.messages, unit.without_code, unit.ends_without_code) == (2, 1, True)
    assert (str(active[0].first_s), str(unit.last_s)) == ("0.003000", "0.004000")
    assert summary.decoded_frames == summary.frames == 6


def test_a_message_in_packets_with_one_missing_is_lost():
    summary = _read([BAM[0], BAM[1], BAM[3]])
    assert summary.codes == ()
    assert _causes(summary) == {"transport-lost": (3, 1)}


def test_packets_out_of_order_and_twice_do_no_harm():
    summary = _read([BAM[0], BAM[2], BAM[1], BAM[1], BAM[3]])
    assert len(summary.codes) == 4
    assert _causes(summary) == {"transport-rest": (1, 0)}


def test_packets_of_other_messages_are_counted_under_their_pgn():
    other = "18ECFF00#20120003FFE3FE00"
    (left,) = _read([other, *BAM[1:]]).not_understood
    assert (left.cause, left.pgn, left.count) == ("pgn", 65251, 4)


def test_a_code_in_an_older_byte_order_is_not_guessed():
    (code,) = _read(["18FECA00#04FFD2040381FFFF"]).codes
    assert (code.code, code.fmi, code.count, code.raw) == (None, 3, 1, "D2 04 03 81")
    assert 1234 in code.possible_spns


def test_the_highest_count_of_a_code_is_kept_and_an_unknown_one_is_none():
    known = _read(["18FECA00#04FF5B000301FFFF", "18FECA00#04FF5B000305FFFF", "18FECA00#04FF5B00037FFFFF"])
    assert [(code.count, code.messages) for code in known.codes] == [(5, 3)]
    assert _read(["18FECA00#04FF5B00037FFFFF"]).codes[0].count is None


def test_lamps_are_said_with_how_often_and_whether_they_flash():
    summary = _read(["18FECA00#10FF5B000301FFFF", "18FECA00#04005B000301FFFF", "18FECA00#00FF5B000301FFFF"])
    assert {(lamp.key, lamp.messages, lamp.of_messages, lamp.on_at_end) for lamp in summary.statuses} == {
        ("red-stop-lamp", 1, 3, False),
        ("amber-warning-lamp", 1, 3, False),
        ("amber-warning-lamp-flashing", 1, 3, False),
    }


def test_status_bits_say_when_and_whether_at_the_end():
    plain = PAYLOAD[:20] + b"\0\0" + PAYLOAD[22:]
    summary = _read(_engine(plain, 0) + _engine(PAYLOAD, 1) + _engine(plain, 2))
    (hot,) = [status for status in summary.statuses if status.key == "engine-over-temperature"]
    assert (hot.messages, hot.of_messages, hot.on_at_end, hot.instance) == (1, 3, False, 0)
    assert str(hot.first_s) == str(hot.last_s) == "0.007000"


def test_a_status_of_all_ones_says_nothing():
    summary = _read(_engine(PAYLOAD[:20] + b"\xff\xff\xff\xff" + PAYLOAD[24:]))
    assert summary.statuses == ()


def test_more_senders_than_are_kept_apart_are_counted():
    frames = [f"09F200{source:02X}#{instance:02X}C80CFFFF7FFFFF" for source in range(20) for instance in range(20)]
    random.Random(3).shuffle(frames)
    summary = _read(frames)
    assert len(summary.parameters) == 384
    assert _causes(summary) == {"too-many": (400 - 128, 0)}
    assert summary.decoded_frames == 128


def test_more_channels_than_are_kept_apart_share_one():
    log = "".join(f"(1.0) net{n} 09F20001#00C80CFFFF7FFFFF\n" for n in range(70))
    summary = summarize(io.BytesIO(log.encode()), name="trip.log")
    assert (len(summary.channels), summary.channels[-1]) == (64, "others")
    assert {damage.kind: damage.count for damage in summary.damages} == {"channels": 7}
    assert summary.parameters[-1].channel == "others"


def test_pgns_are_named_and_the_rarest_put_together():
    frames = ["0DF11201#0102030405060708"] * 3 + [f"18FF{low:02X}01#00" for low in range(230)]
    left = _read(frames).not_understood
    assert (left[0].pgn, left[0].name, left[0].count) == (127250, "Vessel heading", 3)
    assert (len(left), left[-1].pgn, left[-1].count) == (201, None, 31)
    assert sum(one.count for one in left) == 233


def _sent_and_heard(seed: int, loss: float, harm: float, period_us: int, *, counted_on: bool):
    """Two hundred messages of four frames; then frames are lost, doubled and moved. What was sent, and what is left."""
    dice, sent, frames = random.Random(seed), [], []
    for number in range(200):
        sent.append(number.to_bytes(2, "big") + bytes(dice.randrange(3) for _ in range(24)))
        parts = _fragments(sent[-1], number % 8 if counted_on else 3)
        frames += [(number * period_us + at * 600, part) for at, part in enumerate(parts)]
    left = [frame for frame in frames if dice.random() >= loss]
    left = [frame for frame in left for _ in range(2 if dice.random() < harm else 1)]
    for at in range(len(left) - 4):
        if dice.random() < harm:
            other = at + dice.randrange(1, 4)
            left[at], left[other] = left[other], left[at]
    return sent, left


def _complete_by_themselves(left: list[tuple[int, bytes]]) -> list[bytes]:
    """An independent reading, for frames that were lost alone: four that follow each other, in order, from frame 0."""
    return [
        (parts[0][2:] + b"".join(part[1:] for part in parts[1:]))[: parts[0][1]]
        for at in range(len(left) - 3)
        if [part[0] & 31 for _, part in left[at : at + 4]] == [0, 1, 2, 3]
        and len({part[0] >> 5 for _, part in left[at : at + 4]}) == 1
        and left[at + 3][0] - left[at][0] < 10_000
        for parts in [[part for _, part in left[at : at + 4]]]
    ]


@pytest.mark.parametrize("counted_on", [True, False], ids=["counted on", "one sequence"])
@pytest.mark.parametrize(("loss", "harm"), [(0.02, 0), (0.02, 0.02), (0.1, 0.1), (0.3, 0.2), (0.5, 0.3)])
def test_no_message_is_made_of_frames_of_two(loss, harm, counted_on):
    for seed in range(12):
        sent, left = _sent_and_heard(seed, loss, harm, 100_000 if seed % 2 else 500_000, counted_on=counted_on)
        packets = FastPackets()
        heard = [message for time, part in left if (message := packets.push(1, time, part)) is not None]
        assert set(heard) <= set(sent)
        if not harm:
            assert heard == _complete_by_themselves(left)
        elif harm <= 0.02 and counted_on:
            assert len(heard) >= 0.8 * len(sent)


@pytest.mark.parametrize(("loss", "harm"), [(0.02, 0.02), (0.1, 0.1), (0.3, 0.2), (0.5, 0.3)])
def test_nor_in_a_log_without_times(loss, harm):
    for seed in range(12):
        sent, left = _sent_and_heard(seed, loss, harm, 0, counted_on=True)
        packets = FastPackets()
        heard = [message for _, part in left if (message := packets.push(1, NO_TIME, part)) is not None]
        assert heard
        assert set(heard) <= set(sent)


def test_a_steady_value_stays_steady_though_frames_are_lost():
    """70 °C all the way, with every other field moving: one frame in fifty is missing."""
    dice, frames = random.Random(5), []
    for number in range(754):
        moving = bytes(dice.randrange(0x7F) for _ in range(26))
        payload = b"\x00" + moving[1:5] + (34_315).to_bytes(2, "little") + moving[7:]
        frames += _engine(payload, number % 8)
    kept = [frame for frame in frames if dice.random() >= 0.02]
    span = {one.key: one for one in _read(kept, step=0.025).parameters}["engine-temperature"]
    assert {str(value) for value in (span.first, span.last, span.minimum, span.maximum, span.median)} == {"70.00"}
    assert 650 < span.count < 754


def _announced(payload: bytes) -> list[str]:
    size, padded = len(payload), payload + b"\xff" * (-len(payload) % 7)
    head = f"18ECFF00#20{size & 255:02X}{size >> 8:02X}{len(padded) // 7:02X}FFCAFE00"
    return [head] + [f"18EBFF00#{at + 1:02X}{padded[7 * at : 7 * at + 7].hex()}" for at in range(len(padded) // 7)]


@pytest.mark.parametrize("is_timed", [True, False])
def test_codes_of_two_messages_in_packets_are_never_mixed(is_timed):
    """Each message has four codes of its own; a mix would have codes of two."""
    for seed in range(12):
        dice, left = random.Random(seed), []
        for number in range(60):
            spn = 100 + 4 * number
            codes = b"".join(bytes([(spn + at) & 255, (spn + at) >> 8, 3, 1]) for at in range(4))
            for at, frame in enumerate(_announced(b"\x00\xff" + codes)):
                copies = 0 if dice.random() < 0.15 else 2 if dice.random() < 0.1 else 1
                left += [(number + at * 0.05, frame)] * copies
        log = "".join(
            (f"({1_764_000_000 + time:.6f}) " if is_timed else "") + f"can0 {frame}\n" for time, frame in left
        )
        summary = summarize(io.BytesIO(log.encode()), name="trip.log")
        by_message = {}
        for code in summary.codes:
            number, at = divmod(int(code.code.text.partition("-")[0]) - 100, 4)
            by_message.setdefault(number, set()).add(at)
        assert by_message
        assert all(found == {0, 1, 2, 3} for found in by_message.values())


def test_a_packet_that_comes_too_late_is_not_of_the_open_message():
    log = "".join(
        f"({1_764_000_000 + time}) can0 {frame}\n"
        for time, frame in zip((0.0, 0.05, 0.1, 1.15), BAM, strict=True)
    )  # fmt: skip
    summary = summarize(io.BytesIO(log.encode()), name="trip.log")
    assert summary.codes == ()
    assert _causes(summary) == {"transport-lost": (3, 1), "transport-rest": (1, 0)}
