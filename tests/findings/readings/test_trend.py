"""Where a reading is going: on the page of its readings, with its limit, its gaps and its conditions."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.models import Parameter
from findings.readings.series import series
from findings.readings.trending import trend_seen

IDLE = "idle, 650 rpm"
CREEP = [(100, "43.6"), (150, "42.9"), (200, "42.1"), (250, "41.3"), (300, "40.4"), (350, "39.6"), (400, "38.4")]


@pytest.fixture
def fuel(cast):
    parameter = Parameter.objects.get(name="Fuel pressure")
    limit = NewLimit(parameter, "psi", IDLE, low=Decimal(38), high=Decimal(46))
    add_card(by=cast.owner, family=cast.family, title="Card", document="Measured here", limits=[limit])
    return parameter


def read(cast, parameter, hours, value, *, unit="psi", condition=IDLE, days_ago=None, instrument=""):
    return log_reading(
        by=cast.tech, vessel=cast.vessel, engine=cast.port, parameter=parameter, value=Decimal(value), unit=unit,
        condition=condition, instrument=instrument, engine_hours=None if hours is None else Decimal(hours),
        happened_at=timezone.now() - timedelta(days=1000 - int(hours or 0) if days_ago is None else days_ago),
    )  # fmt: skip


def address(cast, parameter, condition=IDLE):
    asked = f"&condition={condition}" if condition is not None else ""
    return f"/vessels/{cast.vessel.pk}/readings/{parameter.pk}/?engine={cast.port.pk}{asked}"


def test_a_creeping_reading_says_when_it_meets_its_limit(client, cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    client.force_login(cast.tech)
    page = client.get(address(cast, fuel))
    said = page.context["trend"].sentence
    assert said.startswith("It falls by about 1.67 psi every 100 h")
    assert "It meets its limit of 38 psi in about" in said
    assert "at the soonest" in said
    assert "at the latest" in said
    body = page.content.decode()
    for words in ("Where it is going", "at least 38 psi", "Mann–Kendall: S = -21", "S = -21, p = 0.0004"):
        assert words in body


def test_hours_run_since_bring_the_limit_nearer(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    found = series(cast.vessel, cast.port.pk, fuel, IDLE)
    before = trend_seen(found, cast.port, name="Fuel pressure").picture
    read(cast, Parameter.objects.get(name="Oil pressure"), 410, "50", days_ago=100)
    after = trend_seen(found, cast.port, name="Fuel pressure").picture
    assert before.meets == pytest.approx(after.meets), "the hour stays, the hours left get fewer"
    assert after.line[1] == pytest.approx(before.line[1])


def test_readings_in_another_unit_count_as_what_they_are(cast, fuel):
    for hours, value in CREEP[:-1]:
        read(cast, fuel, hours, value)
    read(cast, fuel, 400, "264.8", unit="kPa")  # 38.4 psi
    picture = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure").picture
    assert picture.unit == "kPa"
    assert picture.points[0][1] == pytest.approx(300.6, abs=0.1)
    assert picture.low == pytest.approx(262.0, abs=0.15)
    assert picture.line is not None


def test_no_trend_is_said(client, cast, fuel):
    for (hours, _), value in zip(CREEP, ["42.1", "42.4", "42.0", "42.3", "42.2", "42.4", "42.1"], strict=True):
        read(cast, fuel, hours, value)
    client.force_login(cast.desk)
    body = client.get(address(cast, fuel)).content.decode()
    assert "No trend is seen: chance alone can put 7 readings in such an order." in body
    assert "meets its limit" not in body


def test_few_readings_say_so_and_draw_nothing(client, cast, fuel):
    for hours, value in CREEP[:4]:
        read(cast, fuel, hours, value)
    client.force_login(cast.tech)
    page = client.get(address(cast, fuel))
    assert page.context["trend"].picture is None
    assert "4 readings with known hours, and it takes 5 or more" in page.content.decode()


def test_readings_without_hours_are_said_to_be_left_out(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    read(cast, fuel, None, "38.0", days_ago=3)
    trend = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure")
    assert trend.notes[-1] == "One reading has no engine hours and cannot be placed."
    assert len(trend.picture.points) == 7


def test_different_conditions_are_not_mixed(client, cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    read(cast, fuel, 405, "58", condition="full load", days_ago=500)
    client.force_login(cast.tech)
    assert "do not compare" in client.get(address(cast, fuel, condition=None)).content.decode()
    assert "It falls by" in client.get(address(cast, fuel)).content.decode()


def test_another_instrument_starts_another_trend(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value, instrument="Gauge 1")
    for hours in (420, 440, 460, 480, 500):
        read(cast, fuel, hours, "43.5", instrument="gauge  2", days_ago=900 - hours)
    trend = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure")
    assert trend.sentence == "No trend is seen: all 5 readings are the same."
    assert "7 readings by another instrument than the newest are left out: they do not compare." in trend.notes


def test_too_few_are_said_of_the_instrument_that_is_asked_about(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value, instrument="Gauge 1")
    read(cast, fuel, None, "43.5", instrument="Gauge 2", days_ago=3)
    trend = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure")
    assert "no reading with known hours by the instrument of the newest one, and it takes 5" in trend.sentence


def test_a_newest_reading_without_hours_that_is_out_is_said_first(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    read(cast, fuel, None, "12", days_ago=3)
    trend = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure")
    assert trend.sentence.startswith("Out now: the last reading, 12 psi, is below its lower limit of 38 psi.")


def test_a_switch_has_no_trend(client, cast):
    switch = Parameter.objects.get(name="Neutral switch")
    for hours in range(100, 600, 100):
        read(cast, switch, hours, "1", unit="on/off", condition="")
    client.force_login(cast.tech)
    page = client.get(address(cast, switch, condition=""))
    assert page.context["trend"] is None
    assert "Where it is going" not in page.content.decode()


def test_the_page_costs_the_same_at_any_length(client, cast, fuel):
    client.force_login(cast.tech)

    def cost():
        client.get(address(cast, fuel))
        with CaptureQueriesContext(connection) as spent:
            client.get(address(cast, fuel))
        return len(spent)

    for hours, value in CREEP[:2]:
        read(cast, fuel, hours, value)
    few = cost()
    for hours, value in CREEP[2:]:
        read(cast, fuel, hours, value)
    assert cost() == few


def told_of(cast, fuel):
    trend = trend_seen(series(cast.vessel, cast.port.pk, fuel, IDLE), cast.port, name="Fuel pressure")
    return " ".join([trend.sentence, *trend.notes])


def test_whether_an_unnamed_instrument_is_another_is_not_known(cast, fuel):
    """The newest names none: neither "by another instrument" nor "the instrument of the newest one" is known."""
    for hours, value in CREEP[:4]:
        read(cast, fuel, hours, value, instrument="Gauge 1")
    read(cast, fuel, 420, "43.5", days_ago=3)
    told = told_of(cast, fuel)
    assert "4 readings with a named instrument are left out: the newest names none, so it may be another." in told
    assert "by another instrument" not in told
    assert "by the instrument of the newest" not in told
    assert "without a named instrument" in told


def test_readings_that_name_none_are_not_said_to_be_by_another(cast, fuel):
    read(cast, fuel, 100, "43.6")
    read(cast, fuel, 150, "42.9", instrument="Gauge 2")
    read(cast, fuel, 420, "43.5", days_ago=3, instrument="Gauge 1")
    told = told_of(cast, fuel)
    assert "One reading by another instrument than the newest is left out" in told
    assert "One reading that names no instrument is left out: it may be another than that of the newest." in told


def test_where_no_reading_names_an_instrument_none_is_left_out(cast, fuel):
    for hours, value in CREEP:
        read(cast, fuel, hours, value)
    assert "instrument" not in told_of(cast, fuel)
