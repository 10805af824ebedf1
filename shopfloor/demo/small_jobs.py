"""Two small jobs: one under warranty, at no charge; one at time and materials, with a core that came back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from billing.authorizations.actions import note_authorization
from billing.authorizations.queries import standing_of
from billing.invoices.actions import make_invoice
from billing.invoices.pricing import priced
from billing.invoices.queries.jobs import charges_to_invoice
from shopfloor.demo.stage import Stage, scenario_id
from workorders.actions import add_charge, change_line, move_job, open_job, return_core
from workorders.models import Job

WARRANTY_AGO, BATTERY_AGO = 18, 2


def small_events() -> list[tuple[int, Callable[[Stage], object]]]:
    """Both, by the days ago on which they were done."""
    return [(WARRANTY_AGO, _under_warranty), (BATTERY_AGO, _new_battery)]


def _under_warranty(stage: Stage) -> None:
    """The filter of the last service weeps: tightened at no charge, and the customer has that on paper."""
    job = _opened(stage, "plover", WARRANTY_AGO, "Oil under the filter since the service.")
    _agreed(
        stage, job, WARRANTY_AGO, amount=Decimal(0), how="person",
        words="Under our warranty on the service: no charge for what the filter needs.",
    )  # fmt: skip
    _moved(stage, job, "authorized", "in-work")
    _said(
        stage, job, cause="Filter seated on a pinched seal.",
        correction="New seal, filter tightened by hand as its maker says; no oil after an hour at the dock.",
    )  # fmt: skip
    for index, (kind, words) in enumerate(
        [("labor", "Labor, under our warranty"), ("part", "Seal, under our warranty")]
    ):
        add_charge(
            by=stage.desk, job=job, line=job.lines.get(), kind=kind, description=words, unit_price=Decimal(0),
            quantity=Decimal("0.5") if kind == "labor" else Decimal(1),
            entry_id=scenario_id("warranty", index),
        )  # fmt: skip
    _moved(stage, job, "ready")
    worth = priced(job, charges_to_invoice(job), currency="USD").sums.total
    make_invoice(by=stage.desk, job=job, seen_total=worth, entry_id=scenario_id("warranty", "invoice"))
    _moved(stage, job, "closed")


def _new_battery(stage: Stage) -> None:
    """Work with no ceiling, by mail; it comes to more than was said to be likely. The old battery came back."""
    job = _opened(stage, "harmony", BATTERY_AGO, "Does not start. Find out why; we leave on Friday.")
    _agreed(
        stage, job, BATTERY_AGO, amount=Decimal(0), is_open=True, likely=Decimal("180.00"), how="message",
        words="Whatever it takes, at your usual rate. We are on the boat by Friday.",
    )  # fmt: skip
    _moved(stage, job, "authorized", "in-work")
    line = job.lines.get()
    _said(stage, job, cause="Start battery holds no charge: 9.6 V while cranking.", correction="New start battery.")
    told: list[dict[str, Any]] = [
        {"kind": "labor", "quantity": Decimal("1.2"), "description": "Starting circuit, and a new battery"},
        {"kind": "part", "part": stage.parts["BAT-0031"]},
        {"kind": "part", "description": "Core charge: start battery", "unit_price": Decimal("22.00"), "is_core": True},
    ]
    made = [
        add_charge(by=stage.desk, job=job, line=line, entry_id=scenario_id("battery", index), **one)
        for index, one in enumerate(told)
    ]
    stage.clock.turn(stage.clock.now() + timedelta(minutes=20))
    return_core(by=stage.desk, charge=made[-1], entry_id=scenario_id("battery", "core"))
    _moved(stage, job, "ready")


def _opened(stage: Stage, boat: str, days_ago: int, concern: str) -> Job:
    at = stage.clock.turn(stage.clock.at(days_ago, "08:40"))
    vessel = stage.boats[boat][1]
    engine = vessel.engines.order_by("pk").first()
    return open_job(
        by=stage.desk, vessel=vessel, concerns=[(concern, engine)], technician=stage.people["luz"],
        entry_id=scenario_id(boat, days_ago, "small"), happened_at=at,
    )  # fmt: skip


def _agreed(stage: Stage, job: Job, days_ago: int, **told: Any) -> None:
    stage.clock.turn(stage.clock.now() + timedelta(minutes=15))
    standing = standing_of(job)
    note_authorization(
        by=stage.desk, job=job, who=job.customer.contact or job.customer.name, said_at=stage.clock.now(),
        seen_total=standing.total, seen_authorized=standing.limit.authorized,
        entry_id=scenario_id("small", job.number, "agreed"), **told,
    )  # fmt: skip


def _moved(stage: Stage, job: Job, *states: str) -> None:
    for state in states:
        at = stage.clock.turn(stage.clock.now() + timedelta(minutes=25))
        job.refresh_from_db()
        move_job(
            by=stage.desk, job=job, to=state, seen_version=job.version, happened_at=at,
            reason="Agreed with the customer; see the authorization" if state == "authorized" else "",
            entry_id=scenario_id("small", job.number, state),
        )  # fmt: skip


def _said(stage: Stage, job: Job, **changes: str) -> None:
    line = job.lines.get()
    at = stage.clock.turn(stage.clock.now() + timedelta(minutes=30))
    change_line(
        by=stage.people["luz"], line=line, seen_version=line.version, changes=changes, happened_at=at,
        entry_id=scenario_id("small", job.number, "line"),
    )  # fmt: skip
