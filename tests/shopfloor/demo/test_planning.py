"""The week that the scenario plans: played on a small stage, with the same people and boats."""

from __future__ import annotations

from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from shopfloor.demo.clock import Clock
from shopfloor.demo.fleet import BOATS
from shopfloor.demo.planning import PLANNED, plan_the_week
from shopfloor.demo.stage import Stage
from tests.cast import make_cast
from workorders.appointments.models import Appointment, AppointmentChange, Bay
from workorders.calls.models import Call


@pytest.mark.parametrize("last_day", [date(2026, 11, 20), date(2026, 11, 22)])
@pytest.mark.django_db
def test_the_week_is_planned_and_nothing_of_it_after_the_last_day(last_day: date) -> None:
    cast, boats = make_cast(), {boat.key: boat for boat in BOATS}
    clock = Clock(last_day, ZoneInfo("America/New_York"))
    people = {"gail": cast.manager, "nora": cast.desk, "luz": cast.tech}
    of: dict[str, Any] = {key: (boats[key], cast.vessel) for _, _, key, *_ in PLANNED if key}
    with clock.running():
        plan_the_week(Stage(clock, people, boats=of))
    assert {one.state for one in Appointment.objects.all()} == {"planned", "missed"}
    assert Appointment.objects.filter(vessel=None).count() == 1
    assert Bay.objects.count() == 3
    assert AppointmentChange.objects.filter(done="moved").count() == 1
    assert max(change.at.astimezone(clock.zone).date() for change in AppointmentChange.objects.all()) <= last_day
    assert not Call.objects.exists()  # there is no job to call about on this stage
