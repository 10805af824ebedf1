"""What a calculation about recurrence refuses, and what it answers when the record is too thin."""

from __future__ import annotations

import math
from dataclasses import dataclass


class RecurrenceProblem(ValueError):  # noqa: N818 - named after what it tells the user
    """An input that makes no sense; ``sentence`` says how to mend it, ``field`` is the argument it is about."""

    def __init__(self, sentence: str, *, field: str = "") -> None:
        """Keep the sentence for the field it belongs to."""
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


@dataclass(frozen=True, slots=True)
class NotEnough:
    """The answer where the record is too thin for one: ``sentence`` begins with "Not enough data" and says why."""

    sentence: str


def refuse_unless_finite(value: float, what: str, *, field: str, above: float | None = None) -> None:
    """Refuse NaN, infinity, and negative values; with ``above``, that value as well.

    Raises:
        RecurrenceProblem: with a sentence that begins with ``what``.
    """
    if not math.isfinite(value):
        raise RecurrenceProblem(f"{what} must be an ordinary number.", field=field)
    if above is not None and value <= above:
        raise RecurrenceProblem(f"{what} must be more than {above:g}.", field=field)
    if value < 0:
        raise RecurrenceProblem(f"{what} cannot be negative.", field=field)


def refuse_unless_confidence(confidence: float) -> None:
    """Refuse a confidence that is not between 50 % and 99.99 %.

    Raises:
        RecurrenceProblem: naming the range.
    """
    if not (math.isfinite(confidence) and 0.5 <= confidence <= 0.9999):
        raise RecurrenceProblem("Choose a confidence from 50 % to 99.99 %.", field="confidence")
