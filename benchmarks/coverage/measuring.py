"""A world repeated, and the figures as a table."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

SEED = 20_261_127
Trial = Callable[[Generator], bool | None]


@dataclass(frozen=True)
class Scenario:
    """One interval in one world. The trial says whether it held, or None where there was no interval."""

    interval: str
    world: str
    trial: Trial


@dataclass(frozen=True)
class Covered:
    """What came of a scenario."""

    scenario: Scenario
    told: int
    held: int
    silent: int

    @property
    def share(self) -> float:
        """Of the intervals that were told, how many held."""
        return self.held / self.told if self.told else math.nan

    @property
    def error(self) -> float:
        """The standard error that a share of 95 % has over so many."""
        return math.sqrt(0.95 * 0.05 / self.told) if self.told else math.nan

    @property
    def is_met(self) -> bool:
        """Whether it is 95 % within three standard errors, or more."""
        return not self.told or self.share >= 0.95 - 3 * self.error - 0.01


def measure(scenario: Scenario, repetitions: int, *, seed: int = SEED) -> Covered:
    """Repeat a scenario, each with numbers of its own."""
    rng = np.random.default_rng([seed, *scenario.interval.encode(), *scenario.world.encode()])
    answers = [scenario.trial(rng) for _ in range(repetitions)]
    told = [answer for answer in answers if answer is not None]
    return Covered(scenario, len(told), sum(told), len(answers) - len(told))


def table(found: Sequence[Covered]) -> list[str]:
    """The figures, as Markdown."""
    return [
        "| interval (95 %) | in a world of | held | of those told | no interval |",
        "| --- | --- | ---: | ---: | ---: |",
        *(
            f"| {one.scenario.interval} | {one.scenario.world} | {_share(one)} | {one.told:,} | {one.silent:,} |"
            for one in found
        ),
    ]


def _share(one: Covered) -> str:
    if not one.told:
        return "not told"
    return f"{one.share:.1%}" if one.is_met else f"**{one.share:.1%}**"
