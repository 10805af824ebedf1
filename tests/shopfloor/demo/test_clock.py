"""What the scenario writes is dated by the scenario, also where nobody says a date."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from shopfloor.demo.clock import Clock
from tests.cast import make_cast
from tests.findings.story import open_job
from vessels.actions import add_customer, add_vessel
from workorders.actions import add_charge
from workorders.upkeep.actions import lay_up, note_reminder_wish
from workorders.upkeep.models import LayUp, ReminderWish

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


def test_so_is_what_a_table_fills_in_by_itself_and_afterwards_it_is_the_real_clock_again() -> None:
    cast = make_cast()
    clock = Clock(date(2026, 6, 5), ZoneInfo("America/New_York"))
    then = clock.turn(clock.at(400, "10:30"))
    with clock.running():
        lay_up(by=cast.desk, vessel=cast.vessel, from_on=then.date())
        note_reminder_wish(by=cast.desk, customer=cast.vessel.owner, wants=False)
    assert LayUp.objects.get().added_at == then
    assert ReminderWish.objects.get().at == then
    before = timezone.now()
    lay_up(
        by=cast.desk,
        vessel=cast.vessel,
        from_on=then.date() - timedelta(days=90),
        until_on=then.date() - timedelta(days=60),
    )
    assert LayUp.objects.latest("pk").added_at >= before


def test_working_days_to_come_leave_sundays_out() -> None:
    on_a_friday = Clock(date(2026, 11, 20), ZoneInfo("America/New_York"))
    assert [on_a_friday.working_day(later).isoformat() for later in (1, 2, 4)] == [
        "2026-11-21", "2026-11-23", "2026-11-25",
    ]  # fmt: skip
    on_a_sunday = Clock(date(2026, 11, 22), ZoneInfo("America/New_York"))
    assert on_a_sunday.working_day(1).isoformat() == "2026-11-23"
