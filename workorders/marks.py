"""What floors above know of a job's charges, shown on the Lines tab: on which invoice one stands, what is credited.

Columns come along with the query of the charges, so that a page asks no more than without them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from staff.policy import Permission, may
from workorders.models import Charge, Job
from workorders.queries.sums import JobSum


@dataclass(frozen=True)
class Mark:
    """What is said of a charge: ``is_fixed`` where it cannot be voided here, and then ``words`` say why."""

    words: str
    url: str = ""
    is_fixed: bool = False


@dataclass(frozen=True)
class Marking:
    """Who marks charges: ``columns`` to read with them, ``mark`` of one, and ``told`` what stands under their total.

    ``told`` gets the job, its sum and the currency, and answers what ``template`` shows; None where there is nothing.
    ``total`` gets the same and answers what the job comes to, where that is not the total of its charges.
    """

    columns: Mapping[str, Any] = field(default_factory=dict)
    mark: Callable[[Charge], Mark | None] = lambda _: None
    template: str = ""
    told: Callable[[Job, JobSum, str], Any] = lambda *_: None
    total: Callable[[Job, JobSum, str], Decimal | None] = lambda *_: None
    permission: Permission = Permission.SEE_PRICES


_MARKINGS: list[Marking] = []


def register(marking: Marking) -> None:
    """Have charges marked."""
    if marking not in _MARKINGS:
        _MARKINGS.append(marking)


def columns() -> dict[str, Any]:
    """What is read with each charge."""
    return {name: column for one in _MARKINGS for name, column in one.columns.items()}


def mark(charges: JobSum) -> None:
    """Put ``mark`` and ``is_again`` beside each charge that was read with ``columns``."""
    mark_each(charges.every)


def mark_each(every: Sequence[Charge]) -> None:
    """The same for charges that are not summed."""
    again = {one.again_of_id for one in every if not one.is_struck}
    for one in every:
        found = (marking.mark(one) for marking in _MARKINGS)
        one.mark = next((mark for mark in found if mark is not None), None)  # type: ignore[attr-defined]
        one.is_again = one.pk in again  # type: ignore[attr-defined]


def total_of(job: Job, charges: JobSum, currency: str) -> Decimal:
    """What a job comes to whose charges were read with ``columns``: as ``workorders.worth`` tells it of many."""
    for one in _MARKINGS:
        total = one.total(job, charges, currency)
        if total is not None:
            return total
    return charges.totals.total


def told(reader: Any, job: Job, charges: JobSum, currency: str) -> list[tuple[str, Any]]:
    """What stands under the total of a job's charges for this reader: templates with what they show."""
    shown = []
    for one in _MARKINGS:
        if one.template and may(reader, one.permission):
            content = one.told(job, charges, currency)
            if content is not None:
                shown.append((one.template, content))
    return shown
