"""Taking a boat in at the counter: customer, boat, engines and job, all of it or nothing."""

from __future__ import annotations

import uuid
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from vessels.actions import add_customer, add_engine, add_vessel
from vessels.log.chain import following_id
from vessels.models import Customer, Engine
from workorders.actions.opening import open_job
from workorders.models import Job


@command(
    "take_in",
    needs=Permission.OPEN_JOBS,
    parts={
        "customer": ("add_customer",),
        "boat": ("add_vessel", "owner"),
        "engines": ("add_engine", "vessel"),
        "arrival": ("open_job", "vessel", "concerns"),
    },
)
def take_in(
    *,
    by: Person,
    customer: Customer | Mapping[str, Any],
    boat: Mapping[str, Any],
    engines: Sequence[Mapping[str, Any]] = (),
    concerns: Sequence[tuple[str, int | None]],
    entry_id: uuid.UUID,
    **arrival: Any,
) -> Job:
    """Open a job for a boat that is new here, for a customer on record or a new one.

    ``customer``, ``boat`` and each of ``engines`` are what their adding actions are called with. A concern names its
    engine by place in ``engines``. ``arrival`` is what ``open_job`` takes besides.

    Raises:
        Refused: ``fields`` begin with ``customer-``, ``boat-`` or ``engine-0-``, or are those of ``open_job``.
    """
    if not isinstance(customer, Customer):
        with naming("customer", {"number": "phone"}):
            customer = add_customer(by=by, **customer)
    with naming("boat"):
        vessel = add_vessel(**{**boat, "by": by, "owner": customer, "entry_id": following_id(entry_id, "boat")})
    fitted: list[Engine] = []
    for index, told in enumerate(engines):
        with naming(f"engine-{index}", {"shown": "meter_shown"}):
            again = following_id(entry_id, f"engine-{index}")
            fitted.append(add_engine(**{**told, "by": by, "vessel": vessel, "entry_id": again}))
    return open_job(
        by=by,
        vessel=vessel,
        concerns=[(text, fitted[place] if place is not None else None) for text, place in concerns],
        entry_id=entry_id,
        **arrival,
    )


@contextmanager
def naming(part: str, renamed: Mapping[str, str] | None = None) -> Iterator[None]:
    """Name the fields of a refusal by the part of the screen that they are on."""
    try:
        yield
    except Refused as refusal:
        fields = {f"{part}-{(renamed or {}).get(name, name)}": text for name, text in refusal.fields.items()}
        raise Refused(refusal.sentence, fields=fields) from refusal
