"""What the scenario writes is dated by the scenario, also where nobody says a date."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from shopfloor.demo.clock import Clock
from tests.cast import make_cast
from tests.findings.story import open_job
from vessels.actions import add_customer, add_vessel
from workorders.actions import add_charge

pytestmark = pytest.mark.django_db


def test_charges_customers_and_boats_are_of_the_day_that_is_played() -> None:
    cast = make_cast()
    job = open_job(cast)
    clock = Clock(date(2026, 6, 5), ZoneInfo("America/New_York"))
    then = clock.turn(clock.at(400, "10:30"))
    with clock.running():
        charge = add_charge(
            by=cast.manager, job=job, kind="fee", description="Yard fee", quantity=Decimal(1), unit_price=Decimal(40)
        )
        customer = add_customer(by=cast.desk, name="Ines Hollow")
        vessel = add_vessel(by=cast.desk, owner=customer, name="Plover")
    for record in (charge, customer, vessel):
        record.refresh_from_db()
        assert record.added_at == then, record
