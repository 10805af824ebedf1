"""Parts that were fitted, on the lanes of their engine and in words under them: what counts, and nothing else."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from findings.faults.models import Fault
from findings.faults.picturing import lanes_by_engine
from findings.faults.queries import AS_SEEN, FaultSeen
from tests.cast import Cast
from tests.findings.story import COOLANT, at, open_job, scan, seen
from vessels.actions import retract
from workorders.jobparts.actions import fit_part

pytestmark = pytest.mark.django_db


def test_what_counts_is_marked_at_its_hours_and_named(cast: Cast, client: Client) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)

    def fit(number: str, day: float, hours: int | None, **more: Any) -> Any:
        told: dict[str, Any] = {"engine": cast.port, "engine_hours": hours and Decimal(hours), **more}
        return fit_part(
            by=cast.tech, job=job, number=number, quantity=Decimal(1), condition="new", happened_at=at(day), **told
        )

    wrong = fit("TW-1", 1, 101)
    fit("TW-2", 1, 101, amends=wrong.entry)
    fit("TW-3", 2, 102)
    fit("TW-4", 2, 102)
    fit("TW-5", 3, None)
    fit("TW-6", 3, 103, engine=cast.starboard)
    retract(by=cast.tech, entry=fit("TW-7", 3, 104).entry, reason="Other boat.")
    one = FaultSeen(Fault.objects.prefetch_related(*AS_SEEN).get())
    (lanes,) = lanes_by_engine(cast.vessel, [one])
    assert [(mark.at, mark.words) for mark in lanes.picture.fitted] == [
        (101, "1 × TW-2"), (102, "1 × TW-3; 1 × TW-4"),
    ]  # fmt: skip
    assert [part.number for part in lanes.fitted] == ["TW-2", "TW-3", "TW-4", "TW-5"]
    client.force_login(cast.tech)
    for path in (f"/vessels/{cast.vessel.pk}/faults/", f"/faults/{one.fault.pk}/"):
        page = " ".join(client.get(path).content.decode().split())
        assert "4 parts fitted, marked on the axis" in page
        assert "1 × TW-5</a>, Apr 4, 2025, hours not read" in page
        assert "1 × TW-7</a>, Apr" not in page
