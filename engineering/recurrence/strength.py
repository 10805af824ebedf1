"""How strong evidence is, in words that a shop's manager understands."""

from __future__ import annotations

from enum import StrEnum


class Strength(StrEnum):
    """What a two-sided p-value is worth. The three borders (1 %, 5 %, 10 %) are common practice, no source."""

    STRONG = "strong evidence"
    FAIR = "fair evidence"
    WEAK = "a weak hint"
    NONE = "no evidence either way"

    @property
    def says_something(self) -> bool:
        """Whether a person should hear of it as more than chance: strong or fair."""
        return self in (Strength.STRONG, Strength.FAIR)


def strength_of(p_value: float) -> Strength:
    """The strength of evidence of a two-sided p-value from 0 to 1."""
    for border, strength in ((0.01, Strength.STRONG), (0.05, Strength.FAIR), (0.10, Strength.WEAK)):
        if p_value <= border:
            return strength
    return Strength.NONE


def chance_words(p_value: float) -> str:
    """A p-value as a share of 100: "less than 1 in 100", "about 9 in 100", "nearly 100 in 100"."""
    if p_value < 0.01:
        return "less than 1 in 100"
    if p_value >= 0.995:
        return "nearly 100 in 100"
    return f"about {round(p_value * 100)} in 100"
