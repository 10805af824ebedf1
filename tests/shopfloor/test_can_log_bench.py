"""The bench of a trip's log: what it makes is what it says, and a goal that is missed is said to be."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from benchmarks.can_log import Figures, measure, table
from benchmarks.trip_log import write_trip

FIGURES = Figures(7_000_000, 500_000, 350.0, 3.0, 3.0, 33.0, 30.0, 89.0, {".log": 2_000_000.0})


def test_frames_a_second_are_held_against_the_plain_decoding() -> None:
    row = next(line for line in table(FIGURES, 3) if "one pass" in line)
    assert "2,333,333 against 212,121 frames/s: 11.0 wall, 10.0 processor | at least 5 |" in row


def test_a_goal_that_is_missed_is_said_to_be_missed() -> None:
    row = next(line for line in table(replace(FIGURES, wall=10.0), 3) if "one pass" in line)
    assert "3.3 wall, 10.0 processor **missed** | at least 5 |" in row


def test_the_same_seed_makes_the_same_trip(tmp_path: Path) -> None:
    counts = [write_trip(tmp_path / name, 2) for name in ("one.log", "two.log")]
    assert counts[0] == counts[1] == pytest.approx(4050, abs=60)
    assert (tmp_path / "one.log").read_bytes() == (tmp_path / "two.log").read_bytes()


@pytest.mark.slow
def test_both_ways_are_measured_in_processes_of_their_own() -> None:
    figures = measure(seconds=1, rounds=1)
    assert figures.frames == pytest.approx(2025, abs=60)
    assert set(figures.by_format) == {".log", ".asc", ".blf", ".trc"}
    assert min(figures.wall, figures.plain_wall, *figures.by_format.values()) > 0
    assert 20 < figures.peak < 200
