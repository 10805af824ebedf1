"""What became of an estimate that was given: said by whoever keeps the answers of customers."""

from __future__ import annotations

from collections.abc import Callable

from billing.estimates.models import Estimate
from web.registry import Providers

Tells = Callable[[Estimate], str]

_tells: Providers[Tells] = Providers()


def register(told: Tells) -> None:
    """Have an estimate's page say what was answered: a sentence, or nothing where nobody answered that version."""
    _tells.register(told)


def answer_words(estimate: Estimate) -> str:
    """What was answered to a version that was given; empty where no answer is known."""
    return " ".join(words for told in _tells if (words := told(estimate)))
