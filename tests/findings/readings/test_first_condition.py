"""A condition that is chosen after something was typed: each value goes where it belongs, or the person is asked."""

from __future__ import annotations

import html
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.urls import reverse

from findings.readings.actions import NewLimit, add_card
from findings.readings.models import Parameter, Reading, SpecCard
from tests.cast import Cast
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
ASKED = "Some values have no condition yet. Were they read under “Idle, warm”? Else log them first, or empty them."


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


def named(name: str) -> Parameter:
    return Parameter.objects.get(name=name)


@pytest.fixture
def card(cast: Cast) -> SpecCard:
    oil = named("Oil pressure")
    return add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[
            NewLimit(oil, "psi", "Idle, warm", Decimal(15), None, Decimal(45)),
            NewLimit(oil, "psi", "2000 rpm", Decimal(40), None, Decimal(70)),
            NewLimit(named("Charging voltage"), "V", "", Decimal("13.5"), None, Decimal("14.7")),
        ],
    )  # fmt: skip


def address(cast: Cast, job: Job) -> str:
    return f"{reverse('findings:job_readings', args=[job.number])}?engine={cast.port.pk}"


def key(card: SpecCard, **of: Any) -> str:
    return f"limit-{card.limits.get(**of).pk}"


def sheet_of(page: Any) -> tuple[str, dict[str, str]]:
    """Where the sheet on a page is sent, and what it would send."""
    form = lxml.html.fromstring(page.content.decode()).get_element_by_id("sheet")
    return form.action, {name: value for name, value in form.form_values() if value}


def logged(client: Any, page: Any) -> set[tuple[str, str, Decimal, str, str]]:
    at, sent = sheet_of(page)
    answer = client.post(at, sent | {"phase": "arrival"})
    assert answer.status_code == 302, answer.content.decode()
    found = Reading.objects.select_related("parameter")
    return {(one.parameter.name, one.condition, one.value.normalize(), one.unit, one.verdict) for one in found}


def test_values_of_rows_with_their_own_condition_go_along(cast, job, card, client) -> None:
    client.force_login(cast.tech)
    idle, fast = key(card, condition="Idle, warm"), key(card, condition="2000 rpm")
    typed = {f"{idle}-value": "3", f"{idle}-unit": "bar", f"{idle}-maximum": "3.1", f"{fast}-value": "50",
             f"{fast}-unit": "psi", f"{fast}-minimum": "48"}  # fmt: skip
    page = client.post(address(cast, job), typed | {"under": "idle,  WARM"})
    assert ASKED not in html.unescape(page.content.decode())
    more = client.post(sheet_of(page)[0], sheet_of(page)[1] | {"under": "Wide open"})
    less = client.post(sheet_of(more)[0], sheet_of(more)[1] | {"drop-condition": "Wide open"})
    assert logged(client, less) == {
        ("Oil pressure", "idle, WARM", Decimal(3), "bar", "near"),
        ("Oil pressure", "2000 rpm", Decimal(50), "psi", "in range"),
    }
    kept = Reading.objects.get(condition="2000 rpm")
    assert (kept.minimum, Reading.objects.get(unit="bar").maximum) == (48, Decimal("3.1"))


def test_a_value_of_a_row_goes_back_where_its_column_goes(cast, job, card, client) -> None:
    client.force_login(cast.tech)
    fast = key(card, condition="2000 rpm")
    page = client.post(address(cast, job), {f"{fast}-value": "50", "under": "Key on"})
    back = client.post(sheet_of(page)[0], sheet_of(page)[1] | {"drop-condition": "Key on"})
    assert sheet_of(back)[1][f"{fast}-value"] == "50"
    assert logged(client, back) == {("Oil pressure", "2000 rpm", Decimal(50), "psi", "in range")}


def test_values_without_a_condition_are_asked_about_and_stay(cast, job, card, client) -> None:
    client.force_login(cast.tech)
    charging, boost = key(card, condition=""), named("Boost pressure")
    at = f"{address(cast, job)}&line={boost.pk}&beside={cast.starboard.pk}"
    names = {one.prefix: one for one in client.get(at).context["sheet"].cells}
    other = next(one for one in names if one.startswith(f"{charging}-{cast.starboard.pk}x"))
    typed = {f"{charging}-value": "14", f"{other}-value": "13", f"line-{boost.pk}-value": "12",
             f"line-{boost.pk}-unit": "kPa"}  # fmt: skip
    page = client.post(at, typed | {"under": "Idle, warm"})
    assert ASKED in html.unescape(page.content.decode())
    assert {name: sheet_of(page)[1][name] for name in typed} == typed
    assert "under=" not in sheet_of(page)[0]
    # somebody who did not mean it goes on as before
    assert not Reading.objects.exists()
    said_so = client.post(sheet_of(page)[0], sheet_of(page)[1] | {"under-typed": "Idle, warm"})
    assert "under=Idle" in sheet_of(said_so)[0]
    assert logged(client, said_so) == {
        ("Charging voltage", "Idle, warm", Decimal(14), "V", "in range"),
        ("Charging voltage", "Idle, warm", Decimal(13), "V", "out"),
        ("Boost pressure", "Idle, warm", Decimal(12), "kPa", "no limits"),
    }
    by_engine = {one.value: one.entry.engine_id for one in Reading.objects.select_related("entry")}
    assert by_engine == {14: cast.port.pk, 13: cast.starboard.pk, 12: cast.port.pk}


def test_two_rows_of_one_thing_in_two_units_keep_both_units(cast, job, card, client) -> None:
    client.force_login(cast.tech)
    idle, oil = key(card, condition="Idle, warm"), named("Oil pressure")
    typed = {f"{idle}-value": "3", f"{idle}-unit": "bar", f"line-{oil.pk}-value": "44", f"line-{oil.pk}-unit": "psi"}
    page = client.post(f"{address(cast, job)}&line={oil.pk}", typed | {"under-typed": "Idle, warm"})
    assert {one[2:4] for one in logged(client, page)} == {(Decimal(3), "bar"), (Decimal(44), "psi")}


def test_the_first_condition_of_an_empty_sheet_is_simply_there(cast, job, card, client) -> None:
    client.force_login(cast.tech)
    page = client.post(address(cast, job), {"under": "Idle, warm"})
    assert ASKED not in html.unescape(page.content.decode())
    assert "under=Idle" in sheet_of(page)[0]
