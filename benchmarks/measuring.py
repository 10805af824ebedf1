"""Asks the servers of both sizes in turns, so that a busy moment of the machine falls on all that is compared."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from benchmarks.layout import Layout
from benchmarks.pages import MIDDLE, PAGES, hull_of_round

BARE = "/bench/bare/"
WARMING = 3


class Asked:
    """A server of one size, in a process of its own."""

    def __init__(self, environment: dict[str, str], shop: Layout) -> None:
        self.shop = shop
        self.process = subprocess.Popen(
            [sys.executable, "-m", "benchmarks.server"],
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        told = self._read()
        self.session: str = told["session"]
        self.middle: str = told["middle"]

    def ask(self, address: str, *, count: bool = False) -> dict[str, Any]:
        """One request's cost, or the number of its queries."""
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps({"address": address, "count": count}) + "\n")
        self.process.stdin.flush()
        answer = self._read()
        if not count and answer["status"] != 200:
            raise RuntimeError(f"{address} answered {answer['status']}.")
        return answer

    def address(self, page: int, round_number: int) -> str:
        """Where a page is in a round."""
        address = PAGES[page].address(hull_of_round(round_number, self.shop))
        return self.middle if address == MIDDLE else address

    def _read(self) -> dict[str, Any]:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise RuntimeError("The measured server ended; what went wrong stands above.")
        answer: dict[str, Any] = json.loads(line)
        return answer

    def close(self) -> None:
        """Let it end."""
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(30)


@dataclass
class Samples:
    """Seconds of one page at one size, the queries it asks, the rows they give, and its bytes."""

    page_wall: list[float] = field(default_factory=list)
    page_cpu: list[float] = field(default_factory=list)
    queries: set[int] = field(default_factory=set)
    rows: set[int] = field(default_factory=set)
    size: int = 0

    def add(self, page: dict[str, Any]) -> None:
        """One more."""
        self.page_wall.append(page["wall"])
        self.page_cpu.append(page["cpu"])
        self.size = max(self.size, page["bytes"])

    def count(self, page: dict[str, Any]) -> None:
        """What it asked for."""
        self.queries.add(page["queries"])
        self.rows.add(page["rows"])


@dataclass(frozen=True)
class Measured:
    """One page at both sizes. The bare page's figure is the median of all that were asked for at the same size."""

    label: str
    short: str
    small: Samples
    large: Samples
    bare: Samples
    goal: float = 3.0

    def ratio(self, clock: str) -> float:
        """Against the bare page, in the large shop."""
        return _median(self.large, f"page_{clock}") / _median(self.bare, f"page_{clock}")

    def growth(self, clock: str) -> float:
        """The large shop's page against the small one's."""
        return _median(self.large, f"page_{clock}") / _median(self.small, f"page_{clock}")

    @property
    def queries(self) -> str:
        """How many queries it asks in the small shop and in the large one; one number where it is the same."""
        return " / ".join(dict.fromkeys("–".join(map(str, sorted(s.queries))) for s in (self.small, self.large)))

    @property
    def rows(self) -> str:
        """How many rows those queries give, said in the same way."""
        return " / ".join(dict.fromkeys("–".join(map(str, sorted(s.rows))) for s in (self.small, self.large)))

    def milliseconds(self, clock: str) -> float:
        """In the large shop."""
        return 1000 * _median(self.large, f"page_{clock}")


def _median(samples: Samples, name: str) -> float:
    return float(statistics.median(getattr(samples, name)))


def measure(small: Asked, large: Asked, rounds: int, tell: Callable[[str], object]) -> list[Measured]:
    """Every page, in turns with the bare page and with the other size."""
    both = {"small": small, "large": large}
    samples: dict[tuple[int, str], Samples] = defaultdict(Samples)
    bare: dict[str, Samples] = defaultdict(Samples)
    for number in range(WARMING):
        for server in both.values():
            for page in range(len(PAGES)):
                server.ask(BARE)
                server.ask(server.address(page, number))
    for size, server in both.items():
        bare[size].count(server.ask(BARE, count=True))
    for page in range(len(PAGES)):
        for size, server in both.items():
            for number in range(3):
                counted = server.ask(server.address(page, number), count=True)
                samples[page, size].count(counted)
    for number in range(rounds):
        for page in range(len(PAGES)):
            for size, server in sorted(both.items(), reverse=number % 2 == 0):
                bare[size].add(server.ask(BARE))
                samples[page, size].add(server.ask(server.address(page, number)))
        if number + 1 == rounds // 2:
            tell(f"half of {rounds} rounds done")
    framed = Measured("the bare page itself", "bare", bare["small"], bare["large"], bare["large"])
    return [framed] + [
        Measured(page.label, page.short, samples[index, "small"], samples[index, "large"], bare["large"], page.goal)
        for index, page in enumerate(PAGES)
    ]
