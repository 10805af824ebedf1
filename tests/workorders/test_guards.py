"""Floors above are asked before a charge is added or voided and before a job is moved; what they refuse is not done."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from commands.refusals import Refused
from workorders import guards
from workorders.actions import add_charge, move_job, strike_charge
from workorders.states import JobState


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Any, ...]]:
    """What the guards were asked; they refuse what is named “no”, and waiting."""
    told: list[tuple[Any, ...]] = []

    def of_charge(by: Any, charge: Any) -> None:
        told.append((by, charge.description, charge.pk is None))
        if charge.description == "no":
            raise Refused("Not this one.")

    def of_move(by: Any, job: Any, end: JobState) -> None:
        told.append((by, job.state, end))
        if end is JobState.WAITING_CUSTOMER:
            raise Refused("Not there.")

    for name, guard in [("_adding", of_charge), ("_striking", of_charge), ("_moving", of_move)]:
        monkeypatch.setattr(guards, name, [guard])
    return told


def test_each_is_asked_before_it_is_done_and_refuses(cast, job, heard):
    fee = add_charge(by=cast.desk, job=job, kind="fee", description="Haul-out", unit_price=Decimal(90))
    strike_charge(by=cast.manager, charge=fee)
    assert heard == [(cast.desk, "Haul-out", True), (cast.manager, "Haul-out", False)]
    with pytest.raises(Refused, match="Not this one"):
        add_charge(by=cast.desk, job=job, kind="fee", description="no", unit_price=Decimal(90))
    job.charges.filter(pk=fee.pk).update(struck_at=None, struck_by=None, description="no")
    with pytest.raises(Refused, match="Not this one"):
        strike_charge(by=cast.desk, charge=fee)
    assert job.charges.get().struck_at is None


def test_a_move_is_asked_about_where_the_jobs_own_rules_allow_it(cast, job, heard):
    with pytest.raises(Refused, match="in one move"):
        move_job(by=cast.desk, job=job, to="closed", seen_version=job.version)
    assert heard == []
    with pytest.raises(Refused, match="Not there"):
        move_job(by=cast.desk, job=job, to="waiting-customer", reason="To decide", seen_version=job.version)
    assert heard == [(cast.desk, "estimate", JobState.WAITING_CUSTOMER)]
    job.refresh_from_db()
    assert job.state == JobState.ESTIMATE
