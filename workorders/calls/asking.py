"""What customers are to be asked or told, by rooms that know: each question belongs to an open job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, TypeVar

from django.db.models import Exists, Model, QuerySet

from web.registry import Registry

T = TypeVar("T")
M = TypeVar("M", bound=Model)
CHARGED = "charged, with tax"
MOST = 200
"""So many questions of one kind are looked at."""


@dataclass(frozen=True)
class Scope:
    """What is asked about: open jobs, or those of them whose keys are given; so many of each kind.

    Without hours nothing is asked that has to be worked out from hours of work. ``cut`` gets a word of each question
    of which there was more than is looked at.
    """

    jobs: Sequence[int] | None = None
    most: int = MOST
    with_hours: bool = True
    cut: list[str] = field(default_factory=list, compare=False)

    def first(self, found: Sequence[T] | QuerySet[Any, T], kind: str) -> list[T]:
        """The first of what was found, and a word in ``cut`` where there is more."""
        rows = list(found[: self.most + 1])
        if len(rows) > self.most:
            self.cut.append(kind)
        return rows[: self.most]

    def among(self, found: QuerySet[M], name: str) -> QuerySet[M]:
        """The same rows, or those of the jobs that are given; ``name`` is the column of the job."""
        return found if self.jobs is None else found.filter(**{f"{name}__in": self.jobs})


@dataclass(frozen=True)
class Ask:
    """One question. ``words`` name no sum: that is for those who see prices."""

    job_id: int
    key: str
    words: str
    sum: Decimal | None = None
    sum_is: str = ""
    """What the sum is: “estimate, with tax”. That of a job’s charges, ``CHARGED``, is added up where it is shown."""


@dataclass(frozen=True)
class Source:
    """A room that asks: of all open jobs, or of those whose keys are given, in a fixed number of queries."""

    name: str
    asks: Callable[[Scope], Sequence[Ask]]
    position: int


Priced = Callable[[], Exists]
_priced: list[Priced] = []


def counts_as_priced(told: Priced) -> None:
    """Have something of a floor above count as a price: a question over jobs, whose key is ``pk`` outside."""
    _priced.append(told)


def priced_elsewhere() -> list[Exists]:
    """Each of these questions."""
    return [told() for told in _priced]


_sources: Registry[Source] = Registry(lambda source: source.name)
register = _sources.register


def asks(scope: Scope) -> list[Ask]:
    """Every question, in the order of the rooms."""
    return [ask for source in _sources.in_order() for ask in source.asks(scope)]
