"""Frames lost, doubled and swapped in a pasted log: no code that was not sent together is taken by itself."""

from __future__ import annotations

import random

from engineering.codes import read_text

SPNS = range(91, 400)


def _dtc(spn: int, fmi: int) -> bytes:
    return bytes((spn & 255, spn >> 8 & 255, (spn >> 16 & 7) << 5 | fmi, 1))


def _bam(codes: list[tuple[int, int]], source: int) -> list[str]:
    """The frames of one long DM1, as SAE J1939-21 cuts it."""
    payload = b"\x00\xff" + b"".join(_dtc(*code) for code in codes)
    count = -(-len(payload) // 7)
    padded = payload.ljust(count * 7, b"\xff")
    frames = [f"18ECFF{source:02X}#20{len(payload):02X}00{count:02X}FFCAFE00"]
    return frames + [
        f"18EBFF{source:02X}#{number + 1:02X}{padded[number * 7 : number * 7 + 7].hex().upper()}"
        for number in range(count)
    ]


def _damaged(frames: list[tuple[float, str]], rolls: random.Random, loss: float) -> list[tuple[float, str]]:
    kept = [frame for frame in frames if rolls.random() >= loss]
    kept += [frame for frame in kept if rolls.random() < 0.05]
    kept.sort(key=lambda frame: frame[0])
    for at in range(len(kept) - 1):
        if rolls.random() < 0.05:
            kept[at], kept[at + 1] = (kept[at][0], kept[at + 1][1]), (kept[at + 1][0], kept[at][1])
    return kept


def test_a_log_with_lost_frames_gives_no_mixture():
    rolls = random.Random(1939)
    taken = 0
    for _ in range(60):
        sent, frames = set(), []
        for second in range(20):
            codes = [(spn, rolls.randrange(0, 20)) for spn in rolls.sample(SPNS, rolls.randrange(2, 6))]
            sent.add(frozenset(f"{spn}-{fmi}" for spn, fmi in codes))
            frames += [(second + 0.05 * number, frame) for number, frame in enumerate(_bam(codes, 0))]
        text = "\n".join(f"({time:.6f}) can0 {frame}" for time, frame in _damaged(frames, rolls, 0.1))
        for line in read_text(text).lines:
            ticked = frozenset(seen.code.text for seen in line.codes if seen.certain)
            assert not ticked or ticked in sent, line
            taken += bool(ticked)
    assert taken > 200


def _replies(codes: list[int]) -> list[str]:
    """The frames of a reply to service 03 on CAN, as ISO 15765-2 cuts it."""
    payload = bytes((0x43, len(codes))) + b"".join(code.to_bytes(2, "big") for code in codes)
    first = f"7E8 10 {len(payload):02X} {payload[:6].hex(' ').upper()}"
    rest = payload[6:]
    parts = [rest[start : start + 7].ljust(7, b"\x00") for start in range(0, len(rest), 7)]
    return [
        first,
        *(f"7E8 {0x20 | (number + 1) & 15:02X} {part.hex(' ').upper()}" for number, part in enumerate(parts)),
    ]


def test_replies_with_a_lost_part_give_no_mixture():
    rolls = random.Random(15765)
    taken = 0
    for _ in range(200):
        sent, lines = set(), []
        for _ in range(6):
            codes = [rolls.randrange(1, 0x3FFF) for _ in range(rolls.randrange(3, 12))]
            sent.add(tuple(f"P{code:04X}" for code in codes))
            lines += ["03", *(line for line in _replies(codes) if rolls.random() >= 0.15)]
        for line in read_text("\n".join(lines)).lines:
            ticked = tuple(seen.code.text for seen in line.codes if seen.certain)
            assert not ticked or ticked in sent, line
            taken += bool(ticked)
    assert taken > 300


def test_parts_out_of_order_are_only_offered():
    readout = read_text("7E8 10 14 43 09 01 02 01 13\n7E8 22 03 00 03 01 03 02 03\n7E8 21 02 17 00 01 00 02 00")
    assert len(readout.codes) == 9
    assert not any(seen.certain for seen in readout.codes)
