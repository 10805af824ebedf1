"""A vessel’s readings come page by page: every series once, and no more rows than are shown."""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from engineering.trend import MOST_READINGS
from findings.readings.actions import log_reading
from findings.readings.models import Parameter, Reading
from findings.readings.series import READINGS_A_PAGE, SERIES_A_PAGE, readings_page, series, series_page
from tests.asking import asked
from tests.cast import Cast
from tests.findings import story
from vessels.actions import retract
from vessels.models import Engine

pytestmark = pytest.mark.django_db


def measure(cast: Cast, engine: Engine | None, name: str, value: int, condition: str, minute: float) -> Reading:
    return log_reading(
        by=cast.tech,
        vessel=cast.vessel,
        engine=engine,
        parameter=Parameter.objects.get(name=name),
        value=Decimal(value),
        unit="psi" if name == "Oil pressure" else "V",
        condition=condition,
        happened_at=story.at(0) + timedelta(minutes=minute),
    )


def some_readings(cast: Cast, count: int, *, kinds: int) -> list[Reading]:
    """So many readings of so many conditions, on both engines and the boat itself, some of them at one moment."""
    chance = random.Random(7)
    made = []
    for index in range(count):
        engine = (cast.port, cast.starboard, None)[index % 3]
        name = ("Oil pressure", "Charging voltage")[index % 2]
        made.append(measure(cast, engine, name, 10 + index % 5, f"Step {chance.randrange(kinds)}", index // 4))
    return made


def by_hand(cast: Cast) -> dict[tuple[int, int, str], list[Reading]]:
    """Every series, by reading everything: newest first."""
    found: dict[tuple[int, int, str], list[Reading]] = {}
    every = Reading.objects.filter(entry__vessel=cast.vessel).select_related("entry")
    for one in sorted(every, key=lambda row: (row.entry.happened_at, row.entry.position), reverse=True):
        if not one.entry.amendments.exists():
            key = (one.entry.engine_id or 0, one.parameter_id, one.condition.lower())
            found.setdefault(key, []).append(one)
    return found


def test_the_pages_together_are_every_series_once_and_in_order(cast: Cast) -> None:
    made = some_readings(cast, 60, kinds=6)
    retract(by=cast.manager, entry=made[-1].entry, reason="The wrong gauge.")
    known = by_hand(cast)
    seen, mark, pages = [], "", 0
    while True:
        page = series_page(cast.vessel, mark, size=5)
        seen += page.series
        pages += 1
        mark = page.after
        if not mark:
            break
    keys = [(one.engine.pk if one.engine else 0, one.parameter.pk, one.condition.lower()) for one in seen]
    assert pages > 3
    assert len(keys) == len(set(keys)) == len(known)
    for key, one in zip(keys, seen, strict=True):
        members = known[key]
        assert one.count == len(members)
        assert one.latest.reading.pk == members[0].pk
        assert (one.before.reading.pk if one.before else None) == (members[1].pk if len(members) > 1 else None)
    order = [(one.engine.pk if one.engine else 0, one.parameter.position, one.parameter.name) for one in seen]
    assert order == sorted(order)


@pytest.mark.parametrize("mark", ["", "x", "_", "1_2", "999_999_x", "²_1_a", "1_1_\0", "-1_1_a"])
def test_a_place_that_makes_no_sense_is_answered(client, cast: Cast, mark: str) -> None:
    some_readings(cast, 3, kinds=1)
    client.force_login(cast.tech)
    address = reverse("findings:vessel_readings", args=[cast.vessel.pk])
    assert client.get(address, {"after": mark}).status_code == 200


def test_every_reading_of_one_moment_stands_on_some_page(cast: Cast) -> None:
    """A log gives many values of one moment: the place of a page is a moment and a position, or some would be lost."""
    for value in range(12):
        measure(cast, cast.port, "Oil pressure", value, "", 0)
    found = series(cast.vessel, cast.port.pk, Parameter.objects.get(name="Oil pressure"), None, all_of_them=True)
    seen, mark = [], ""
    while True:
        page = readings_page(found, mark, size=5)
        seen += [row.value for row in page.readings]
        mark = page.older
        if not mark:
            break
    assert seen == list(range(11, -1, -1))


@pytest.mark.parametrize("count", [20, 120])
def test_no_more_rows_are_read_than_are_shown(client, cast: Cast, count: int) -> None:
    for index in range(count):
        measure(cast, cast.port, "Oil pressure", 40 + index % 9, f"point {index % 4}", index)
    client.force_login(cast.manager)
    pages = {
        reverse("findings:vessel_readings", args=[cast.vessel.pk]): (16, 50),
        reverse("findings:parameter_history", args=[cast.vessel.pk, Reading.objects.all()[0].parameter_id])
        + f"?engine={cast.port.pk}&condition=point+1": (16, READINGS_A_PAGE + MOST_READINGS + 12),
    }
    for address, (queries, rows) in pages.items():
        client.get(address)
        with asked() as counted:
            assert client.get(address).status_code == 200
        assert counted.queries <= queries, (address, counted)
        assert counted.rows <= rows, (address, counted)


def test_as_many_series_as_readings_are_read_a_page_at_a_time(client, cast: Cast) -> None:
    for index in range(SERIES_A_PAGE + 3):
        measure(cast, cast.port, "Oil pressure", 40, f"point {index:03}", index)
    client.force_login(cast.tech)
    address = reverse("findings:vessel_readings", args=[cast.vessel.pk])
    first = client.get(address)
    assert first.content.decode().count("<tr>") == SERIES_A_PAGE + 1
    assert "More readings" in first.content.decode()
    with asked() as counted:
        second = client.get(address, {"after": first.context["after"]})
    assert second.content.decode().count("<tr>") == 3 + 1
    assert "From the beginning" in second.content.decode()
    assert counted.rows <= 30
