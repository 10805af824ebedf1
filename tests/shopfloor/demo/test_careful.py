"""The scenario reads like the record of a careful shop: work is about what it can cure, parts go where they belong."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from engineering.canlog import summarize
from shopfloor.demo.dock_run import dock_run_text
from shopfloor.demo.fleet import BOATS
from shopfloor.demo.shop import CARDS, FAMILIES, PARTS
from shopfloor.demo.visits import Visit, all_visits

CURED_BY = {
    "110-0": "coolant|thermostat|impeller|heat exchanger",
    "110-16": "coolant|thermostat|impeller|heat exchanger",
    "102-18": "boost",
    "102-2": "boost",
    "12": "glow plug",
    "23": "alternator",
    "31": "belt",
    "E17-FUEL": "fuel|vapor separator",
    "E22-WATER": "water",
    "E41-SHIFT": "shift",
    "P0121": "throttle position sensor|sensor ground",
    "P0122": "throttle position sensor",
    "P0123": "throttle position sensor",
    "P0300": "ignition coil",
    "P0305": "ignition coil",
    "P0307": "riser gasket",
    "P0562": "battery",
}
"""What a mechanic would expect to read of the work about a code. Common practice, no source."""
ANY_ENGINE = {"OIL", "CON", "ANO", "BAT"}


def name_of(visit: Visit) -> str:
    return f"{visit.boat}, {visit.days_ago} days ago"


@pytest.mark.parametrize("visit", [one for one in all_visits() if one.work], ids=name_of)
def test_work_is_about_codes_that_it_can_cure(visit: Visit) -> None:
    found = {code for code, _, _ in visit.arrival or ()}
    assert set(visit.about) <= found
    for code in visit.about or found:
        assert re.search(CURED_BY[code], visit.work, re.IGNORECASE), code


def test_parts_are_of_the_engine_that_they_go_into() -> None:
    families = {(boat.key, motor.position): motor.family for boat in BOATS for motor in boat.motors}
    known = {number for number, *_ in PARTS}
    for visit in all_visits():
        parts = [(number, visit.motor) for number, _ in visit.charges if number != "labor"]
        for number, position in [*parts, *((number, where) for number, _, where in visit.fits or ())]:
            assert number in known
            series = number.split("-")[0]
            assert series in ANY_ENGINE or series == families[visit.boat, position], (name_of(visit), number)
    assert {number.split("-")[0] for number in known} <= ANY_ENGINE | set(FAMILIES)


def test_what_is_in_work_has_nothing_fitted_that_was_not_said() -> None:
    unfinished = [one for one in all_visits() if one.ends == "in-work"]
    assert unfinished
    for visit in unfinished:
        parts = [number for number, _ in visit.charges if number[:3] not in {"lab", "OIL", "CON"}]
        assert not parts or visit.fits is not None, name_of(visit)


def test_what_is_said_to_be_near_its_limit_is():
    told = [one for one in all_visits() if "near its lower limit" in one.cause]
    assert told
    families = {(boat.key, motor.position): motor.family for boat in BOATS for motor in boat.motors}
    for visit in told:
        limits = {(row[0], row[1]): row for row in CARDS[families[visit.boat, visit.motor]]}
        near = []
        for name, value, condition, _ in visit.readings:
            _, _, low, _, high, _ = limits[name, condition]
            near.append(Decimal(low) <= Decimal(value) <= Decimal(low) + (Decimal(high) - Decimal(low)) / 10)
        assert any(near), name_of(visit)


def test_a_run_at_the_dock_charges_as_the_engines_card_expects():
    text = dock_run_text(datetime(2026, 11, 8, 10, tzinfo=UTC), Decimal(800), Decimal(800))
    summary = summarize(io.BytesIO(text.encode()), name="run.log")
    volts = [span.median for span in summary.parameters if span.unit == "V"]
    low = next(row[2] for row in CARDS["N6"] if row[0] == "Charging voltage")
    assert volts
    assert all(value is not None and value >= Decimal(low) for value in volts), volts
