"""A trip's CAN log in one pass against the plain decoding of every frame by the nmea2000 package, and its memory.

``python -m benchmarks.can_log`` makes a log, measures both in processes of their own, in turns, and prints the figures;
``--seconds 3600`` makes a whole hour of it. ``--json`` says them to a program. It needs no database.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib import import_module
from pathlib import Path

GOAL, MEMORY_GOAL = 5.0, 200.0
FORMATS = (".log", ".asc", ".blf", ".trc")


@dataclass(frozen=True)
class Pass:
    """One process: frames, seconds by the clock and of the processor without loading, and its peak in megabytes."""

    frames: int
    decoded: int
    seconds: float
    cpu: float
    peak: float


@dataclass(frozen=True)
class Figures:
    """Medians of one pass and of the plain decoding, in turns, and the processor's frames a second in each format."""

    frames: int
    decoded: int
    megabytes: float
    wall: float
    cpu: float
    plain_wall: float
    plain_cpu: float
    peak: float
    by_format: dict[str, float]

    @property
    def ratio(self) -> float:
        """Frames a second of the one pass against those of the plain decoding, by the clock."""
        return self.plain_wall / self.wall

    @property
    def ratio_cpu(self) -> float:
        """The same in the processor's time."""
        return self.plain_cpu / self.cpu


def _in_one_pass(path: Path) -> tuple[int, int]:
    from engineering.canlog import summarize

    with path.open("rb") as stream:
        summary = summarize(stream, name=path.name, size=path.stat().st_size)
    return summary.frames, summary.decoded_frames


def _plainly(path: Path) -> tuple[int, int]:
    """Every frame by the package, line by line, as its own documentation has it; what comes out is dropped."""
    from nmea2000 import NMEA2000Decoder

    decoder, frames, messages = NMEA2000Decoder(), 0, 0
    with path.open(encoding="ascii") as lines:
        for line in lines:
            frames += 1
            messages += decoder.decode(line) is not None
    return frames, messages


_WORKS: dict[str, Callable[[Path], tuple[int, int]]] = {"pass": _in_one_pass, "plain": _plainly}


def _load() -> None:
    """Import what the work needs: loading is no part of it."""
    for name in ("engineering.canlog.passing", "nmea2000.backend"):
        import_module(name)


def _work(work: str, path: Path) -> Pass:
    _load()
    wall, cpu = time.perf_counter(), time.process_time()
    frames, decoded = _WORKS[work](path)
    took = time.perf_counter() - wall, time.process_time() - cpu
    with open("/proc/self/status", encoding="ascii") as file:
        lines = dict(line.split(":", 1) for line in file)
    return Pass(frames, decoded, *took, int(lines["VmHWM"].split()[0]) / 1024)


def _in_a_process(work: str, path: Path) -> Pass:
    command = [sys.executable, "-m", "benchmarks.can_log", "--work", work, str(path)]
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, check=True)
    return Pass(**json.loads(done.stdout))


def _convert(path: Path, folder: Path) -> list[Path]:
    """The log in the other formats, by python-can."""
    import can

    paths = [folder / f"same{ending}" for ending in FORMATS]
    writers = [can.Logger(one) for one in paths]
    for message in can.LogReader(path):
        message.channel = int(str(message.channel)[3:])
        for writer in writers:
            writer(message)
    for writer in writers:
        writer.stop()
    return paths


def measure(seconds: int = 600, rounds: int = 5) -> Figures:
    """Medians of both on a log of so many seconds, and each format on a minute of it."""
    from benchmarks.trip_log import write_trip

    with tempfile.TemporaryDirectory() as folder:
        path, minute = Path(folder) / "trip.log", Path(folder) / "minute.log"
        write_trip(path, seconds)
        write_trip(minute, min(seconds, 60))
        passes: dict[str, list[Pass]] = {work: [] for work in _WORKS}
        for _ in range(rounds):
            for work, done in passes.items():
                done.append(_in_a_process(work, path))
        formats = {one.suffix: _in_a_process("pass", one) for one in _convert(minute, Path(folder))}
        size = path.stat().st_size / 2**20
    ours, plain = ([_median(passes[work], clock) for clock in ("seconds", "cpu")] for work in ("pass", "plain"))
    first, peak = passes["pass"][0], max(one.peak for one in passes["pass"])
    by_format = {ending: one.frames / one.cpu for ending, one in formats.items()}
    return Figures(first.frames, first.decoded, size, ours[0], ours[1], plain[0], plain[1], peak, by_format)


def _median(passes: list[Pass], clock: str) -> float:
    return statistics.median(float(getattr(one, clock)) for one in passes)


def table(figures: Figures, rounds: int) -> list[str]:
    """The figures, as Markdown."""
    missed = " **missed**" if figures.ratio < GOAL else ""
    speeds = [f"{figures.frames / took:,.0f}" for took in (figures.wall, figures.plain_wall)]
    formats = ", ".join(f"{ending[1:]} {speed:,.0f}" for ending, speed in figures.by_format.items())
    return [
        "",
        "| a trip's CAN log | figure | goal |",
        "| --- | --- | --- |",
        f"| one pass over {figures.frames:,} frames ({figures.megabytes:.0f} MB of candump; {figures.decoded:,} carry "
        f"what is decoded) against every frame decoded by nmea2000, medians of {rounds} in turns | {speeds[0]} against "
        f"{speeds[1]} frames/s: {figures.ratio:.1f} wall, {figures.ratio_cpu:.1f} processor{missed} "
        f"| at least {GOAL:.0f} |",
        f"| peak memory of that process | {figures.peak:.0f} MB | at most {MEMORY_GOAL:.0f} |",
        f"| frames in a second of the processor, the same minute in each format | {formats} | none set |",
    ]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=600)
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--work", nargs=2, metavar=("WORK", "LOG"), help="one piece of work in this process")
    asked = parser.parse_args()
    if asked.work:
        print(json.dumps(asdict(_work(asked.work[0], Path(asked.work[1])))))
        return
    figures = measure(asked.seconds, asked.rounds)
    print(json.dumps(asdict(figures)) if asked.json else "\n".join(table(figures, asked.rounds)))


if __name__ == "__main__":
    main()
