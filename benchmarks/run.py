"""The whole benchmark: fill both shops, measure in turns, say what came out as tables for ``benchmarks/README.md``."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path

import psutil
import psycopg

from benchmarks import can_log, fleet, money, service_due
from benchmarks.ground import FLEET, LARGE, SMALL, own_environment, with_database
from benchmarks.layout import Layout, layouts
from benchmarks.measuring import Asked, Measured, measure
from benchmarks.pages import PAGES
from benchmarks.report_pdf import Figures
from benchmarks.web_memory import Memory, worker_memory
from shopfloor.database import ROOT

GROWTH_GOAL, REPORT_GOAL = 1.2, 1.5
MEMORY_ROUNDS = 10


@dataclass(frozen=True)
class Wanted:
    """What to measure. ``keep`` measures what an earlier run filled, if it is of this size."""

    hulls: int = 10_000
    entries: int = 1_000_000
    rounds: int = 40
    report_rounds: int = 31
    sightings: int = 1_000_000
    fleet_rounds: int = 9
    trip_seconds: int = 600
    trip_rounds: int = 5
    jobs: int = 100_000
    adoptions: int = 20_000
    money_rounds: int = 15
    keep: bool = False


def run(wanted: Wanted, var: Path, tell: Callable[[str], object]) -> None:
    """Measure everything on a database of the benchmark's own in ``var``, and tell the figures."""
    from shopfloor.postgres import EmbeddedPostgres

    small, large = layouts(wanted.hulls, wanted.entries)
    server = EmbeddedPostgres(var / "postgresql")
    url = server.acquire()
    try:
        environments = {
            name: own_environment(var) | {"DATABASE_URL": with_database(url, name)} for name in (SMALL, LARGE)
        }
        for name, shop in ((SMALL, small), (LARGE, large)):
            _fill(url, name, shop, environments[name], keep=wanted.keep, mark=var / f"{name}.json", tell=tell)
        pages, memory = _measure_pages(environments, small, large, wanted.rounds, tell)
        recurrence = _measure_fleet(url, var, wanted)
    finally:
        server.release()
    report = _measure_report(own_environment(var), wanted.report_rounds)
    for line in (
        *_table_of_pages(pages, small, large, wanted),
        *_table_of_the_rest(report, memory, wanted),
        *recurrence,
    ):
        tell(line)
    for line in can_log.table(can_log.measure(wanted.trip_seconds, wanted.trip_rounds), wanted.trip_rounds):
        tell(line)
    money.BENCH.run(wanted.jobs, wanted.money_rounds, var, tell, keep=wanted.keep)
    service_due.BENCH.run(wanted.adoptions, wanted.money_rounds, var, tell, keep=wanted.keep)


def _fill(
    url: str,
    name: str,
    shop: Layout,
    environment: dict[str, str],
    *,
    keep: bool,
    mark: Path,
    tell: Callable[[str], object],
) -> None:
    """Make and fill one database; the mark remembers what was filled whole."""
    if keep and mark.exists() and json.loads(mark.read_text()) == asdict(shop):
        _output([sys.executable, str(ROOT / "manage.py"), "migrate", "--verbosity=0"], environment)
        tell(f"{name}: kept as it was filled before, {shop.hulls:,} hulls, {shop.entries:,} log entries.")
        return
    mark.unlink(missing_ok=True)
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        connection.execute(f"CREATE DATABASE {name}")
    words = [str(number) for number in (shop.hulls, shop.entries, shop.long)]
    said = json.loads(_output([sys.executable, "-m", "benchmarks.filling", *words], environment))
    mark.write_text(json.dumps(asdict(shop)))
    counted = ", ".join(f"{count:,} {what}" for what, count in said["counts"].items())
    tell(f"{name}: filled in {said['seconds']:.0f} s and proven on a sample: {counted}.")


def _output(command: Sequence[str], environment: dict[str, str]) -> str:
    done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command[1:3])} failed; what went wrong stands above.")
    return done.stdout


def _measure_pages(
    environments: dict[str, dict[str, str]], small: Layout, large: Layout, rounds: int, tell: Callable[[str], object]
) -> tuple[list[Measured], Memory]:
    asked: list[Asked] = []
    try:
        asked.append(Asked(environments[SMALL], small))
        asked.append(Asked(environments[LARGE], large))
        began = time.monotonic()
        pages = measure(asked[0], asked[1], rounds, tell)
        tell(f"pages measured in {time.monotonic() - began:.0f} s.")
        addresses = [asked[1].address(page, number) for number in range(MEMORY_ROUNDS) for page in range(len(PAGES))]
        session = asked[1].session
    finally:
        for one in asked:
            one.close()
    return pages, worker_memory(environments[LARGE], session, addresses)


def _measure_fleet(url: str, var: Path, wanted: Wanted) -> list[str]:
    """Recurrence across the shop, on a database of its own that is filled anew each time."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE IF EXISTS {FLEET} WITH (FORCE)")
        connection.execute(f"CREATE DATABASE {FLEET}")
    words = [sys.executable, "-m", "benchmarks.fleet", str(wanted.sightings), str(wanted.fleet_rounds)]
    said = _output(words, own_environment(var) | {"DATABASE_URL": with_database(url, FLEET)})
    return fleet.table(fleet.Figures(**json.loads(said)), wanted.fleet_rounds)


def _measure_report(environment: dict[str, str], rounds: int) -> Figures:
    words = [sys.executable, "-m", "benchmarks.report_pdf", "--json", str(rounds)]
    return Figures(**json.loads(_output(words, environment)))


def _judged(value: float, goal: float) -> str:
    return f"{value:.2f}" if value <= goal else f"**{value:.2f}** missed"


def _table_of_pages(pages: Sequence[Measured], small: Layout, large: Layout, wanted: Wanted) -> list[str]:
    """The pages, as Markdown."""
    gigabytes = psutil.virtual_memory().total / 2**30
    lines = [
        "",
        f"{date.today():%Y-%m-%d}, {os.cpu_count()} cores, {gigabytes:.0f} GB of memory. "
        f"Large: {large.hulls:,} hulls, {large.entries:,} log entries. Small: {small.hulls:,} hulls, "
        f"{small.entries:,} log entries. The long log has {large.long:,}. Medians of {wanted.rounds}, in turns.",
        "",
        "| page | ms | against a bare page, wall (goal ≤ 3, job pages ≤ 6) | processor | growth, wall (goal ≤ 1.2) "
        "| processor | queries | KB |",
        "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
    ]
    for page in pages:
        cells = [
            page.label,
            f"{page.milliseconds('wall'):.1f}",
            *(_judged(page.ratio(clock), page.goal) for clock in ("wall", "cpu")),
            *(_judged(page.growth(clock), GROWTH_GOAL) for clock in ("wall", "cpu")),
            page.queries,
            f"{page.large.size / 1024:.0f}",
        ]
        lines.append(f"| {' | '.join(cells)} |")
    return lines


def _table_of_the_rest(report: Figures, memory: Memory, wanted: Wanted) -> list[str]:
    """Report and memory, as Markdown."""
    return [
        "",
        "| what | figure | goal |",
        "| --- | --- | --- |",
        f"| a signed report of {report.pages} pages against WeasyPrint alone on the same HTML, medians of "
        f"{wanted.report_rounds} in turns | {report.signed:.2f} s against {report.alone:.2f} s: "
        f"{_judged(report.ratio, REPORT_GOAL)} wall, {_judged(report.ratio_cpu, REPORT_GOAL)} processor "
        f"| at most {REPORT_GOAL} |",
        f"| peak memory of a web worker (`manage.py serve`, one worker), after {memory.answers:,} answers to eight at "
        f"once | {memory.peak:.0f} MB; {memory.at_rest:.0f} MB after its first answer | none set |",
        f"| peak memory of a process that draws and signs that report | {report.peak:.0f} MB | none set |",
    ]
