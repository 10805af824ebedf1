"""What customers are to be asked or told, by rooms that know: each question belongs to an open job."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, TypeVar

from web.registry import Registry

T = TypeVar("T")
CHARGED = "charged, with tax"
MOST = 200
"""So many questions of one kind are looked at."""
OF_JOBS = "(%(jobs)s::bigint[] IS NULL OR {} = ANY(%(jobs)s::bigint[]))"
"""In a hand-written question: of any job, or of those that a ``Scope`` names; the column of its key goes in."""


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

    @property
    def asked(self) -> dict[str, Any]:
        """What a hand-written question is given: ``jobs`` for ``OF_JOBS``, and ``most``, one more than is looked at."""
        return {"jobs": None if self.jobs is None else list(self.jobs), "most": self.most + 1}

    def first(self, found: Sequence[T], kind: str) -> list[T]:
        """The first of what was found, and a word in ``cut`` where there is more."""
        rows = list(found[: self.most + 1])
        if len(rows) > self.most:
            self.cut.append(kind)
        return rows[: self.most]


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


_priced: list[str] = []


def counts_as_priced(told: str) -> None:
    """Have something of a floor above count as a price: what is to be true of a ``job``, in SQL."""
    _priced.append(told)


def priced_elsewhere() -> list[str]:
    """Each of these."""
    return list(_priced)


_sources: Registry[Source] = Registry(lambda source: source.name)
register = _sources.register


def asks(scope: Scope) -> list[Ask]:
    """Every question, in the order of the rooms."""
    return [ask for source in _sources.in_order() for ask in source.asks(scope)]
