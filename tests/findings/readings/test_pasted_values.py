"""Pasted values: a line that is understood goes to its row, every other one stays, names are learned."""

from __future__ import annotations

import html
import re
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from engineering.measures import Kind
from findings.instruments.actions import add_instrument
from findings.readings.actions import NewLimit, add_card
from findings.readings.lines import read_lines
from findings.readings.models import LearnedName, Parameter, Reading
from tests.cast import Cast
from tests.findings.readings.test_sheet import address, named
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


@pytest.mark.parametrize(
    ("line", "name", "value"),
    [
        ("Oil pressure 45 psi", "Oil pressure", "45 psi"), ("Oil pressure: 4,5 bar", "Oil pressure", "4,5 bar"),
        ("Oil pressure = 45psi", "Oil pressure", "45 psi"), ("EGT 2 1180 °F", "EGT 2", "1180 °F"),
        ("EGT 2 1180", "EGT 2", "1180"), ("Coolant temp -5 °C", "Coolant temp", "-5 °C"),
        ("Oil pressure\t45\tpsi", "Oil pressure", "45 psi"), ("Oil pressure;4,5;bar", "Oil pressure", "4,5 bar"),
        ("Oil pressure,45,psi", "Oil pressure", "45 psi"), ("Oil pressure, 45", "Oil pressure", "45"),
        ('"Oil, pressure",45,psi', "Oil, pressure", "45 psi"), ("Cylinder 1, 120, psi", "Cylinder 1", "120 psi"),
        ("Neutral switch ON", "Neutral switch", "on"), ("Neutral switch;off;", "Neutral switch", "off"),
        ("Load 38 %", "Load", "38 %"), ("Load 38%", "Load", "38 %"),
        ("Oil pressure [kPa]: 414", "Oil pressure", "414 kPa"), ("Oil pressure (psi) 60", "Oil pressure", "60 psi"),
        ("Oil pressure kPa 414", "Oil pressure kPa", "414 kPa"), ("Coolant (°C)\t88", "Coolant", "88 °C"),
        ("Oil pressure\tkPa\t414", "Oil pressure kPa", "414 kPa"), ("Battery (A) 12.4", "Battery", "12.4 A"),
        ("Oil pressure (psi) 60 kPa", "Oil pressure (psi)", "60 kPa"), ("Tank (port) 40", "Tank (port)", "40"),
        ("Pump A 3", "Pump A", "3"), ("Oil pressure min 30", "Oil pressure min", "30"),
        ("Oil pressure (min) 30", "Oil pressure (min)", "30"), ("Fuel rate 12 L/hr", "Fuel rate", "12 L/hr"),
        # noise
        ("Battery 12.1-12.4 V", "", ""), ("Battery 12.1 - 12.4 V", "Battery 12.1 -", "12.4 V"),
        ("Battery <0.1 V", "", ""), ("Battery < 0.1 V", "", ""), ("Battery ~12.4 V", "", ""),
        ("Sender OL", "", ""), ("Sender 1.2 mOhm", "", ""), ("Sender 1.2k", "", ""), ("Oil pressure 75 psia", "", ""),
        ("Oil pressure 414 kPa (60 psi)", "", ""), ("Oil pressure,4,1,bar", "", ""), ("Speed 2.4e3 rpm", "", ""),
        ("Coolant 88 C 14:20", "", ""), ("Coolant 2026-05-03 88 C", "Coolant 2026-05-03", "88 C"),
        ("Oil pressure 60 psi @ 2000 rpm", "Oil pressure 60 psi @", "2000 rpm"), ("Oil pressure ±60 psi", "", ""),
        ("Name;Value;Unit", "", ""), ("45 psi", "", ""), ("Oil pressure", "", ""), ("Oil pressure 45 furlongs", "", ""),
        ("Oil pressure 45 psi at idle", "", ""), ("Oil;45;psi;and more", "", ""), ("Oil pressure ½", "", ""),
        ("Read on 11/28/2026 14:05", "", ""), ("-----", "", ""), ("Oil;4,5 bar;psi", "", ""), ("on", "", ""),
        ("Oil pressure ---", "", ""), ("Oil pressure >45 psi", "", ""), ("Page 1 of 2", "Page 1 of", "2"),
        ('"Oil pressure,45', "", ""), ("Oil pressure about 60 psi", "", ""), ("Oil pressure ca. 4 bar", "", ""),
    ],
)  # fmt: skip
def test_what_a_line_says(line: str, name: str, value: str) -> None:
    (found,), _ = read_lines(line)
    assert (found.name, found.value, found.text) == (name, value, line)


def test_no_line_is_dropped_and_nothing_endless_is_read() -> None:
    assert [one.text for one in read_lines("\n\n a 1 \n\0\nb\n")[0]] == ["a 1", "b"]
    read, rest = read_lines("x 1\n" * 900)
    assert (len(read), len(rest)) == (200, 700)
    too_long = f"Oil pressure {'0' * 300}45 psi"
    assert [(one.name, one.text) for one in read_lines(too_long)[0]] == [("", too_long)]


def test_what_has_no_unit_or_may_mean_thousands_is_told(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    text = "Oil pressure 414\nCoolant temperature (°C) 88\nEngine speed 1.204 rpm\nEngine load 41"
    shown = body(client.post(address(cast, job), {"paste": text, "paste-in": "yes", "instrument": "Reader R2"}))
    assert "The text gives no unit for Oil pressure: each counts in the unit of its row." in shown
    assert f'name="line-{named("Coolant temperature").pk}-value" value="88 °C"' in shown
    assert "“1.204” can mean 1204 or 1.204: write it without the point." in shown


def test_lines_that_are_left_over_are_asked_about_before_the_rest_is_logged(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    oil = named("Oil pressure")
    typed = {"phase": "arrival", f"line-{oil.pk}-value": "38 psi", f"line-{oil.pk}-unit": "psi"}
    asked = client.post(f"{address(cast, job)}&line={oil.pk}", typed | {"paste": "ECT 181 F\nmore"})
    assert asked.status_code == 422
    shown = body(asked)
    assert "Pasted lines are not on the sheet, and would not be logged: “ECT 181 F more”." in shown
    assert ">ECT 181 F\nmore</textarea>" in shown
    assert not Reading.objects.exists()
    key = "pasted lines left out: ECT 181 F more"
    assert (
        client.post(
            f"{address(cast, job)}&line={oil.pk}", typed | {"paste": "ECT 181 F\nmore", "asked": key}
        ).status_code
        == 302
    )
    assert Reading.objects.get().value == 38


def body(page: Any) -> str:
    return html.unescape(page.content.decode())


def test_a_text_fills_its_rows_and_what_is_not_understood_stays(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    card = add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[NewLimit(parameter=named("Oil pressure"), unit="psi", low=Decimal(40))],
    )  # fmt: skip
    oil, coolant = card.limits.get(), named("Coolant temperature")
    text = "Name,Value,Unit\nOil pressure,38,psi\nCoolant temperature,181,°F\nECT,180,°F\nOil pressure,39,psi"
    page = client.post(address(cast, job), {"paste": text, "paste-in": "yes", "instrument": "Reader R2"})
    shown = body(page)
    assert f'name="limit-{oil.pk}-value" value="38 psi"' in shown
    assert f'name="line-{coolant.pk}-value" value="181 °F"' in shown
    assert "2 psi below" in shown  # judged before it is logged
    assert "2 lines put on the sheet, 3 left below. Nothing is logged yet." in shown
    left = re.search(r'<textarea id="id_paste"[^>]*>([^<]*)</textarea>', shown)
    assert left is not None
    assert left[1].split("\n") == ["Name,Value,Unit", "ECT,180,°F", "Oil pressure,39,psi"]
    assert "Oil pressure stands in the text twice." in shown
    assert not Reading.objects.exists()


def test_a_name_is_asked_once_for_each_instrument(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    gauge = add_instrument(by=cast.manager, kind="Reader", make="R2", serial="1")
    coolant, oil = named("Coolant temperature"), named("Oil temperature")
    asked = {"paste": "ECT 180 °F", "paste-in": "yes", "registered": gauge.pk}
    assert "This name is not known here." in body(client.post(address(cast, job), asked))
    answer = asked | {"as-0": coolant.pk, "as-0-name": "ECT"}
    for _ in range(2):
        page = client.post(address(cast, job), answer)
        assert f'name="line-{coolant.pk}-value" value="180 °F"' in body(page)
    assert LearnedName.objects.get().parameter == coolant
    again = body(client.post(address(cast, job), asked | {"paste": "ect  175 °F"}))
    assert f'name="line-{coolant.pk}-value" value="175 °F"' in again
    assert "“ect” was taken as Coolant temperature." in again
    other = body(client.post(address(cast, job), asked | {"registered": "", "instrument": "Reader R3"}))
    assert "This name is not known here." in other
    client.post(address(cast, job), {"forget-name": "ECT", "registered": gauge.pk})
    assert "This name is not known here." in body(client.post(address(cast, job), asked))
    client.post(address(cast, job), asked | {"as-0": oil.pk, "as-0-name": "ECT"})
    assert LearnedName.objects.get().parameter == oil


def test_a_value_that_stands_there_is_not_written_over(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    typed = {f"line-{boost.pk}-value": "12", "paste": "Boost pressure 14 psi", "paste-in": "yes"}
    shown = body(client.post(address(cast, job, f"&line={boost.pk}"), typed))
    assert f'name="line-{boost.pk}-value" value="12"' in shown
    assert "Its row has a value already" in shown
    assert ">Boost pressure 14 psi</textarea>" in shown
    empty = body(client.post(address(cast, job), {"paste": " ", "paste-in": "yes"}))
    assert "Paste some lines first." in empty


def test_values_go_into_the_column_that_was_chosen(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    at = address(cast, job, f"&beside={cast.starboard.pk}")
    shown = body(client.post(at, {"paste": "Boost pressure 14 psi", "paste-in": "yes", "paste-column": "1"}))
    boost = named("Boost pressure").pk
    assert re.search(rf'name="line-{boost}-{cast.starboard.pk}x[0-9a-f]{{8}}-value" value="14 psi"', shown)
    assert f'name="line-{boost}-value" value=""' in shown


def test_more_lines_than_a_sheet_has_rows_are_kept(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    Parameter.objects.bulk_create(Parameter(name=f"Tap {at}", kind=Kind.PRESSURE.value) for at in range(70))
    text = "\n".join(f"Tap {at} {at} psi" for at in range(70))
    shown = body(client.post(address(cast, job), {"paste": text, "paste-in": "yes"}))
    assert "60 lines put on the sheet, 10 left below." in shown
    assert shown.count("The sheet has no room for more rows.") == 10


def in_file(content: bytes | str) -> SimpleUploadedFile:
    return SimpleUploadedFile("values.csv", content.encode() if isinstance(content, str) else content)


def test_a_file_is_looked_at_as_a_pasted_text_is(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    coolant, boost = named("Coolant temperature"), named("Boost pressure")
    text = "\ufeffname,value,unit\r\nCoolant temperature,181,°F\r\nWhat,4,\r\n"
    sent = {"paste": "Boost pressure 14 psi", "paste-file": in_file(text), "paste-in": "yes"}
    shown = body(client.post(address(cast, job), sent))
    assert f'name="line-{coolant.pk}-value" value="181 °F"' in shown
    assert f'name="line-{boost.pk}-value" value="14 psi"' in shown
    assert ">name,value,unit\nWhat,4,</textarea>" in shown
    assert not Reading.objects.exists()


def test_a_file_is_never_passed_over_whatever_button_is_pressed(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    typed = {"phase": "arrival", f"line-{boost.pk}-value": "14", f"line-{boost.pk}-unit": "psi"}
    at = f"{address(cast, job)}&line={boost.pk}"
    answer = client.post(at, typed | {"paste-file": in_file("Oil pressure 40 psi")})
    assert answer.status_code == 422
    assert "Pasted lines are not on the sheet" in body(answer)
    assert ">Oil pressure 40 psi</textarea>" in body(answer)
    kept = client.post(at, typed | {"paste-file": in_file("Oil pressure 40 psi"), "under": "Key on"})
    assert ">Oil pressure 40 psi</textarea>" in body(kept)
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("Ölþ 4".encode("latin-1"), "not UTF-8"), (b"a\0b", "is no text"), (b"x 1\n" * 20_000, "more than 40 kB"),
        (b"", "The file is empty."), (b" \n", "The file is empty."),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_read_says_so_and_logs_nothing(cast, job, client, content, said) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    typed = {"phase": "arrival", f"line-{boost.pk}-value": "14", f"line-{boost.pk}-unit": "psi"}
    at = f"{address(cast, job)}&line={boost.pk}"
    for more in ({}, {"paste-in": "yes"}):
        answer = client.post(at, typed | more | {"paste-file": in_file(content)})
        assert said in body(answer)
        assert 'value="14"' in body(answer)
    assert not Reading.objects.exists()


def test_lines_beyond_those_that_are_read_at_once_stay(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    text = "\n".join(["Boost pressure 14 psi", *(f"Nothing {at}" for at in range(250))])
    shown = body(client.post(address(cast, job), {"paste": text, "paste-in": "yes"}))
    assert "51 more lines stand above and were not looked at yet." in shown
    left = re.search(r'<textarea id="id_paste"[^>]*>([^<]*)</textarea>', shown)
    assert left is not None
    assert left[1].split("\n") == text.split("\n")[1:]


def under_conditions(cast: Cast) -> Any:
    """A card that judges each parameter under one condition, and one without any."""
    return add_card(
        by=cast.tech, family=cast.family, title="Card", document="Invented manual",
        limits=[
            NewLimit(named("Coolant temperature"), "degC", "warm, 2000 rpm", low=Decimal(75), high=Decimal(90)),
            NewLimit(named("Fuel pressure"), "kPa", "idle, 650 rpm", low=Decimal(380), high=Decimal(420)),
            NewLimit(named("Charging voltage"), "V", low=Decimal("13.5"), high=Decimal("14.7")),
        ],
    )  # fmt: skip


UNJUDGED = "stands without a condition, and the spec card judges it only under one."


@pytest.mark.parametrize(
    ("text", "name", "value", "has_condition"),
    [
        ("Coolant temperature 180", "Coolant temperature", "180", True),
        ("Coolant temperature 92 °C", "Coolant temperature", "92 °C", True),
        ("Coolant temperature 85 °C", "Coolant temperature", "85 °C", True),
        ("Fuel pressure 400 kPa", "Fuel pressure", "400 kPa", True),
        ("Fuel pressure;400;kPa", "Fuel pressure", "400 kPa", True),
        ("Charging voltage 14.1 V", "Charging voltage", "14.1 V", False),
        ("Charging voltage 12 V", "Charging voltage", "12 V", False),
        ("Boost pressure 14 psi", "Boost pressure", "14 psi", False),
    ],
)
@pytest.mark.parametrize("way", ["paste", "find"])
def test_a_value_without_a_condition_is_not_put_under_one(
    cast: Cast, job: Job, client: Any, text: str, name: str, value: str, has_condition: bool, way: str
) -> None:
    """The text says nothing of "warm, 2000 rpm": logged so, and judged by its limits, it would be a false finding."""
    client.force_login(cast.tech)
    limits = {one.parameter.name: one for one in under_conditions(cast).limits.all()}
    typed = {"paste": text, "paste-in": "yes"} if way == "paste" else {"find": text.replace(";", " "), "take": "first"}
    shown = body(client.post(address(cast, job), typed))
    own = f'name="line-{named(name).pk}-value" value="{value}"'
    if name not in limits:
        assert own in shown
    elif has_condition:
        assert own in shown
        assert f'name="limit-{limits[name].pk}-value" value=""' in shown
        assert f"{name} {UNJUDGED}" in shown
        assert "above the band" not in shown
    else:
        assert f'name="limit-{limits[name].pk}-value" value="{value}"' in shown
    assert (UNJUDGED in shown) is has_condition


def test_what_is_logged_of_a_pasted_value_names_no_condition(cast: Cast, job: Job, client: Any) -> None:
    client.force_login(cast.tech)
    under_conditions(cast)
    fuel = named("Fuel pressure")
    typed = {"phase": "arrival", f"line-{fuel.pk}-value": "400 kPa", f"line-{fuel.pk}-unit": "kPa"}
    assert client.post(f"{address(cast, job)}&line={fuel.pk}", typed).status_code == 302
    one = Reading.objects.get()
    assert (one.condition, one.verdict, one.judged_by) == ("", "no limits", None)
