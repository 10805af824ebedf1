"""Engines and control units: added, changed, removed, identified."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Refused
from tests.cast import Cast
from tests.findings.story import at
from vessels import actions
from vessels.forms import EngineForm, NewEngineForm
from vessels.models import DetailsChange, Engine, EngineFamily
from vessels.queries import identity_at, latest_hours, units_with_identity


@pytest.fixture
def desk(cast: Cast, client: Client) -> Client:
    client.force_login(cast.desk)
    return client


def engine(**fields: str) -> dict[str, str]:
    """What the page of an engine sends."""
    return {"position": "generator", "fuel": "diesel", "maker": "Norrland", "model": "G9", **fields}


def test_an_engine_is_added_with_its_meter(desk: Client, cast: Cast) -> None:
    answer = desk.post(
        reverse("vessels:engine-add", args=[cast.vessel.pk]),
        engine(serial="NG-77", power="12", power_unit="kW", rated_rpm_low="1500", rated_rpm_high="1800",
               gear_ratio="1,97", meter_shown="350.5", year="2021"),
    )  # fmt: skip
    assert answer.status_code == 302
    added = Engine.objects.get(serial="NG-77")
    assert (added.power, added.power_unit, added.rated_power_kw) == (Decimal(12), "kW", Decimal(12))
    assert added.gear_ratio == Decimal("1.970")
    assert latest_hours(added).engine_hours == Decimal("350.5")  # type: ignore[union-attr]
    assert list(cast.vessel.log.order_by("position").values_list("kind", flat=True)) == ["engine-added", "hours"]


def test_power_as_entered_is_kept_and_compared_in_kilowatts(cast: Cast) -> None:
    added = actions.add_engine(by=cast.tech, vessel=cast.vessel, position="center", power=Decimal(300), power_unit="hp")
    assert (added.power, added.power_unit) == (300, "hp")
    assert added.rated_power_kw == Decimal("223.710")  # 1 hp = 0.745 699 871 58 kW
    actions.change_engine(by=cast.tech, engine=added, seen_version=1, changes={"power_unit": "PS"})
    assert added.rated_power_kw == Decimal("220.650")  # 1 PS = 0.735 498 75 kW


def test_a_new_family_is_made_once(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:engine-add", args=[cast.vessel.pk])
    assert desk.post(url, engine(new_family="G-series")).status_code == 302
    assert desk.post(url, engine(new_family="g-SERIES")).status_code == 302
    assert EngineFamily.objects.filter(name__iexact="g-series").count() == 1
    assert Engine.objects.filter(family__name="G-series").count() == 2


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"position": "port"}, "position", "There is already an engine in this position"),
        ({"rated_rpm_low": "3500", "rated_rpm_high": "2800"}, "rated_rpm_high", "Swap the two"),
        ({"new_family": "X", "maker": ""}, "maker", "maker of the new family"),
        ({"year": "21"}, "year", "1900"),
        ({"power": "a lot"}, "power", "not a number"),
        ({"rated_rpm_low": "fast"}, "rated_rpm_low", "whole number"),
    ],
)
def test_bad_input_is_explained_by_the_field(
    desk: Client, cast: Cast, fields: dict[str, str], field: str, sentence: str
) -> None:
    answer = desk.post(reverse("vessels:engine-add", args=[cast.vessel.pk]), engine(**fields, propeller="18 x 21"))
    assert answer.status_code == 422
    assert sentence in " ".join(answer.context["form"].errors[field])
    assert "18 x 21" in answer.content.decode()
    assert not cast.vessel.log.exists()


def test_a_family_is_chosen_or_new(cast: Cast) -> None:
    form = NewEngineForm({**engine(new_family="X"), "family": str(cast.family.pk)})
    assert not form.is_valid()
    assert "not both" in form.errors["new_family"][0]


def test_a_serial_that_is_here_already_is_noticed(cast: Cast) -> None:
    form = EngineForm(engine(serial="nl 20417"))
    assert form.is_valid(), form.errors
    assert form.twins == [cast.port]


def test_the_same_serial_on_another_boat_is_shown_on_the_page_when_something_else_is_wrong(
    desk: Client, cast: Cast
) -> None:
    answer = desk.post(reverse("vessels:engine-add", args=[cast.vessel.pk]), engine(serial="NL20417", position="port"))
    assert "This serial number is already on record" in answer.content.decode()


def test_a_change_of_an_engine_is_logged(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:engine-change", args=[cast.port.pk])
    sent = engine(position="port", model="D6T-370", serial="NL-20417", seen_version="1", year="2022")
    answer = desk.post(url, {**sent, "family": str(cast.family.pk)})
    assert answer.status_code == 302, answer.context["form"].errors
    assert DetailsChange.objects.get().changes == {"Year": ["", "2022"]}
    actions.change_engine(by=cast.tech, engine=cast.port, seen_version=2, changes={"year": 2023})
    answer = desk.post(url, {**sent, "family": str(cast.family.pk), "year": "2024", "seen_version": "2"})
    assert answer.status_code == 409
    assert "Tomas Reef saved this" in answer.content.decode()
    cast.port.refresh_from_db()
    assert cast.port.year == 2023


def test_an_engine_taken_out_leaves_its_place(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:engine-remove", args=[cast.port.pk])
    assert desk.post(url, {"text": "Seized, sold for parts."}).status_code == 302
    cast.port.refresh_from_db()
    cast.port_unit.refresh_from_db()
    assert cast.port.removed_on is not None
    assert cast.port_unit.removed_on == cast.port.removed_on
    page = desk.get(reverse("vessels:engines", args=[cast.vessel.pk])).content.decode()
    assert "Removed" in page
    new = actions.add_engine(by=cast.tech, vessel=cast.vessel, position="port")
    assert new.pk != cast.port.pk
    with pytest.raises(Refused, match="already"):
        actions.remove_engine(by=cast.tech, engine=cast.port)


def test_a_unit_and_what_it_said_over_time(desk: Client, cast: Cast) -> None:
    answer = desk.post(
        reverse("vessels:unit-add", args=[cast.vessel.pk]),
        {"name": "Gateway", "engine": str(cast.port.pk), "code_system": "spn", "address": "37", "software": "1.0"},
    )
    assert answer.status_code == 302
    unit = cast.vessel.units.get(name="Gateway")
    assert identity_at(unit, timezone.now()).software == "1.0"
    url = reverse("vessels:unit", args=[unit.pk])
    desk.post(url, {"software": "1.1", "calibration": "C7"})
    page = desk.get(url).content.decode()
    assert "1.0" in page
    assert "1.1" in page
    assert "identified: software changed" in cast.vessel.log.order_by("-position")[0].summary
    answer = desk.post(url, {})
    assert answer.status_code == 422
    assert "at least one" in answer.content.decode()


def test_an_identification_taken_back_is_not_the_last(cast: Cast) -> None:
    actions.identify_unit(by=cast.tech, unit=cast.port_unit, software="1.0")
    wrong = actions.identify_unit(by=cast.tech, unit=cast.port_unit, software="9.9")
    actions.retract(by=cast.tech, entry=wrong, reason="Other unit.")
    assert identity_at(cast.port_unit, timezone.now()).software == "1.0"
    shown = {unit.pk: unit.identities for unit in units_with_identity(cast.vessel)}  # type: ignore[attr-defined]
    assert [said.software for said in shown[cast.port_unit.pk]] == ["1.0"]
    assert shown[cast.starboard_unit.pk] == []


@pytest.mark.parametrize(
    ("read", "summary"),
    [
        ({"software": "2.1"}, "identified: software changed"),
        ({"software": "2.0"}, "identified: software unchanged"),
        ({"serial": "U-9", "software": "2.0"}, "identified: serial changed"),
        ({"serial": "U-7", "software": "2.0"}, "identified: serial, software unchanged"),
        ({"hardware": "H2"}, "identified"),  # read for the first time: nothing to compare it with
        ({"software": "1.0", "happened_at": at(1)}, "identified: software unchanged"),  # sent late: before the update
        ({"software": "0.9", "happened_at": at(-1)}, "identified"),
    ],
)
def test_only_what_was_read_is_compared_with_what_was_known_then(cast: Cast, read, summary) -> None:
    actions.identify_unit(by=cast.tech, unit=cast.port_unit, serial="U-7", software="1.0", happened_at=at(0))
    actions.identify_unit(by=cast.tech, unit=cast.port_unit, software="2.0", happened_at=at(9))
    entry = actions.identify_unit(by=cast.tech, unit=cast.port_unit, **read)
    assert entry.summary.removeprefix(f"{cast.port_unit} ") == summary


def test_what_was_not_read_is_not_filled_in_and_stays_known(desk: Client, cast: Cast) -> None:
    actions.identify_unit(by=cast.tech, unit=cast.port_unit, serial="U-7", software="1.0", happened_at=at(0))
    page = desk.get(reverse("vessels:unit", args=[cast.port_unit.pk]))
    form = page.context["form"]
    assert [form[name].value() for name in ("serial", "hardware", "software", "calibration")] == [None] * 4
    assert form["serial"].help_text == "Last U-7, Apr 1, 2025."
    assert form["hardware"].help_text == ""
    assert desk.post(page.request["PATH_INFO"], {"software": "1.1"}).status_code == 302
    known = identity_at(cast.port_unit, timezone.now())
    assert (known.serial, known.software, known.earlier) == ("U-7", "1.1", ["serial read Apr 1, 2025"])
    listed = desk.get(reverse("vessels:engines", args=[cast.vessel.pk])).content.decode()
    assert "U-7" in listed
    assert "1.1" in listed


@pytest.mark.parametrize("address", ["254", "-1", "x"])
def test_an_address_is_one_of_the_bus(desk: Client, cast: Cast, address: str) -> None:
    answer = desk.post(
        reverse("vessels:unit-add", args=[cast.vessel.pk]),
        {"name": "Gateway", "code_system": "spn", "address": address},
    )
    assert answer.context["form"].errors["address"]


def test_an_engine_of_another_boat_is_not_taken(cast: Cast) -> None:
    other = actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")
    with pytest.raises(Refused, match="another boat"):
        actions.add_unit(by=cast.tech, vessel=other, engine=cast.port)
    with pytest.raises(Refused, match="another boat"):
        actions.write_note(by=cast.tech, vessel=other, engine=cast.port, text="x")


def test_two_engines_in_one_place_are_told_at_the_first_try(cast: Cast, client: Client) -> None:
    client.force_login(cast.desk)
    url = reverse("vessels:engine-add", args=[cast.vessel.pk])
    sent = {
        "position": "port",
        "fuel": "diesel",
        "rated_rpm_low": "3600",
        "rated_rpm_high": "3200",
        "meter_shown": "-5",
    }
    page = client.post(url, sent)
    errors = page.context["form"].errors
    assert page.status_code == 422
    assert set(errors) == {"position", "rated_rpm_high", "meter_shown"}
    assert "already an engine in this position" in errors["position"][0]
    alone = client.post(url, {"position": "port", "fuel": "diesel"})
    assert set(alone.context["form"].errors) == {"position"}
    assert cast.vessel.engines.count() == 2


def test_an_engine_is_in_nobodys_way_in_its_own_place(cast: Cast, client: Client) -> None:
    client.force_login(cast.desk)
    url = reverse("vessels:engine-change", args=[cast.port.pk])
    sent = {"position": "port", "fuel": "diesel", "rated_rpm_low": "3600", "rated_rpm_high": "3200"}
    assert set(client.post(url, sent).context["form"].errors) == {"rated_rpm_high"}
    assert "position" in client.post(url, {**sent, "position": "starboard"}).context["form"].errors
