"""Frames lost, doubled and out of order: no log is everything with fewer codes than were sent, nor with others."""

from __future__ import annotations

import io
import random

import pytest

from commands.refusals import Refused
from engineering.canlog import summarize
from findings.canlogs.choosing import code_rows, doubt_about_log, units_chosen
from findings.canlogs.preview import understand
from findings.canlogs.queries import LoggedFrom
from findings.canlogs.senders import Target
from vessels.models import ControlUnit

UNIT = Target("unit-1", "Engine control unit", unit=ControlUnit(pk=1))
Code = tuple[int, int]


def diagnostic(pgn: int, codes: list[Code]) -> list[str]:
    """The frames of one DM1 or DM2, as SAE J1939-21 and -73 have them."""
    listed = b"".join(bytes([spn & 255, spn >> 8 & 255, spn >> 16 << 5 | fmi, 1]) for spn, fmi in codes) or bytes(4)
    payload = b"\x04\xff" + listed
    if len(payload) <= 8:
        whole = payload.ljust(8, b"\xff")
        return [f"18{pgn:04X}00#{whole.hex()}"]
    packets = [payload[at : at + 7].ljust(7, b"\xff") for at in range(0, len(payload), 7)]
    announced = f"1CECFF00#20{len(payload):02X}00{len(packets):02X}FF{pgn & 255:02X}{pgn >> 8:02X}00"
    return [announced, *(f"1CEBFF00#{number:02X}{part.hex()}" for number, part in enumerate(packets, 1))]


def sent(dice: random.Random) -> tuple[set[str], list[tuple[float, str]]]:
    """Three lists of codes one after the other, each sent twenty times, a second apart; and what was sent."""
    pgn, codes, frames = dice.choice([0xFECA, 0xFECB]), set(), []
    for state in range(3):
        listed = [(spn, dice.randrange(20)) for spn in dice.sample(range(91, 4000), dice.choice([0, 0, 1, 2, 3, 6]))]
        codes |= {f"{spn}-{fmi}" for spn, fmi in listed}
        for second in range(20):
            at = 20 * state + second + 1_764_000_000
            frames += [(at + 0.05 * place, frame) for place, frame in enumerate(diagnostic(pgn, listed))]
    return codes, frames


def damaged(frames: list[tuple[float, str]], dice: random.Random, loss: float) -> str:
    """A candump log with frames lost, doubled and swapped, each as often."""
    kept = [frame for frame in frames if dice.random() >= loss]
    kept = [frame for frame in kept for _ in range(2 if dice.random() < loss else 1)]
    for at in range(len(kept) - 1):
        if dice.random() < loss:
            kept[at], kept[at + 1] = (kept[at][0], kept[at + 1][1]), (kept[at + 1][0], kept[at][1])
    return "".join(f"({time:.6f}) can0 {frame}\n" for time, frame in kept)


def logged(text: str) -> tuple[set[str], str]:
    """The codes that were read, and what comes of logging them all as everything."""
    understood = understand(summarize(io.BytesIO(text.encode()), name="trip.log"), "us")
    places = dict.fromkeys(understood.senders, UNIT)
    rows = code_rows(understood.codes, None, usual=places, logged=LoggedFrom([], []))
    assert all(row.is_taken for row in rows)
    read = {row.heard.code.text for row in rows}
    try:
        units = units_chosen(understood, rows, places, extent="all")
    except Refused:
        return read, "refused"
    if not units:
        return read, "nothing"
    assert all(one.is_complete and {seen.code.text for seen in one.codes} == read for one in units)
    return read, "asked" if doubt_about_log(understood, rows, units) else "complete"


@pytest.mark.parametrize("loss", [0.0, 0.02, 0.1, 0.4])
def test_no_log_is_everything_with_fewer_codes_than_were_sent(loss):
    became = []
    for seed in range(150):
        dice = random.Random(seed)
        codes, frames = sent(dice)
        read, outcome = logged(damaged(frames, dice, loss))
        assert read <= codes, seed
        assert outcome != "complete" or read == codes, seed
        became.append(outcome)
    if not loss:
        assert set(became) == {"complete"}
    assert became.count("complete") >= (10 if loss < 0.4 else 1)


def test_an_announcement_that_is_always_lost_or_a_packet_that_is_leaves_nothing_proven():
    for seed in range(40):
        codes, frames = sent(random.Random(seed))
        for mark in ("#20", "#01", "#02"):
            left = [(time, frame) for time, frame in frames if not frame.startswith("1C") or mark not in frame[:11]]
            if len(left) == len(frames):
                continue
            read, outcome = logged("".join(f"({time:.6f}) can0 {frame}\n" for time, frame in left))
            assert outcome != "complete", (seed, mark)
            assert read <= codes
