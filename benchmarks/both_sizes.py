"""Pages at two sizes of a shop: the one frame of ``benchmarks.money`` and ``benchmarks.service_due``.

Each page is asked for in turns with a bare page and with the other size, by the server of ``benchmarks.server``; what
is compared is time on processors, of the process that answers and of the database's process that works for it.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psycopg

from benchmarks.ground import own_environment, set_up_django, with_database
from benchmarks.layout import Layout
from benchmarks.measuring import BARE, Asked, Measured, Samples
from shopfloor.database import ROOT

LIST, OTHER, GROWTH = 3.0, 6.0, 1.2
WHOLE = 10_000.0
"""What grows with what is asked for, because all of it is, has no goal against a page."""
WARMING = 2
OLD_JOBS = 500
Tell = Callable[[str], object]


@dataclass(frozen=True)
class Looked:
    """A page, with the goal against a bare one. ``{old}`` is a job's number that is there at both sizes."""

    label: str
    path: str
    goal: float = OTHER


@dataclass(frozen=True)
class Bench:
    """What is measured. ``module`` fills the database that the environment names with so many of what is ``counted``.

    ``databases`` are the small and the large one, ``old_jobs`` says how many jobs that have ended a size has at least.
    """

    title: str
    counted: str
    module: str
    databases: tuple[str, str]
    pages: Sequence[Looked]
    usual: int
    old_jobs: Callable[[int], int] = lambda _: OLD_JOBS

    def run(self, size: int, rounds: int, var: Path, tell: Tell, *, keep: bool) -> list[Measured]:
        """Fill both shops in databases of the benchmark's own in ``var``, measure, and tell the table."""
        from shopfloor.postgres import EmbeddedPostgres

        server = EmbeddedPostgres(var / "postgresql")
        url = server.acquire()
        try:
            environments = {}
            for name, count in zip(self.databases, (size // 10, size), strict=True):
                environments[name] = own_environment(var) | {"DATABASE_URL": with_database(url, name)}
                tell(f"{name}: {self._fill(url, name, count, environments[name], var / f'{name}.json', keep=keep)}")
            measured = self._measure(environments, rounds, tell, min(OLD_JOBS, self.old_jobs(size // 10)))
        finally:
            server.release()
        for line in self.table(measured, size, rounds):
            tell(line)
        return measured

    def main(self, says: str | None) -> None:
        """Fill two databases of the benchmark's own, and print every ratio with its goal."""
        parser = argparse.ArgumentParser(prog=f"python -m {self.module.removesuffix('_filling')}", description=says)
        parser.add_argument(f"--{self.counted}", dest="size", type=int, default=self.usual)
        parser.add_argument("--rounds", type=int, default=15)
        parser.add_argument("--keep", action="store_true", help="measure what an earlier run of this size filled")
        asked = parser.parse_args()
        set_up_django()
        from django.conf import settings

        def tell(sentence: str) -> None:
            print(sentence, flush=True)

        self.run(asked.size, asked.rounds, settings.VAR / "bench", tell, keep=asked.keep)

    def _fill(self, url: str, name: str, size: int, environment: dict[str, str], mark: Path, *, keep: bool) -> str:
        """Make and fill one database, and say what is in it; the mark remembers what was filled whole."""
        if keep and mark.exists() and json.loads(mark.read_text()) == size:
            command = [sys.executable, str(ROOT / "manage.py"), "migrate", "--verbosity=0"]
            subprocess.run(command, env=environment, check=True)
            return f"kept as it was filled before, {size:,} {self.counted}."
        mark.unlink(missing_ok=True)
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            connection.execute(f"CREATE DATABASE {name}")
        command = [sys.executable, "-m", self.module, str(size)]
        done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=False)
        if done.returncode:
            raise RuntimeError(f"{name} could not be filled; what went wrong stands above.")
        said = json.loads(done.stdout.splitlines()[-1])
        mark.write_text(json.dumps(size))
        counted = ", ".join(f"{count:,} {what}" for what, count in said["counts"].items())
        return f"filled in {said['seconds']:.0f} s: {counted}."

    def _measure(
        self, environments: dict[str, dict[str, str]], rounds: int, tell: Tell, old_jobs: int
    ) -> list[Measured]:
        """Every page at both sizes, in turns with the bare page: the first environment is the small one."""
        small, large = environments
        shop = Layout(1, 1, 1)
        both = {name: Asked(environment, shop) for name, environment in environments.items()}
        samples: dict[tuple[str, str], Samples] = defaultdict(Samples)
        bare: dict[str, Samples] = defaultdict(Samples)
        began = time.monotonic()
        try:
            for name, server in both.items():
                bare[name].count(server.ask(BARE, count=True))
                for page in self.pages:
                    for number in range(WARMING):
                        server.ask(address(page, number, old_jobs))
                        samples[page.path, name].count(server.ask(address(page, number, old_jobs), count=True))
            for number in range(rounds):
                for page in self.pages:
                    for name, server in sorted(both.items(), reverse=number % 2 == 0):
                        bare[name].add(server.ask(BARE))
                        samples[page.path, name].add(server.ask(address(page, number, old_jobs)))
        finally:
            for server in both.values():
                server.close()
        tell(f"pages measured in {time.monotonic() - began:.0f} s.")
        framed = Measured("the bare page itself", "bare", bare[small], bare[large], bare[large])
        return [framed] + [
            Measured(
                page.label, page.label, samples[page.path, small], samples[page.path, large], bare[large], page.goal
            )
            for page in self.pages
        ]

    def table(self, measured: Sequence[Measured], size: int, rounds: int) -> list[str]:
        """The figures as they stand in ``benchmarks/README.md``."""
        lines = [
            f"{self.title}. Large: {size:,} {self.counted}. Small: {size // 10:,}. Medians of {rounds}, on processors.",
            "",
            "| page | ms | against a bare page | goal | growth (goal ≤ 1.2) | queries | rows | KB |",
            "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
        ]
        return [*lines, *(row_of(one) for one in measured)]


def row_of(one: Measured) -> str:
    """One line of the table; what is asked for whole has no goal."""
    growth = one.growth("cpu")
    against = ["", "none set", f"{growth:.2f}"]
    if one.goal < WHOLE:
        against = [_judged(one.ratio("cpu"), one.goal), f"{one.goal:.0f}", _judged(growth, GROWTH)]
    cells = [one.label, f"{one.milliseconds('cpu'):,.1f}", *against, one.queries, one.rows]
    return f"| {' | '.join(cells)} | {one.large.size / 1024:,.0f} |"


def address(page: Looked, number: int, old_jobs: int) -> str:
    """Where a page is in a round: another job each time, of those that are there at both sizes."""
    today = datetime.now(UTC).date()
    return (
        page.path.replace("{old}", str(1001 + number * 7 % old_jobs))
        .replace("{from}", str(today - timedelta(days=14)))
        .replace("{year}", str(today - timedelta(days=364)))
        .replace("{today}", str(today))
    )


def _judged(value: float, goal: float) -> str:
    return f"{value:.2f}" if value <= goal else f"**{value:.2f}** missed"
