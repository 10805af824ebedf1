"""The pages of one job: overview and moves, intake, lines and charges, log, tag."""

from __future__ import annotations

import re
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from parts.models import Part
from staff.models import Person, ShopProfile
from staff.policy import Role
from staff.queries import shop_profile
from tests.cast import Cast, keep_to_the_office
from tests.workorders.counter import signed_in
from workorders.actions import add_charge, add_line, change_intake, change_line, move_job, strike_charge
from workorders.models import Charge, Job


def move_data(job: Job, to: str, **more: Any) -> dict[str, Any]:
    return {
        "to": to,
        "seen_version": job.version,
        "seen_state": job.state,
        "reason": "",
        "entry_id": str(uuid.uuid4()),
        **more,
    }


def form_data(page: Any, **changed: Any) -> dict[str, Any]:
    """What a browser would send of the page's form, with some fields typed over."""
    form = page.context["form"]
    data: dict[str, Any] = {}
    for bound in form:
        value = bound.value()
        data[bound.html_name] = value if isinstance(value, list) else "" if value is None else str(value)
        if bound.field.show_hidden_initial:
            data[bound.html_initial_name] = data[bound.html_name]
    return {**data, **changed}


def test_the_overview_says_what_stands_where_and_what_is_next(cast: Cast, job: Job) -> None:
    text = signed_in(cast.desk).get(f"/jobs/{job.number}/").content.decode()
    for words in (
        "Second Wind",
        "Wes Harrow",
        "tel:+15555550123",
        "Will not hold 3000 rpm",
        "Authorize",
        "GBD12345A525",
    ):
        assert words in text
    assert 'value="in-work"' not in text  # not a move from an estimate


def test_a_button_moves_the_job(cast: Cast, job: Job) -> None:
    page = signed_in(cast.desk).post(f"/jobs/{job.number}/move/", move_data(job, "authorized", reason="By phone"))
    assert page.status_code == 302
    assert Job.objects.get().state == "authorized"


def test_a_missing_reason_is_told_by_its_field_and_the_note_is_kept(cast: Cast, job: Job) -> None:
    page = signed_in(cast.desk).post(f"/jobs/{job.number}/move/", move_data(job, "canceled"))
    assert page.status_code == 422
    assert 'href="#id_reason"' in page.content.decode()
    assert Job.objects.get().state == "estimate"


def test_a_stale_move_shows_where_the_job_is_now_and_keeps_the_note(cast: Cast, job: Job) -> None:
    seen = Job.objects.get()
    move_job(by=cast.manager, job=job, to="authorized", seen_version=1, reason="By phone")
    client = signed_in(cast.desk)
    page = client.post(f"/jobs/{job.number}/move/", move_data(seen, "canceled", reason="No answer"))
    text = page.content.decode()
    assert page.status_code == 409
    assert "Mina Sparrow" in text
    assert "No answer" in text
    assert f'name="seen_version" value="{job.version}"' in text
    assert Job.objects.get().state == "authorized"
    again = client.post(f"/jobs/{job.number}/move/", move_data(Job.objects.get(), "canceled", reason="No answer"))
    assert again.status_code == 302


def test_looking_at_a_move_moves_nothing(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    for to in ("", "in-work", "nowhere", "canceled\x01"):
        assert client.get(f"/jobs/{job.number}/move/", {"to": to}).url == f"/jobs/{job.number}/"
    for to in ("authorized", "canceled"):
        assert client.get(f"/jobs/{job.number}/move/", {"to": to}).status_code == 200
    assert Job.objects.get().state == "estimate"


@pytest.mark.parametrize(
    ("start", "to", "question"),
    [
        ("estimate", "canceled", "Write why the job is canceled."),
        ("estimate", "waiting-customer", "Write what the customer has to decide or do."),
        ("in-work", "waiting-parts", "Enter which parts the job is waiting for."),
        ("in-work", "waiting-weather", "Write what weather the job is waiting for."),
        ("in-work", "ready", "Line 1 has no correction. Write what was done on the Lines tab, or say here why nothing"),
        ("canceled", "estimate", "Write why the job is opened again."),
    ],
)
def test_a_move_that_has_to_be_explained_asks_before_it_is_made(cast, job, start, to, question) -> None:
    Job.objects.update(state=start, closed_at=timezone.now() if start == "canceled" else None)
    client = signed_in(cast.desk)
    overview = client.get(f"/jobs/{job.number}/").content.decode()
    assert f'href="/jobs/{job.number}/move/?to={to}"' in overview
    assert f'name="to" value="{to}"' not in overview
    page = client.get(f"/jobs/{job.number}/move/", {"to": to})
    assert question in page.content.decode()
    empty = client.post(f"/jobs/{job.number}/move/", form_data(page, to=to))
    assert (empty.status_code, Job.objects.get().state) == (422, start)
    assert question in empty.content.decode()
    assert client.post(f"/jobs/{job.number}/move/", form_data(page, to=to, reason="They called")).status_code == 302
    assert (Job.objects.get().state, Job.objects.get().vessel.log.order_by("position").last().text) == (
        to,
        "They called",
    )


@pytest.mark.parametrize(
    ("location", "spot", "words"),
    [
        ("slip", "A-12", "Slip A-12"),
        ("slip", "slip A-12", "slip A-12"),
        ("slip", "", "Slip"),
        ("rack", "4", "Rack 4"),
        ("trailer", "blue tag", "Trailer blue tag"),
        ("yard", "by the crane", "Yard, by the crane"),
        ("away", "City dock", "Away from the shop: City dock"),
        ("away", "", "Away from the shop"),
    ],
)
def test_where_a_boat_is_reads_as_it_is_said(location, spot, words) -> None:
    assert Job(location=location, spot=spot).where == words


def test_the_tag_says_what_the_boat_looks_like(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    job.vessel.color, job.vessel.registration = "White over sand", "ZZ 1234 AB"
    job.vessel.maker, job.vessel.model, job.vessel.model_year = "Gullwing", "Tern 21", 2019
    job.vessel.save()
    text = client.get(f"/jobs/{job.number}/tag/").content.decode()
    assert "2019 Gullwing Tern 21 · White over sand" in text
    assert 'Reg. <span class="code">ZZ 1234 AB</span>' in text
    type(job.vessel).objects.update(color="", registration="", maker="", model="", model_year=None, hin="")
    assert "tag-what" not in client.get(f"/jobs/{job.number}/tag/").content.decode()


def test_a_note_that_some_moves_need_is_not_called_optional(cast: Cast, job: Job) -> None:
    text = signed_in(cast.desk).get(f"/jobs/{job.number}/").content.decode()
    assert "Note on the move</label>" in text


def test_the_intake_is_changed(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    page = client.get(f"/jobs/{job.number}/intake/")
    done = client.post(f"/jobs/{job.number}/intake/", form_data(page, keys="Hook 4", technician=str(cast.tech.pk)))
    assert done.status_code == 302
    job.refresh_from_db()
    assert (job.keys, job.technician) == ("Hook 4", cast.tech)


def test_two_people_at_one_intake_choose_field_by_field(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/intake/"
    mine = form_data(client.get(url), keys="Hook 12", contents="Cooler\r\nVest", spot="C-1")
    change_intake(
        by=cast.manager, job=job, seen_version=1, changes={"keys": "Safe", "spot": "R9", "condition": "Scratched"}
    )
    page = client.post(url, mine)
    text = page.content.decode()
    assert page.status_code == 409
    assert "Mina Sparrow saved this while you were writing" in text
    assert [one.name for one in page.context["both"]] == ["spot", "keys"]  # contents only they changed
    assert [(one.theirs, one.mine) for one in page.context["both"]] == [("R9", "C-1"), ("Safe", "Hook 12")]
    job.refresh_from_db()
    assert (job.keys, job.contents) == ("Safe", "")
    chosen = {**form_data_again(page), "keep-keys": "theirs", "keep-spot": "mine"}
    assert client.post(url, chosen).status_code == 302
    job.refresh_from_db()
    assert (job.keys, job.spot, job.contents, job.condition) == ("Safe", "C-1", "Cooler\nVest", "Scratched")


def form_data_again(page: Any) -> dict[str, Any]:
    """What the browser would send of a form that came back."""
    return {name: value for name, value in page.context["form"].data.items() if name != "csrfmiddlewaretoken"}


def test_two_people_at_different_fields_do_not_meet(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/intake/"
    mine = form_data(client.get(url), contents="Cooler")
    change_intake(by=cast.manager, job=job, seen_version=1, changes={"keys": "Safe"})
    assert client.post(url, mine).status_code == 302
    job.refresh_from_db()
    assert (job.keys, job.contents) == ("Safe", "Cooler")


def test_a_third_save_in_between_is_shown_as_well(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/intake/"
    mine = form_data(client.get(url), keys="Hook 12")
    change_intake(by=cast.manager, job=job, seen_version=1, changes={"keys": "Safe"})
    page = client.post(url, mine)
    change_intake(by=cast.owner, job=job, seen_version=2, changes={"keys": "My pocket"})
    again = client.post(url, {**form_data_again(page), "keep-keys": "mine"})
    assert again.status_code == 409
    assert again.context["both"][0].theirs == "My pocket"


def test_each_role_gets_the_fields_of_a_line_that_it_writes(cast: Cast, job: Job) -> None:
    keep_to_the_office()
    url = f"/jobs/{job.number}/lines/1/"
    offered = {
        person.username: {"concern", "engine", "cause", "correction"}
        & set(signed_in(person).get(url).context["form"].fields)
        for person in (cast.desk, cast.tech, cast.manager)
    }
    assert offered == {
        "dora": {"concern", "engine"},
        "tomas": {"cause", "correction"},
        "mina": {"concern", "engine", "cause", "correction"},
    }


def test_a_technician_writes_cause_and_correction(cast: Cast, job: Job) -> None:
    keep_to_the_office()
    client = signed_in(cast.tech)
    url = f"/jobs/{job.number}/lines/1/"
    data = form_data(client.get(url), cause="Fuel filter", correction="New filter", concern="Hacked")
    assert client.post(url, data).status_code == 302
    line = job.lines.get()
    assert (line.cause, line.correction, line.concern) == ("Fuel filter", "New filter", "Will not hold 3000 rpm")


def test_two_people_at_one_line_are_shown_both_versions(cast: Cast, job: Job) -> None:
    client = signed_in(cast.tech)
    url = f"/jobs/{job.number}/lines/1/"
    mine = form_data(client.get(url), cause="Air in the line")
    change_line(by=cast.manager, line=job.lines.get(), seen_version=1, changes={"cause": "Fuel filter"})
    page = client.post(url, mine)
    assert page.status_code == 409
    assert "Fuel filter" in page.content.decode()
    assert "Air in the line" in page.content.decode()
    assert client.post(url, {**form_data_again(page), "keep-cause": "mine"}).status_code == 302
    assert job.lines.get().cause == "Air in the line"


def test_a_line_without_a_concern_is_told_by_its_field(cast: Cast, job: Job) -> None:
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/lines/"
    page = client.post(url, {"concern": " ", "engine": "", "entry_id": str(uuid.uuid4())})
    assert page.status_code == 422
    assert 'href="#id_concern"' in page.content.decode()
    assert client.post(url, {"concern": "Leaks", "engine": ""}).status_code == 302
    assert job.lines.count() == 2


def test_a_closed_job_says_so_and_offers_no_change(cast: Cast, job: Job) -> None:
    Job.objects.update(state="closed", closed_at=timezone.now())
    client = signed_in(cast.manager)
    text = client.get(f"/jobs/{job.number}/lines/").content.decode()
    assert "The job is closed" in text
    assert "Add a charge" not in text
    page = client.post(f"/jobs/{job.number}/lines/", {"concern": "One more", "engine": ""})
    assert page.status_code == 422
    assert "One more" in page.content.decode()


def charge_data(**more: Any) -> dict[str, Any]:
    return {
        "step": "add",
        "kind": "labor",
        "description": "Find the cause",
        "quantity": "2,5",
        "unit_price": "",
        "taxable": "",
        "line": "",
        "part": "",
        "entry_id": str(uuid.uuid4()),
        **more,
    }


def test_charges_add_up_with_tax(cast: Cast, job: Job) -> None:
    Job.objects.update(tax_percent=Decimal("6.25"), tax_on_labor=False)
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/charges/add/"
    assert client.post(url, charge_data(line=str(job.lines.get().pk))).status_code == 302
    part = Part.objects.create(number="NL-77", description="Thermostat", unit_price=Decimal("48.75"))
    chosen = client.post(url, charge_data(step=f"part:{part.pk}"))
    assert chosen.status_code == 200
    assert 'value="48.75"' in chosen.content.decode()
    data = charge_data(kind="part", part=str(part.pk), description="", quantity="1", unit_price="")
    assert client.post(url, data).status_code == 302
    assert client.post(url, data).status_code == 302  # sent twice
    text = client.get(f"/jobs/{job.number}/lines/").content.decode()
    for words in ("$300.00", "$48.75", "6.25 % of $48.75", "$3.05", "$351.80", "NL-77 Thermostat"):
        assert words in text
    assert Charge.objects.count() == 2


def test_parts_are_found_by_number_and_words(cast: Cast, job: Job) -> None:
    part = Part.objects.create(number="NL-77-102", description="Thermostat", unit_price=Decimal("48.75"))
    client = signed_in(cast.desk)
    url = f"/jobs/{job.number}/charges/add/"
    for text in ("nl77", "thermo"):
        assert f'value="part:{part.pk}"' in client.get(url, {"q": text}).content.decode()
    fragment = client.get(url, {"q": "thermo"}, headers={"HX-Request": "true", "HX-Target": "parts-found"})
    assert "<html" not in fragment.content.decode()
    kept = client.post(url, charge_data(step="find", q="thermo")).content.decode()
    assert "Find the cause" in kept


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"quantity": "0"}, "quantity"),
        ({"quantity": "lots"}, "quantity"),
        ({"kind": "fee", "description": "Wash"}, "unit_price"),
        ({"kind": "sublet", "description": "", "unit_price": "5"}, "description"),
        ({"unit_price": "-1"}, "unit_price"),
        ({"unit_price": "1.005"}, "unit_price"),
    ],
)
def test_a_charge_that_makes_no_sense_is_told_by_its_field(
    cast: Cast, job: Job, more: dict[str, str], field: str
) -> None:
    page = signed_in(cast.desk).post(f"/jobs/{job.number}/charges/add/", charge_data(**more))
    assert page.status_code == 422
    assert f'href="#id_{field}"' in page.content.decode()
    assert not Charge.objects.exists()


def test_a_charge_is_taken_off_and_stays_visible(cast: Cast, job: Job) -> None:
    charge = add_charge(by=cast.desk, job=job, kind="labor", description="Find the cause")
    client = signed_in(cast.desk)
    assert client.post(f"/jobs/{job.number}/charges/{charge.pk}/strike/").status_code == 302
    text = client.get(f"/jobs/{job.number}/lines/").content.decode()
    assert "<s>Find the cause</s>" in text
    assert "voided by Dora Quill" in text
    assert "$0.00" in text
    assert client.post(f"/jobs/{job.number + 1}/charges/{charge.pk}/strike/").status_code == 404


def test_a_technician_sees_prices_and_cannot_change_them(cast: Cast, job: Job) -> None:
    charge = add_charge(by=cast.desk, job=job, kind="labor", description="Find the cause")
    client = signed_in(cast.tech)
    text = client.get(f"/jobs/{job.number}/lines/").content.decode()
    assert "$120.00" in text
    assert "Void<" not in text
    assert "Add a charge" not in text
    assert client.get(f"/jobs/{job.number}/charges/add/").status_code == 403
    assert client.post(f"/jobs/{job.number}/charges/{charge.pk}/strike/").status_code == 403


def test_money_is_shown_in_the_shops_currency(cast: Cast, job: Job) -> None:
    add_charge(by=cast.desk, job=job, kind="labor")
    shop_profile()
    ShopProfile.objects.update(currency="EUR")
    assert "€120.00" in signed_in(cast.desk).get(f"/jobs/{job.number}/lines/").content.decode()


def test_the_log_of_a_job_holds_what_was_logged_on_it(cast: Cast, job: Job) -> None:
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"keys": "Hook 4"})
    move_job(by=cast.desk, job=job, to="authorized", reason="By phone", seen_version=2)
    text = signed_in(cast.tech).get(f"/jobs/{job.number}/log/").content.decode()
    for words in ("Job opened", "Job changed", "Hook 4", "estimate → authorized", "By phone"):
        assert words in text


def test_the_tag_has_number_boat_keys_and_a_code_that_leads_to_the_job(cast: Cast, job: Job, settings: Any) -> None:
    settings.PUBLIC_URL, settings.PUBLIC_URL_IS_GIVEN = "https://shop.example.com", True
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"keys": "Hook 4"})
    page = signed_in(cast.tech).get(f"/jobs/{job.number}/tag/")
    text = page.content.decode()
    for words in (
        str(job.number),
        "Second Wind",
        "Wes Harrow",
        "(555) 555-0123",
        "Hook 4",
        "B-14",
        "tag-half-letter.css",
    ):
        assert words in text
    assert f"https://shop.example.com/jobs/{job.number}/" in text
    assert "style=" not in text
    assert '<div role="img" aria-label="QR code of https://shop.example.com' in text


def test_the_tags_paper_follows_the_shops(cast: Cast, job: Job) -> None:
    shop_profile()
    ShopProfile.objects.update(paper="a4")
    assert "tag-a5.css" in signed_in(cast.desk).get(f"/jobs/{job.number}/tag/").content.decode()


def test_without_a_public_address_the_code_leads_to_where_the_page_was_asked(
    cast: Cast, job: Job, settings: Any
) -> None:
    settings.PUBLIC_URL_IS_GIVEN = False
    assert (
        f"http://testserver/jobs/{job.number}/" in signed_in(cast.desk).get(f"/jobs/{job.number}/tag/").content.decode()
    )


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        (
            {"kind": "part", "quantity": "99", "unit_price": "99999.99"},
            "unit_price",
            "That comes to $9,899,999.01: check",
        ),
        ({"quantity": "1", "unit_price": "100000.01"}, "unit_price", "That comes to $100,000.01"),
        ({"quantity": "501", "unit_price": "1"}, "quantity", "501 hours of labor on one line"),
        ({"quantity": "1", "unit_price": "100000"}, "", ""),
        ({"quantity": "500", "unit_price": "120"}, "", ""),
        ({"kind": "part", "quantity": "501", "unit_price": "1"}, "", ""),
    ],
)
def test_a_charge_beyond_what_a_shop_has_is_asked_about_once(cast: Cast, job: Job, more, field, said) -> None:
    client, url = signed_in(cast.desk), f"/jobs/{job.number}/charges/add/"
    data = charge_data(**{"kind": "labor", **more})
    answer = client.post(url, data)
    if field:
        assert answer.status_code == 422
        assert said in answer.context["form"].errors[field][0]
        assert not job.charges.exists()
        asked = re.findall(r'name="asked"\s+value="([^"]*)"', answer.content.decode())
        answer = client.post(url, {**data, "asked": asked})
    assert answer.status_code == 302
    assert job.charges.count() == 1


def test_more_than_a_charge_can_be_is_refused_and_not_asked_about(cast: Cast, job: Job) -> None:
    data = charge_data(kind="part", quantity="99999", unit_price="99999.99")
    answer = signed_in(cast.desk).post(f"/jobs/{job.number}/charges/add/", data)
    assert answer.status_code == 422
    said = answer.context["form"].errors["unit_price"][0]
    assert said == "That comes to $9,999,899,000.01, which is more than one charge can be."
    assert 'name="asked"' not in answer.content.decode()
    assert not job.charges.exists()


@pytest.mark.parametrize("number", [4, 99999999999999999999])
@pytest.mark.parametrize("page", ["", "lines/", "log/", "tag/", "intake/", "lines/1/", "charges/add/"])
def test_a_job_that_is_not_there(cast: Cast, number: int, page: str) -> None:
    assert signed_in(cast.manager).get(f"/jobs/{number}/{page}").status_code == 404


@pytest.mark.parametrize("page", ["", "lines/", "log/", "tag/"])
@pytest.mark.parametrize("role", Role)
def test_everybody_sees_a_job(cast: Cast, job: Job, page: str, role: Role) -> None:
    assert signed_in(cast.person(role)).get(f"/jobs/{job.number}/{page}").status_code == 200


def busier(cast: Cast, job: Job, times: int, people: list[Person]) -> None:
    for index in range(times):
        line = add_line(by=cast.tech, job=job, concern=f"Concern {index}", engine=cast.port)
        charge = add_charge(by=people[index % len(people)], job=job, kind="labor", line=line)
        add_charge(by=cast.desk, job=job, kind="fee", description="Fee", unit_price=Decimal("1"))
        strike_charge(by=cast.manager, charge=charge)
        job.refresh_from_db()
        to, why = ("waiting-customer", "No answer") if job.state == "estimate" else ("estimate", "")
        move_job(by=cast.desk, job=job, to=to, reason=why, seen_version=job.version)


@pytest.mark.parametrize("page", ["", "lines/", "log/", "tag/"])
def test_pages_cost_the_same_with_a_short_and_a_long_history(cast: Cast, job: Job, page: str) -> None:
    client = signed_in(cast.manager)
    counts = []
    client.get(f"/jobs/{job.number}/{page}")  # the first request of all makes the shop's profile
    for times in (2, 12):
        busier(cast, job, times, [cast.desk, cast.manager])
        with CaptureQueriesContext(connection) as queries:
            client.get(f"/jobs/{job.number}/{page}")
        counts.append(len(queries))
    assert counts[1] <= counts[0]
    assert counts[1] <= 24


def test_the_overview_reads_lines_and_hours_once_for_all_that_it_says_of_them(cast: Cast, job: Job) -> None:
    """Each move that has to be explained is told from what the page has read already."""
    job.state = "in-work"
    job.save()
    add_line(by=cast.tech, job=job, concern="Bilge pump runs often")
    client = signed_in(cast.manager)
    client.get(f"/jobs/{job.number}/")
    with CaptureQueriesContext(connection) as queries:
        page = client.get(f"/jobs/{job.number}/")
    from_tables = [query["sql"].partition(" FROM ")[2].split()[0] for query in queries if " FROM " in query["sql"]]
    assert from_tables.count('"workorders_jobline"') == 1
    assert [name.strip('"') for name in from_tables].count("workorders_stretch") == 1
    assert {move["to"] for move in page.context["moves"] if move["asks_why"]} >= {"ready", "waiting-customer"}


def test_who_made_a_correction_on_the_pages_of_the_job(cast: Cast, job: Job) -> None:
    client = signed_in(cast.tech)
    address = f"/jobs/{job.number}/lines/1/"
    change_line(by=cast.tech, line=job.lines.get(), seen_version=1, changes={"correction": "New impeller."})
    for page in (f"/jobs/{job.number}/", f"/jobs/{job.number}/lines/"):
        assert "Done by a person not named, day not recorded" in client.get(page).content.decode()
    page = client.get(address)
    assert 'name="done_by"' in page.content.decode()
    sent = form_data(page, done_by=[str(cast.tech.pk), str(cast.owner.pk)], done_on="2026-05-04")
    late = form_data(page, done_by=[str(cast.manager.pk)], entry_id=str(uuid.uuid4()))
    assert client.post(address, sent).status_code == 302
    for where in (f"/jobs/{job.number}/", f"/jobs/{job.number}/lines/"):
        text = " ".join(client.get(where).content.decode().split())
        assert "Tomas Reef" in text
        assert "Orla Brandt, " in text
        assert "May 4, 2026" in text
    answer = client.post(address, late)
    assert answer.status_code == 409
    assert [(row.theirs, row.mine) for row in answer.context["both"]] == [("Tomas Reef, Orla Brandt", "Mina Sparrow")]
    sent_again = answer.context["form"].data
    assert sent_again.getlist("initial-done_by") == [str(cast.tech.pk), str(cast.owner.pk)]
    assert sent_again.getlist("done_by") == [str(cast.manager.pk)]
    assert sent_again["done_on"] == "2026-05-04"
    assert client.post(address, sent_again).status_code == 302
    assert list(job.lines.get().done_by.all()) == [cast.manager]


def test_who_left_the_shop_still_made_what_they_made(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    changes = {"correction": "New impeller.", "done_by": [cast.tech]}
    change_line(by=cast.tech, line=line, seen_version=1, changes=changes)
    cast.tech.is_active = False
    cast.tech.save()
    page = signed_in(cast.manager).get(f"/jobs/{job.number}/lines/1/")
    assert cast.tech in page.context["form"].fields["done_by"].queryset


@pytest.mark.parametrize(
    ("hin", "remark", "shown"),
    [
        ("", "plate is painted over", "not known: plate is painted over"),
        ("", "", ">not known<"),
        ("ZZT10417C919", "plate is loose", "plate is loose"),
    ],
)
def test_the_remark_on_the_hin_stands_on_the_job_too(cast: Cast, job: Job, client, hin, remark, shown) -> None:
    type(job.vessel).objects.update(hin=hin, hin_remark=remark)
    client.force_login(cast.tech)
    page = client.get(f"/jobs/{job.number}/").content.decode()
    assert shown in page
    assert (hin in page) if hin else True
