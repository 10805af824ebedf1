"""What became of an estimate that was given: said by whoever keeps the answers of customers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from uuid import UUID

from billing.estimates.models import Estimate
from staff.models import Person
from web.registry import Providers


@dataclass(frozen=True)
class StandingAnswer:
    """The last answer of a customer that was not withdrawn, by the keys of lines and options.

    ``taken`` has every key that was answered; ``otherwise`` the options in place of which another was taken. ``words``
    begin a sentence: who, how and when.
    """

    revision: int
    words: str
    taken: Mapping[UUID, bool]
    otherwise: Collection[UUID] = frozenset()


Tells = Callable[[Estimate], str]
Answers = Callable[[Estimate], StandingAnswer | None]
Charged = Callable[[Person, Estimate, Collection[UUID]], None]

_tells: Providers[Tells] = Providers()
_answers: Providers[Answers] = Providers()
_charged: Providers[Charged] = Providers()


def register(told: Tells) -> None:
    """Have an estimate's page say what was answered: a sentence, or nothing where nobody answered that version."""
    _tells.register(told)


def answer_words(estimate: Estimate) -> str:
    """What was answered to a version that was given; empty where no answer is known."""
    return " ".join(words for told in _tells if (words := told(estimate)))


def register_answers(answers: Answers) -> None:
    """Have what is charged follow the answer that stands; none where the customer answered no version of the job."""
    _answers.register(answers)


def standing_answer(estimate: Estimate) -> StandingAnswer | None:
    """The answer that stands on the job of a version that was given."""
    return next((found for one in _answers if (found := one(estimate)) is not None), None)


def register_charged(charged: Charged) -> None:
    """Be told, inside its transaction, of the lines of a version that were put on the job, by their keys."""
    _charged.register(charged)


def tell_charged(by: Person, estimate: Estimate, keys: Collection[UUID]) -> None:
    """Lines of a version were put on the job."""
    for one in _charged:
        one(by, estimate, keys)
