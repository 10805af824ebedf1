"""Saved sheets: named and ordered for a family, shared by a manager, versioned, and not lost under anybody’s hands."""

from __future__ import annotations

import html
import re
import uuid
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse

from commands.refusals import Refused
from findings.readings.actions import NewLimit, add_card
from findings.readings.actions.saving import NewRow, end_sheet, save_sheet, save_sheet_version, share_sheet
from findings.readings.models import Parameter, Reading, ReadingSheet, SheetRow
from findings.readings.saved import offered_sheets, rows_as_text, rows_from_text
from tests.asking import asked
from tests.cast import Cast
from tests.findings.readings.test_sheet import address, fields, named
from vessels.models import EngineFamily
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db

ROWS = (("Coolant temperature", "degC"), ("Oil pressure", "bar"), ("Neutral switch", "on/off"))


@pytest.fixture
def job(cast: Cast) -> Job:
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Runs hot.", cast.port)])


def rows(*pairs: tuple[str, str]) -> list[NewRow]:
    return [NewRow(named(name), unit) for name, unit in pairs or ROWS]


@pytest.fixture
def sheet(cast: Cast) -> ReadingSheet:
    return save_sheet(
        by=cast.tech, family=cast.family, name="Sea  trial", rows=rows(), conditions=["Idle, warm", "WOT"]
    )


def test_a_sheet_is_its_makers_until_a_manager_shares_it(cast: Cast, sheet: ReadingSheet) -> None:
    def seen_by(person: object) -> list[str]:
        return [one.sheet.name for one in offered_sheets(person, cast.family)]

    assert (seen_by(cast.tech), seen_by(cast.manager)) == (["Sea trial"], [])
    assert [one.sheet.name for one in offered_sheets(cast.manager)] == ["Sea trial"]  # a manager finds it to share it
    with pytest.raises(Refused):
        share_sheet(by=cast.tech, sheet=sheet, is_shared=True)
    share_sheet(by=cast.manager, sheet=sheet, is_shared=True)
    assert seen_by(cast.manager) == ["Sea trial"]
    with pytest.raises(Refused, match="not yours to change"):
        save_sheet_version(by=cast.tech, sheet=sheet, seen_number=1, name="Mine", rows=rows())
    other = EngineFamily.objects.create(maker="Quillon", name="Q4")
    assert offered_sheets(cast.tech, other) == []


def test_a_version_is_never_changed_and_the_one_before_stays(cast: Cast, sheet: ReadingSheet) -> None:
    before = sheet.versions.get()
    save_sheet_version(by=cast.tech, sheet=sheet, seen_number=1, name="Sea trial", rows=rows(("Oil pressure", "psi")))
    assert rows_as_text(before) == "Coolant temperature, °C\nOil pressure, bar\nNeutral switch"
    assert [one.number for one in sheet.versions.all()] == [2, 1]
    with pytest.raises(Refused, match="Version 2 of “Sea trial” was saved meanwhile"):
        save_sheet_version(by=cast.tech, sheet=sheet, seen_number=1, name="Sea trial", rows=rows())
    with pytest.raises(DatabaseError), transaction.atomic():
        SheetRow.objects.filter(version=before).update(unit="psi")
    end_sheet(by=cast.tech, sheet=sheet)
    assert offered_sheets(cast.tech, cast.family) == []
    save_sheet(by=cast.manager, family=cast.family, name="SEA TRIAL", rows=rows())  # its name is free
    with pytest.raises(Refused, match="no longer offered"):
        share_sheet(by=cast.manager, sheet=sheet, is_shared=True)


@pytest.mark.parametrize(
    ("name", "pairs", "says"),
    [
        ("", ROWS, "Give the sheet a name"), ("  ", ROWS, "Give the sheet a name"), ("x" * 81, ROWS, "too long"),
        ("sea TRIAL", ROWS, "There is a sheet"), ("Other", (("Oil pressure", "V"),), "does not measure oil pressure"),
        ("Other", (("Oil pressure", "psi"),) * 2, "twice"), ("Other", (("Oil pressure", ""),), "does not measure"),
    ],
)  # fmt: skip
def test_what_cannot_be_a_sheet_is_refused(cast: Cast, sheet: ReadingSheet, name: str, pairs: tuple, says: str) -> None:
    with pytest.raises(Refused, match=says):
        save_sheet(by=cast.tech, family=cast.family, name=name, rows=rows(*pairs))
    with pytest.raises(Refused, match="at least one row"):
        save_sheet(by=cast.tech, family=cast.family, name="None", rows=[])
    assert ReadingSheet.objects.count() == 1


@pytest.mark.parametrize(
    ("text", "kept", "problems"),
    [
        ("Oil pressure, bar\n\n coolant  TEMPERATURE ,°C", ["Oil pressure bar", "Coolant temperature degC"], 0),
        ("Oil pressure", ["Oil pressure psi"], 0), ("Neutral switch", ["Neutral switch on/off"], 0),
        ("Oil pressure, V", [], 1), ("Warp, psi", [], 1), ("Oil pressure, , psi", [], 1), ("", [], 0), ("\0", [], 0),
        ("Oil pressure bar", [], 1),
    ],
)  # fmt: skip
def test_rows_as_lines_of_text(text: str, kept: list[str], problems: int) -> None:
    found = rows_from_text(text, "us")
    assert ([f"{one.parameter.name} {one.unit}" for one in found.rows], len(found.problems)) == (kept, problems)


def test_the_rows_of_a_sheet_stand_in_its_order_under_its_conditions(cast, job, sheet, client) -> None:
    client.force_login(cast.tech)
    add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[NewLimit(parameter=named("Oil pressure"), unit="psi", low=Decimal(40))],
    )  # fmt: skip
    version = sheet.versions.get()
    page = client.post(address(cast, job), {"use-sheet": version.pk, "text": "At the dock."})
    body = html.unescape(page.content.decode())
    at = re.search(r'action="([^"]*)"[^>]* data-keep="job', body)
    assert at is not None
    assert f"sheet={version.pk}" in at[1]
    assert "At the dock." in body
    names = list(dict.fromkeys(one for one in fields(page) if one.startswith("line-")))
    keys = [named(name).pk for name, _ in ROWS]
    assert [int(one.split("-")[1]) for one in names] == [key for key in keys for _ in range(2)]
    oil = [one for one in names if one.startswith(f"line-{keys[1]}-")]
    units = {f"line-{keys[1]}-unit": "bar"}
    save_sheet_version(by=cast.tech, sheet=sheet, seen_number=1, name="Sea trial", rows=rows(("Engine speed", "rpm")))
    end_sheet(by=cast.tech, sheet=sheet)
    sent = {oil[0]: "2", oil[1]: "4", "phase": "arrival", "entry_id": str(uuid.uuid4())} | units
    for _ in range(2):  # it is sent late, and twice
        assert client.post(at[1], sent).status_code == 302
    kept = [(one.condition, one.value, one.unit, one.verdict) for one in Reading.objects.order_by("entry__position")]
    assert kept == [("Idle, warm", 2, "bar", "out"), ("WOT", 4, "bar", "in range")]


def test_what_was_typed_stays_where_another_sheet_has_no_row_for_it(cast, job, sheet, client) -> None:
    client.force_login(cast.tech)
    boost = named("Boost pressure")
    page = client.post(
        address(cast, job, f"&line={boost.pk}"), {f"line-{boost.pk}-value": "12", "use-sheet": sheet.versions.get().pk}
    )
    # the plain column goes where the sheet has conditions: what stands in it must not
    assert 'value="12"' in page.content.decode()


def test_the_rows_of_a_job_are_saved_as_a_sheet_once_and_as_its_next_version(cast, job, client) -> None:
    client.force_login(cast.tech)
    oil, switch = named("Oil pressure"), named("Neutral switch")
    at = address(cast, job, f"&line={oil.pk}&line={switch.pk}&under=Key+on")
    sent = {"save-sheet": "yes", "sheet-name": "Cold", f"line-{oil.pk}-unit": "bar", "entry_id": str(uuid.uuid4())}
    for _ in range(2):
        page = client.post(at, sent)
        assert page.status_code == 200
    saved = ReadingSheet.objects.get()
    assert (saved.name, saved.family, saved.made_by) == ("Cold", cast.family, cast.tech)
    version = saved.versions.get()
    assert (rows_as_text(version), version.conditions) == ("Oil pressure, bar\nNeutral switch", ["Key on"])
    assert "“Cold” is saved for" in html.unescape(page.content.decode())
    more = f"&sheet={version.pk}&under=Key+on&line={named('Boost pressure').pk}"
    page = client.post(address(cast, job, more), {"save-version": "yes", "entry_id": str(uuid.uuid4())})
    assert [one.number for one in saved.versions.all()] == [2, 1]
    assert "Boost pressure" in rows_as_text(saved.versions.first())
    wrong = client.post(at, {"save-sheet": "yes", "sheet-name": " ", "text": "Kept."})
    assert "Give the sheet a name." in wrong.content.decode()
    assert "Kept." in wrong.content.decode()


def test_the_pages_of_saved_sheets(cast, sheet, client, job) -> None:
    client.force_login(cast.manager)
    assert "Sea trial" in client.get(reverse("findings:sheets")).content.decode()
    at = reverse("findings:sheet", args=[sheet.pk])
    assert "offered to Tomas Reef alone" in client.get(at).content.decode()
    client.post(reverse("findings:sheet_share", args=[sheet.pk]), {"shared": "yes"})
    form = {"name": "Trial", "rows": "Oil pressure, psi\nWarp, 9", "conditions": "", "seen_number": "1"}
    page = client.post(at, form)
    assert (page.status_code, "is no name known here" in page.content.decode()) == (422, True)
    assert client.post(at, form | {"rows": "Oil pressure, psi"}).status_code == 302
    assert (ReadingSheet.objects.get().name, sheet.versions.count()) == ("Trial", 2)
    client.force_login(cast.tech)
    assert 'id="saved-sheet"' not in client.get(at).content.decode()  # shared: a manager's to change
    assert "Trial" in client.get(address(cast, job)).content.decode()


@pytest.mark.parametrize("count", [1, 15])
def test_the_pages_ask_the_same_however_many_sheets_there_are(cast, job, client, count) -> None:
    client.force_login(cast.tech)
    for index in range(count):
        save_sheet(by=cast.tech, family=cast.family, name=f"Sheet {index}", rows=rows())
    key = ReadingSheet.objects.all()[0].versions.get().pk
    for at, most in ((address(cast, job, f"&sheet={key}"), 27), (reverse("findings:sheets"), 12)):
        client.get(at)
        with asked() as counted:
            assert client.get(at).status_code == 200
        assert counted.queries <= most, (at, counted)
    assert Parameter.objects.count() > 40


def test_a_row_that_was_filled_on_the_card_is_the_one_of_the_sheet(cast, job, client) -> None:
    client.force_login(cast.tech)
    card = add_card(
        by=cast.tech, family=cast.family, title="Warm", document="Invented manual",
        limits=[NewLimit(parameter=named("Oil pressure"), unit="psi", low=Decimal(40))],
    )  # fmt: skip
    plain = save_sheet(by=cast.tech, family=cast.family, name="Plain", rows=rows())
    limit = f"limit-{card.limits.get().pk}"
    page = client.post(address(cast, job), {f"{limit}-value": "38", "use-sheet": plain.versions.get().pk})
    names = [one for one in dict.fromkeys(fields(page)) if one != "other-value"]
    coolant, switch = named("Coolant temperature").pk, named("Neutral switch").pk
    assert names == [f"line-{coolant}-value", f"{limit}-value", f"line-{switch}-value"]
    assert f'name="{limit}-value" value="38"' in page.content.decode()


def test_saved_with_nothing_changed_it_keeps_its_version(cast: Cast, sheet: ReadingSheet, client) -> None:
    save_sheet_version(
        by=cast.tech, sheet=sheet, seen_number=1, name="Sea trial", rows=rows(), conditions=["Idle,  warm", "WOT"]
    )
    assert sheet.versions.count() == 1
    client.force_login(cast.tech)
    at = reverse("findings:sheet", args=[sheet.pk])
    shown = client.get(at).context["form"]
    as_it_is = {one.html_name: one.value() for one in shown}
    answer = client.post(at, as_it_is, follow=True)
    assert "“Sea trial” is saved; its rows are those of version 1." in answer.content.decode()
    answer = client.post(at, as_it_is | {"name": "Trial", "entry_id": str(uuid.uuid4())}, follow=True)
    assert "“Trial” is saved; its rows are those of version 1." in answer.content.decode()
    sheet.refresh_from_db()
    assert (sheet.name, sheet.versions.count()) == ("Trial", 1)
    turned = "\n".join(reversed(as_it_is["rows"].splitlines()))
    answer = client.post(at, as_it_is | {"rows": turned, "entry_id": str(uuid.uuid4())}, follow=True)
    assert "is saved as version 2." in answer.content.decode()
    assert sheet.versions.count() == 2


def test_the_rows_of_a_sheet_saved_again_where_they_are_filled_in_keep_their_version(
    cast: Cast, sheet: ReadingSheet, job: Job, client
) -> None:
    client.force_login(cast.tech)
    version = sheet.versions.get()
    at = address(cast, job, f"&sheet={version.pk}&under=Idle%2C+warm&under=WOT")
    page = client.post(at, {"save-version": "yes", "entry_id": str(uuid.uuid4())})
    assert "“Sea trial” has these rows already: it stays at version 1." in html.unescape(page.content.decode())
    assert sheet.versions.count() == 1
