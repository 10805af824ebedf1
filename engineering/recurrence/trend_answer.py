"""What a test for a trend answers: which way the events go, with what chance, and in a sentence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from engineering.recurrence.events import occasion_words
from engineering.recurrence.strength import Strength, chance_words, strength_of


class Direction(StrEnum):
    """Which way the events go."""

    MORE_OFTEN = "more often"
    LESS_OFTEN = "less often"
    STEADY = "neither more nor less often"


@dataclass(frozen=True, slots=True)
class TrendTest:
    """A test's answer. ``statistic`` has no unit; ``events`` are those that it used.

    ``p_one_sided`` is for the direction that the record leans to, ``p_value`` two-sided.
    """

    name: str
    statistic: float
    p_value: float
    p_one_sided: float
    leans: Direction
    events: int
    occasions: int | None = None
    """On how many occasions they came, where some came less than an hour apart; None where none did."""

    @property
    def counted(self) -> str:
        """What it used: "5 events", "5 events on 4 occasions"."""
        return f"{self.events} events" + (f" on {occasion_words(self.occasions)}" if self.occasions else "")

    @property
    def strength(self) -> Strength:
        """What the two-sided p-value is worth."""
        return strength_of(self.p_value)

    @property
    def direction(self) -> Direction:
        """The direction, where the evidence says something; else steady, as far as is known."""
        return self.leans if self.strength.says_something else Direction.STEADY

    @property
    def sentence(self) -> str:
        """The answer for a person."""
        chance = f"such a record comes by chance {chance_words(self.p_value)} times"
        if self.strength is Strength.NONE:
            return f"No trend is seen in the {self.counted} ({chance})."
        kind = self.strength.value.capitalize()
        return f"{kind} that it comes {self.leans} ({chance}, from {self.counted})."

    @property
    def chance_sentence(self) -> str:
        """What the test found, without a verdict: that is given once, where several tests are weighed together."""
        return f"such a record comes by chance {chance_words(self.p_value)} times, from {self.counted}."

    @property
    def seen_sentence(self) -> str:
        """The same where events are only known to lie between two looks, and others would say something else."""
        if self.strength is Strength.NONE:
            return self.sentence
        said = self.sentence.replace("it comes", "it is seen").removesuffix(".")
        return (
            f"{said}. Each time it came back somewhere between two scans, so that it may only have been looked at so."
        )
