"""What was typed for one engine goes along where another one is chosen: nothing is lost, none is misjudged."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from findings.readings.actions import NewLimit, add_card, change_card
from findings.readings.models import Parameter, Reading, SpecCard
from tests.cast import Cast
from vessels.models import EngineFamily
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
SWITCH = "switch-engine"


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


def card(cast: Cast, family: EngineFamily, *rows: tuple[str, str, str, str]) -> dict[tuple[str, str], int]:
    """A card of upper limits; the key of each by parameter and condition."""
    made = add_card(
        by=cast.manager, family=family, title="Checks", document=f"{family} manual, page 4",
        limits=[
            NewLimit(parameter=Parameter.objects.get(name=name), condition=condition, high=Decimal(high), unit=unit)
            for name, condition, high, unit in rows
        ],
    )  # fmt: skip
    return {(limit.parameter.name, limit.condition): limit.pk for limit in made.limits.select_related("parameter")}


def address(job: Job, engine: object) -> str:
    return f"{reverse('findings:job_readings', args=[job.number])}?engine={getattr(engine, 'pk', engine)}"


def shown(page: object) -> dict[str, str]:
    """Everything that stands in the fields of the sheet, by name."""
    sheet = page.context["sheet"]  # type: ignore[attr-defined]
    fields = [field for form in sheet.forms for field in form]
    return {field.html_name: field.value() for field in fields if field.value() not in (None, "")}


def test_twins_of_one_family_keep_each_row_and_the_hours_are_read_again(cast, job, client) -> None:
    keys = card(cast, cast.family, ("Oil pressure", "warm", "60", "psi"), ("Coolant temperature", "", "190", "degF"))
    oil = keys["Oil pressure", "warm"]
    client.force_login(cast.tech)
    typed = {
        f"limit-{oil}-value": "55", f"limit-{oil}-unit": "psi", f"limit-{oil}-minimum": "about 4",
        "other-parameter_name": "Seawater flow", "other-value": "12", "other-unit": "L/min", "phase": "arrival",
        "hours": "930.8", "instrument": "Gauge 3", "text": "At the dock.",
    }  # fmt: skip
    page = client.post(address(job, cast.port), typed | {SWITCH: cast.starboard.pk})
    assert page.status_code == 200
    now = shown(page)
    assert {name: now[name] for name in typed if name != "hours"} == {k: v for k, v in typed.items() if k != "hours"}
    assert "hours" not in now
    body = page.content.decode()
    assert "The hours typed before (930.8) were of another meter." in body
    assert f'action="{address(job, cast.starboard)}"' in body
    assert "data-keep-fresh" in body
    assert body.index(">Log readings</button>") < body.index(f'name="{SWITCH}"')  # the key Enter logs
    assert not Reading.objects.exists()
    same = client.post(address(job, cast.port), typed | {SWITCH: cast.port.pk})
    assert shown(same)["hours"] == "930.8"


def test_what_another_family_does_not_list_keeps_a_row_and_is_logged_without_its_limits(cast, job, client) -> None:
    other = EngineFamily.objects.create(maker="Quillon", name="Q4")
    cast.starboard.family = other
    cast.starboard.save()
    here = card(cast, cast.family, ("Oil pressure", "warm", "60", "psi"), ("Boost pressure", "full load", "20", "psi"))
    there = card(cast, other, ("Oil pressure", "Warm", "40", "psi"))
    client.force_login(cast.tech)
    typed = {
        f"limit-{here['Oil pressure', 'warm']}-value": "55", f"limit-{here['Oil pressure', 'warm']}-unit": "psi",
        f"limit-{here['Boost pressure', 'full load']}-value": "25",
        f"limit-{here['Boost pressure', 'full load']}-unit": "psi", "phase": "arrival",
    }  # fmt: skip
    page = client.post(address(job, cast.port), typed | {SWITCH: cast.starboard.pk})
    now = shown(page)
    assert now[f"limit-{there['Oil pressure', 'Warm']}-value"] == "55"
    assert now[f"limit-{here['Boost pressure', 'full load']}-value"] == "25"
    assert "This card has no row for it; it is kept as it was typed." in page.content.decode()
    assert client.post(address(job, cast.starboard), now).status_code == 302
    logged = {one.parameter.name: one for one in Reading.objects.select_related("parameter", "entry")}
    assert {one.entry.engine_id for one in logged.values()} == {cast.starboard.pk}
    assert (logged["Oil pressure"].high, logged["Oil pressure"].verdict) == (Decimal(40), "out")
    boost = logged["Boost pressure"]
    assert (boost.condition, boost.high, boost.verdict) == ("full load", None, "no limits")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (("Oil pressure", "warm", "45"), "The card’s limits for it were changed since this sheet was opened"),
        (("Boost pressure", "full load", "20"), "This card has no row for it; it is kept as it was typed."),
    ],
)
def test_a_limit_that_was_revised_meanwhile_is_said_to_be_so(cast, job, client, row, said) -> None:
    keys = card(cast, cast.family, ("Oil pressure", "warm", "60", "psi"))
    name, condition, high = row
    limits = [NewLimit(parameter=Parameter.objects.get(name=name), condition=condition, high=Decimal(high), unit="psi")]
    change_card(by=cast.manager, card=SpecCard.objects.get(title="Checks"), changes={}, limits=limits)
    client.force_login(cast.tech)
    old = f"limit-{keys['Oil pressure', 'warm']}"
    page = client.post(
        address(job, cast.port), {f"{old}-value": "odd", f"{old}-unit": "psi", f"{old}-of": "", "phase": "arrival"}
    )
    assert page.status_code == 422
    assert shown(page)[f"{old}-value"] == "odd"
    assert page.content.decode().count("This card has no row for it") + page.content.decode().count("since this") == 1
    assert said in page.content.decode()


def test_the_boat_itself_keeps_what_was_typed_and_a_strange_key_is_refused(cast, job, client) -> None:
    keys = card(cast, cast.family, ("Charging voltage", "", "14.8", "V"))
    (voltage,) = keys.values()
    client.force_login(cast.tech)
    typed = {f"limit-{voltage}-value": "14,9", "phase": "arrival"}
    page = client.post(address(job, cast.port), typed | {SWITCH: "boat"})
    assert shown(page)[f"limit-{voltage}-value"] == "14,9"
    assert client.post(address(job, "boat"), typed).status_code == 302
    assert (Reading.objects.get().entry.engine, Reading.objects.get().verdict) == (None, "no limits")
    for strange in ("999999", "²", "port"):
        assert client.post(address(job, cast.port), typed | {SWITCH: strange}).status_code == 404
