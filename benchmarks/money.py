"""``python -m benchmarks.money``: the pages of the money at 100,000 jobs and 1,000,000 charges, and at a tenth of it.

Each page is asked for in turns with a bare page and with the other size, by the server of ``benchmarks.server``; what
is compared is time on processors, of the process that answers and of the database's process that works for it.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import psycopg

from benchmarks.ground import own_environment, with_database
from benchmarks.layout import Layout
from benchmarks.measuring import BARE, Asked, Measured, Samples
from shopfloor.database import ROOT

SMALL, LARGE = "bench_money_small", "bench_money_large"
LIST, OTHER, GROWTH = 3.0, 6.0, 1.2
WARMING = 2


@dataclass(frozen=True)
class Looked:
    """A page, with the goal against a bare one. ``{old}`` is a job's number that is there at both sizes."""

    label: str
    path: str
    goal: float = OTHER


PAGES = [
    Looked("board", "/jobs/"),
    Looked("jobs list", "/jobs/list/", LIST),
    Looked("jobs list, by customer", "/jobs/list/?sort=customer", LIST),
    Looked("week", "/week/"),
    Looked("call list", "/calls/"),
    Looked("a job’s lines", "/jobs/{old}/lines/"),
    Looked("a job’s estimate", "/jobs/{old}/estimate/"),
    Looked("a job’s hours", "/jobs/{old}/hours/"),
    Looked("a job’s invoices", "/jobs/{old}/invoices/"),
    Looked("invoices: open", "/invoices/", LIST),
    Looked("invoices: all", "/invoices/?state=all", LIST),
    Looked("what is owed", "/invoices/aging/"),
    Looked("day book: two weeks", "/invoices/day-book/?first={from}&last={today}"),
    Looked("a customer’s money", "/customers/2/money/"),
    Looked("deferred work", "/deferred/", LIST),
    Looked("service due", "/service/", LIST),
    Looked("service due: to call", "/service/reminders/"),
    Looked("search: an invoice’s number", "/search/?q=INV-1500"),
    Looked("search: a customer’s name", "/search/?q=Customer+77"),
    Looked("figures: hours sold", "/insight/shop/hours/"),
    Looked("figures: comebacks", "/insight/shop/comebacks/"),
    Looked("figures: days in each state", "/insight/shop/states/"),
    Looked("figures: open estimates", "/insight/shop/estimates/"),
    Looked("figures: owed by age", "/insight/shop/owed/"),
    Looked("figures: sales by week", "/insight/shop/sales/"),
]


def run(jobs: int, rounds: int, var: Path, tell: Callable[[str], object], *, keep: bool = False) -> list[Measured]:
    """Fill both shops in databases of the benchmark's own in ``var``, measure, and tell the table."""
    from shopfloor.postgres import EmbeddedPostgres

    server = EmbeddedPostgres(var / "postgresql")
    url = server.acquire()
    try:
        environments = {}
        for name, size in ((SMALL, jobs // 10), (LARGE, jobs)):
            environments[name] = own_environment(var) | {"DATABASE_URL": with_database(url, name)}
            told = fill(url, name, size, environments[name], var / f"{name}.json", keep=keep)
            tell(f"{name}: {told}")
        measured = measure(environments, rounds, tell)
    finally:
        server.release()
    for line in table(measured, jobs, rounds):
        tell(line)
    return measured


def fill(
    url: str,
    name: str,
    jobs: int,
    environment: dict[str, str],
    mark: Path,
    *,
    keep: bool,
    module: str = "benchmarks.money_filling",
) -> str:
    """Make and fill one database, and say what is in it; the mark remembers what was filled whole."""
    if keep and mark.exists() and json.loads(mark.read_text()) == jobs:
        command = [sys.executable, str(ROOT / "manage.py"), "migrate", "--verbosity=0"]
        subprocess.run(command, env=environment, check=True)
        return f"kept as it was filled before, {jobs:,} jobs."
    mark.unlink(missing_ok=True)
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        connection.execute(f"CREATE DATABASE {name}")
    command = [sys.executable, "-m", module, str(jobs)]
    done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=False)
    if done.returncode:
        raise RuntimeError("The database of the money could not be filled; what went wrong stands above.")
    said = json.loads(done.stdout.splitlines()[-1])
    mark.write_text(json.dumps(jobs))
    counted = ", ".join(f"{count:,} {what}" for what, count in said["counts"].items())
    return f"filled in {said['seconds']:.0f} s: {counted}."


def measure(
    environments: dict[str, dict[str, str]],
    rounds: int,
    tell: Callable[[str], object],
    looked_at: Sequence[Looked] = PAGES,
) -> list[Measured]:
    """Every page at both sizes, in turns with the bare page: the first environment is the small one."""
    small, large = environments
    shop = Layout(1, 1, 1)
    both = {name: Asked(environment, shop) for name, environment in environments.items()}
    samples: dict[tuple[str, str], Samples] = defaultdict(Samples)
    bare: dict[str, Samples] = defaultdict(Samples)
    began = time.monotonic()
    try:
        pages = [page for page in looked_at if _is_there(page, both[small], tell)]
        for name, server in both.items():
            bare[name].count(server.ask(BARE, count=True))
            for page in pages:
                for number in range(WARMING):
                    server.ask(address(page, number))
                    samples[page.path, name].count(server.ask(address(page, number), count=True))
        for number in range(rounds):
            for page in pages:
                for name, server in sorted(both.items(), reverse=number % 2 == 0):
                    bare[name].add(server.ask(BARE))
                    samples[page.path, name].add(server.ask(address(page, number)))
    finally:
        for server in both.values():
            server.close()
    tell(f"pages measured in {time.monotonic() - began:.0f} s.")
    framed = Measured("the bare page itself", "bare", bare[small], bare[large], bare[large])
    return [framed] + [
        Measured(page.label, page.label, samples[page.path, small], samples[page.path, large], bare[large], page.goal)
        for page in pages
    ]


def _is_there(page: Looked, server: Asked, tell: Callable[[str], object]) -> bool:
    try:
        server.ask(address(page, 0))
    except RuntimeError as problem:
        tell(f"{page.label} is left out: {problem}")
        return False
    return True


def address(page: Looked, number: int) -> str:
    """Where a page is in a round: another job each time, the same ones at both sizes."""
    from datetime import UTC, datetime, timedelta

    today = datetime.now(UTC).date()
    return (
        page.path.replace("{old}", str(1001 + number * 7 % 500))
        .replace("{from}", str(today - timedelta(days=14)))
        .replace("{today}", str(today))
    )


def table(measured: Sequence[Measured], jobs: int, rounds: int) -> list[str]:
    """The figures as they stand in ``benchmarks/README.md``."""
    said = f"Jobs and money. Large: {jobs:,} jobs. Small: {jobs // 10:,}. Medians of {rounds}, on processors."
    return table_under(said, measured)


def table_under(said: str, measured: Sequence[Measured]) -> list[str]:
    """The same under another sentence."""
    lines = [
        said,
        "",
        "| page | ms | against a bare page | goal | growth (goal ≤ 1.2) | queries | rows | KB |",
        "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |",
    ]
    for one in measured:
        ratio, growth = one.ratio("cpu"), one.growth("cpu")
        lines.append(
            f"| {one.label} | {one.milliseconds('cpu'):.1f} | {_judged(ratio, one.goal)} | {one.goal:.0f} | "
            f"{_judged(growth, GROWTH)} | {one.queries} | {one.rows} | {one.large.size / 1024:.0f} |"
        )
    return lines


def _judged(value: float, goal: float) -> str:
    return f"{value:.2f}" if value <= goal else f"**{value:.2f}** missed"


def main() -> None:
    """Fill two databases of the benchmark's own, and print every ratio with its goal."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.money", description=__doc__)
    parser.add_argument("--jobs", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--keep", action="store_true", help="measure what an earlier run of this size filled")
    asked = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    import django

    django.setup()
    from django.conf import settings

    def tell(sentence: str) -> None:
        print(sentence, flush=True)

    run(asked.jobs, asked.rounds, settings.VAR / "bench", tell, keep=asked.keep)


if __name__ == "__main__":
    main()
