"""Opening a job on one screen, without scripts: each step is a sending of the one form."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal
from typing import Any

import lxml.html
import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from tests.cast import Cast, keep_to_the_office
from tests.workorders.counter import many_jobs, signed_in
from vessels.actions import log_hours, replace_meter
from vessels.log.verify import broken_link
from vessels.models import Customer, Engine, EngineFamily, HourMeter, LogEntry, Vessel
from workorders.actions import open_job
from workorders.models import Job

URL = "/jobs/open/"


@pytest.fixture
def desk(cast: Cast) -> Client:
    return signed_in(cast.desk)


def sent(choice: str = "", step: str = "open", **more: Any) -> dict[str, Any]:
    return {
        "choice": choice,
        "step": step,
        "concerns": "1",
        "engines": "1",
        "entry_id": str(uuid.uuid4()),
        "location": "slip",
        "concern-0-text": "Will not hold 3000 rpm",
        **more,
    }


def new(**more: Any) -> dict[str, Any]:
    return sent(
        **{
            "choice": "new",
            "customer-name": "Ann Reed",
            "customer-phone": "(555) 555-0144",
            "boat-name": "Marsh Wren",
            "boat-kind": "outboard",
            "engine-0-position": "single",
            "engine-0-fuel": "gasoline",
            "engine-0-maker": "Brightwater",
            "engine-0-serial": "BW-5001",
            "engine-0-meter_shown": "350,5",
            "spot": "B-14",
            **more,
        },
    )


@pytest.mark.parametrize(
    "text",
    ["second", "Harrow", "555-0123", "(555) 555-0123", "GBD12345", "NL-20418", "nl20417"],
)
def test_a_boat_is_found_by_anything_that_people_know(desk: Client, cast: Cast, text: str) -> None:
    page = desk.get(URL, {"q": text})
    assert f'value="boat:{cast.vessel.pk}"' in page.content.decode()


def test_a_boat_is_found_by_its_slip(desk: Client, cast: Cast) -> None:
    Vessel.objects.filter(pk=cast.vessel.pk).update(berth="B-14")
    assert f'value="boat:{cast.vessel.pk}"' in desk.get(URL, {"q": "b14"}).content.decode()


def test_the_part_that_is_exchanged_while_typing_is_only_the_list(desk: Client, cast: Cast) -> None:
    page = desk.get(URL, {"q": "second"}, headers={"HX-Request": "true", "HX-Target": "found"}).content.decode()
    assert "Second Wind" in page
    assert "<html" not in page
    assert 'form="open-form"' in page


def test_what_was_typed_survives_finding_and_choosing(desk: Client, cast: Cast) -> None:
    typed = {"concern-0-text": "Smokes", "keys": "Hook 4", "q": "second"}
    found = desk.post(URL, sent(step="find", **typed)).content.decode()
    assert "Smokes" in found
    assert "Hook 4" in found
    chosen = desk.post(URL, sent(step=f"boat:{cast.vessel.pk}", **typed)).content.decode()
    assert f'name="choice" value="boat:{cast.vessel.pk}"' in chosen
    assert "Smokes" in chosen
    assert "Hook 4" in chosen
    assert not Job.objects.exists()


def test_enter_finds_while_there_is_no_boat_and_opens_when_there_is(desk: Client, cast: Cast) -> None:
    found = desk.post(URL, sent(step="usual", q="second"))
    assert "Second Wind" in found.content.decode()
    opened = desk.post(URL, sent(f"boat:{cast.vessel.pk}", step="usual"))
    assert opened.status_code == 302
    assert Job.objects.count() == 1


def test_a_returning_boat(desk: Client, cast: Cast) -> None:
    page = desk.post(
        URL,
        sent(
            f"boat:{cast.vessel.pk}",
            **{
                "concern-0-engine": str(cast.starboard.pk),
                f"hours-{cast.port.pk}-shown": "812.5",
                "keys": "Hook 4",
                "technician": str(cast.tech.pk),
            },
        ),
    )
    job = Job.objects.get()
    assert page.headers["Location"] == reverse("workorders:job", args=[job.number])
    assert (job.keys, job.technician, job.lines.get().engine) == ("Hook 4", cast.tech, cast.starboard)
    assert LogEntry.objects.get(kind="hours").job == job


def test_customer_boat_and_engine_with_the_job(desk: Client, cast: Cast) -> None:
    page = desk.post(URL, new())
    assert page.status_code == 302, page.content.decode()
    job = Job.objects.get()
    engine = Engine.objects.get(serial="BW-5001")
    assert (job.vessel.name, job.customer.name, job.vessel.berth) == ("Marsh Wren", "Ann Reed", "B-14")
    assert (engine.vessel, job.customer.phones.get().digits) == (job.vessel, "+15555550144")
    assert [entry.kind for entry in job.vessel.log.order_by("position")] == [
        "vessel-added",
        "engine-added",
        "hours",
        "job-opened",
    ]
    assert broken_link(job.vessel) is None


def test_a_new_boat_of_a_customer_who_is_here(desk: Client, cast: Cast) -> None:
    data = new(**{"choice": f"customer:{cast.customer.pk}", "engine-0-maker": "", "engine-0-serial": ""})
    data["engine-0-meter_shown"] = ""
    assert desk.post(URL, data).status_code == 302
    job = Job.objects.get()
    assert job.customer == cast.customer
    assert Customer.objects.count() == 1
    assert not job.vessel.engines.exists()  # left empty, so not added


def test_two_engines_and_a_concern_about_one_of_them(desk: Client, cast: Cast) -> None:
    first = desk.post(URL, new(step="engine")).content.decode()
    assert 'name="engine-1-position" value="starboard"' in first
    data = new(
        **{
            "engines": "2",
            "engine-0-position": "port",
            "engine-1-position": "starboard",
            "engine-1-fuel": "gasoline",
            "engine-1-maker": "Brightwater",
            "concern-0-engine": "new-1",
        }
    )
    assert desk.post(URL, data).status_code == 302
    engine = Job.objects.get().lines.get().engine
    assert engine is not None
    assert engine.position == "starboard"


def test_several_concerns(desk: Client, cast: Cast) -> None:
    more = desk.post(URL, sent(f"boat:{cast.vessel.pk}", step="concern")).content.decode()
    assert 'name="concern-1-text"' in more
    assert 'name="concerns" value="2"' in more
    data = sent(f"boat:{cast.vessel.pk}", concerns="3", **{"concern-1-text": "", "concern-2-text": "Horn is silent"})
    desk.post(URL, data)
    assert [line.concern for line in Job.objects.get().lines.all()] == ["Will not hold 3000 rpm", "Horn is silent"]


def test_a_hin_that_is_here_is_noticed_with_one_touch_to_use_it(desk: Client, cast: Cast) -> None:
    page = desk.post(URL, new(**{"boat-hin": "GBD12345A525"}))
    text = page.content.decode()
    assert page.status_code == 422
    assert "A boat with this HIN is already on record" in text
    assert f'value="boat:{cast.vessel.pk}"' in text
    assert "Marsh Wren" in text
    assert (Job.objects.count(), Customer.objects.count(), Vessel.objects.count()) == (0, 1, 1)


def test_a_phone_that_is_here_is_noticed_and_can_be_somebody_else(desk: Client, cast: Cast) -> None:
    data = new(**{"customer-phone": "555 555 0123"})
    text = desk.post(URL, data).content.decode()
    assert "Wes Harrow" in text
    assert f'value="customer:{cast.customer.pk}"' in text
    assert f'value="boat:{cast.vessel.pk}"' in text
    assert not Job.objects.exists()
    assert desk.post(URL, {**data, "customer-not_a_twin": "on"}).status_code == 302


def test_duplicates_are_told_while_typing(desk: Client, cast: Cast) -> None:
    data = new(step="check", **{"boat-hin": "GBD12345A525", "customer-phone": "555 555 0123"})
    text = desk.post(URL, data, headers={"HX-Request": "true", "HX-Target": "twins"}).content.decode()
    assert "A boat with this HIN is already on record" in text
    assert "This name or phone is already on record" in text
    assert "<html" not in text


def test_an_engine_serial_that_is_here_is_told(desk: Client, cast: Cast) -> None:
    text = desk.post(URL, new(step="check", **{"engine-0-serial": "NL 20417"})).content.decode()
    assert "This serial number is already on record" in text


def test_an_open_job_of_the_boat_is_told(desk: Client, cast: Cast, job: Job) -> None:
    for page in (desk.get(URL, {"q": "second"}), desk.get(URL, {"vessel": cast.vessel.pk})):
        assert reverse("workorders:job", args=[job.number]) in page.content.decode()


@pytest.mark.parametrize(
    ("more", "sentence", "field"),
    [
        ({"customer-name": ""}, "Fill this in.", "customer-name"),
        ({"customer-phone": "12"}, "is not a phone number", "customer-phone"),
        ({"boat-hin": "X"}, "HIN", "boat-hin"),
        ({"boat-name": "", "boat-maker": ""}, "at least one of name", "boat-name"),
        ({"engine-0-meter_shown": "many"}, "", "engine-0-meter_shown"),
        ({"concern-0-text": "  "}, "at least one concern", "concern-0-text"),
        ({"promised_on": "2020-01-01"}, "This day is past", "promised_on"),
        ({"spot": "x" * 41}, "40", "spot"),
    ],
)
def test_bad_input_is_told_by_its_field_and_nothing_is_written_or_lost(
    desk: Client, cast: Cast, more: dict[str, str], sentence: str, field: str
) -> None:
    page = desk.post(URL, new(keys="Hook 77", **more))
    text = page.content.decode()
    assert page.status_code == 422
    assert sentence in text
    assert f'href="#id_{field}"' in text
    assert "Hook 77" in text
    assert "BW-5001" in text
    assert (Job.objects.count(), Customer.objects.count(), Vessel.objects.count()) == (0, 1, 1)
    assert not LogEntry.objects.exists()


def test_what_only_the_action_refuses_is_told_by_its_field_as_well(desk: Client, cast: Cast) -> None:
    data = new(
        engines="2",
        **{"engine-1-position": "single", "engine-1-fuel": "diesel", "engine-1-maker": "Brightwater"},
    )
    page = desk.post(URL, data)
    assert page.status_code == 422
    assert 'href="#id_engine-1-position_0"' in page.content.decode()
    assert not Vessel.objects.filter(name="Marsh Wren").exists()


def test_hours_below_the_last_known_are_told_by_their_engine(desk: Client, cast: Cast) -> None:
    open_job(by=cast.desk, vessel=cast.vessel, concerns=["One"], hours=[(cast.port, 900)])  # type: ignore[list-item]
    field = f"hours-{cast.port.pk}-shown"
    page = desk.post(URL, sent(f"boat:{cast.vessel.pk}", **{field: "800"}))
    assert page.status_code == 422
    assert f'href="#id_{field}"' in page.content.decode()
    assert Job.objects.count() == 1


def test_opening_without_a_boat_says_so_and_keeps_what_was_typed(desk: Client, cast: Cast) -> None:
    page = desk.post(URL, sent())
    assert page.status_code == 422
    assert "Choose the boat first" in page.content.decode()
    assert "Will not hold 3000 rpm" in page.content.decode()


def test_all_that_is_missing_is_named_at_once(desk: Client, cast: Cast) -> None:
    """An empty form names the boat, the concern and the place; what else is wrong stands with them."""
    page = desk.post(URL, {"step": "open", "promised_on": "2001-01-01"})
    assert page.status_code == 422
    box = lxml.html.fromstring(page.content.decode()).xpath("//*[@class='problems']")
    assert len(box) == 1
    assert [one.text_content().strip().split(":")[0] for one in box[0].xpath(".//li")] == [
        "Boat", "Concern", "Where the boat is", "Promised for",
    ]  # fmt: skip
    ids = {one.get("id") for one in lxml.html.fromstring(page.content.decode()).xpath("//*[@id]")}
    assert {one.get("href")[1:] for one in box[0].xpath(".//a")} <= ids
    described = lxml.html.fromstring(page.content.decode()).get_element_by_id("open-q").get("aria-describedby")
    assert described in ids
    assert not Job.objects.exists()


@pytest.mark.parametrize("is_new", [False, True])
def test_the_same_form_sent_twice_opens_one_job(desk: Client, cast: Cast, is_new: bool) -> None:
    data = new() if is_new else sent(f"boat:{cast.vessel.pk}")
    first = desk.post(URL, data)
    again = desk.post(URL, data)
    assert first.headers["Location"] == again.headers["Location"]
    assert Job.objects.count() == 1
    assert Customer.objects.count() == (2 if is_new else 1)


def test_a_form_with_a_hin_sent_twice_opens_one_job(desk: Client, cast: Cast) -> None:
    data = new(**{"boat-hin": "GBD55512B626"})
    first, again = desk.post(URL, data), desk.post(URL, data)
    assert (first.status_code, again.status_code) == (302, 302)
    assert first.headers["Location"] == again.headers["Location"]
    assert (Job.objects.count(), Vessel.objects.count(), Customer.objects.count()) == (1, 2, 2)


def test_the_same_id_with_another_concern_opens_nothing_and_says_so(desk: Client, cast: Cast) -> None:
    data = new(**{"boat-hin": "GBD55512B626"})
    desk.post(URL, data)
    page = desk.post(URL, {**data, "concern-0-text": "Smokes at idle"})
    assert page.status_code == 422
    assert "with other content" in page.content.decode()
    other = desk.post(URL, {**data, "boat-name": "Heron", "entry_id": str(uuid.uuid4())})
    assert "A boat with this HIN is already on record" in other.content.decode()
    assert (Job.objects.count(), Vessel.objects.count()) == (1, 2)


def test_a_choice_that_leads_nowhere_is_no_choice(desk: Client, cast: Cast) -> None:
    for choice in ("boat:999999", "boat:x", "customer:99999999999999999999", "sunk"):
        assert desk.post(URL, sent(choice)).status_code == 422
    assert desk.get(URL, {"vessel": "nonsense"}).status_code == 200


def test_a_technician_does_not_open_jobs(cast: Cast) -> None:
    keep_to_the_office()
    tech = signed_in(cast.tech)
    assert tech.get(URL).status_code == 403
    assert tech.post(URL, sent(f"boat:{cast.vessel.pk}")).status_code == 403


def test_a_promise_for_today_is_fine(desk: Client, cast: Cast) -> None:
    today = timezone.localdate()
    data = sent(f"boat:{cast.vessel.pk}", promised_on=(today + timedelta(days=1)).isoformat())
    assert desk.post(URL, data).status_code == 302


def test_finding_costs_the_same_with_few_and_with_many(desk: Client, cast: Cast) -> None:
    counts = []
    desk.get(URL, {"q": "Ann"})  # the first request of all makes the shop's profile
    for size in (3, 40):
        many_jobs(cast, size)
        with CaptureQueriesContext(connection) as queries:
            desk.get(URL, {"q": "Ann"})
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert counts[1] <= 14


def test_a_chosen_boat_costs_the_same_with_any_number_of_engines(desk: Client, cast: Cast) -> None:
    boats = []
    for places in (["single"], ["port", "starboard"], ["port", "starboard", "center", "generator"]):
        boat = Vessel.objects.create(name=f"{len(places)} engines", kind="inboard", owner=cast.customer)
        for place in places:
            engine = Engine.objects.create(vessel=boat, position=place, fuel="diesel")
            HourMeter.objects.create(engine=engine)
            log_hours(by=cast.desk, engine=engine, shown=Decimal(100 + len(place)))
            replace_meter(by=cast.desk, engine=engine, old_shown=None, new_shown=Decimal(0))  # read by nobody
        boats.append(boat)
    desk.get(URL, {"vessel": cast.vessel.pk})  # the first request of all makes the shop's profile
    counts = []
    for boat in boats:
        with CaptureQueriesContext(connection) as queries:
            page = desk.get(URL, {"vessel": boat.pk}).content.decode()
        counts.append(len(queries))
    assert counts[0] == counts[1] == counts[2] <= 13  # one of them asks for deferred work
    assert page.index("Port, ") < page.index("Starboard, ") < page.index("Center, ") < page.index("Generator, ")
    for place in ("Port", "Starboard", "Center", "Generator"):
        assert f'{place}, <span class="hours">{100 + len(place)}' in page
    assert page.count("the old meter was not read when it was replaced") == 4


def test_the_next_engine_is_like_the_last_one(desk: Client) -> None:
    family = EngineFamily.objects.create(maker="Brightwater", name="BW-V6")
    kept = new(step="engine", **{"engine-0-model": "BW 225", "engine-0-fuel": "diesel", "engine-0-family": family.pk})
    page = desk.post(URL, kept)
    first, second = page.context["opening"].engines
    assert (first["position"].value(), second["position"].value()) == ("port", "starboard")
    assert [second[name].value() for name in ("maker", "model", "fuel")] == ["Brightwater", "BW 225", "diesel"]
    assert str(second["family"].value()) == str(family.pk)
    assert [second[name].value() for name in ("serial", "meter_shown")] == [None, None]
    third = desk.post(URL, {**kept, "engines": "2", "engine-0-position": "port", "engine-1-position": "starboard"})
    assert third.context["opening"].engines[2]["position"].value() == "center"


def test_an_engine_too_many_is_taken_away_again(desk: Client) -> None:
    told = new(
        step="without-engine:0",
        engines="3",
        concerns="2",
        **{
            "engine-1-maker": "Second", "engine-1-position": "starboard", "engine-2-maker": "Third",
            "concern-0-engine": "new-0", "concern-1-engine": "new-2", "concern-1-text": "Smokes",
        },
    )  # fmt: skip
    opening = desk.post(URL, told).context["opening"]
    assert [form["maker"].value() for form in opening.engines] == ["Second", "Third"]
    assert [form["engine"].value() for form in opening.concerns] == ["", "new-1"]
    assert opening.boat["name"].value() == "Marsh Wren"
    last = desk.post(URL, {**told, "engines": "2", "concerns": "1", "step": "without-engine:1"}).context["opening"]
    assert [(form["maker"].value(), form["position"].value()) for form in last.engines] == [("Brightwater", "single")]
    for odd in ("without-engine:", "without-engine:9", "without-engine:x", "without-engine:²"):
        assert len(desk.post(URL, {**told, "step": odd}).context["opening"].engines) == 3


def test_a_boat_brings_its_berth_and_the_kind_of_place(cast: Cast, desk: Client) -> None:
    vessel = cast.vessel

    def arrival() -> tuple[Any, Any]:
        form = desk.get(URL, {"vessel": vessel.pk}).context["opening"].arrival
        return form["location"].value(), form["spot"].value()

    Vessel.objects.update(berth="")
    assert arrival() == (None, None)
    open_job(by=cast.desk, vessel=vessel, concerns=["Oil change"], location="rack", spot="R-7")
    assert arrival() == ("rack", "R-7")
    open_job(by=cast.desk, vessel=vessel, concerns=["Will not start"], location="away", spot="City dock")
    assert arrival() == ("rack", "R-7")  # where it is in trouble is not where it lives
    Vessel.objects.update(berth="C-3")
    assert arrival() == (None, "C-3")


def test_where_a_new_boat_is_has_to_be_said(desk: Client) -> None:
    page = desk.post(URL, {**new(), "location": ""})
    assert page.status_code == 422
    assert "Choose where the boat is." in page.content.decode()
    assert not Vessel.objects.filter(name="Marsh Wren").exists()


def test_an_extension_is_kept_and_dialed(desk: Client) -> None:
    desk.post(URL, new(**{"customer-phone": "(555) 555-0144 ext. 12"}))
    phone = Customer.objects.get(name="Ann Reed").phones.get()
    assert (phone.number, phone.digits) == ("(555) 555-0144 ext. 12", "+15555550144")
    for address in (f"/customers/{phone.customer_id}/", f"/jobs/{Job.objects.get().number}/"):
        assert 'href="tel:+15555550144;ext=12"' in desk.get(address).content.decode()


def test_the_last_hours_stand_beside_each_empty_field(desk: Client, cast: Cast) -> None:
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal("810.6"))
    replace_meter(by=cast.tech, engine=cast.starboard)
    page = desk.get(URL, {"vessel": cast.vessel.pk}).content.decode()
    assert "Last 810.6 h, " in page
    assert "The engine’s hours are not known since" in page
    assert 'value="810.6"' not in page
    assert "Engine’s hours in all" not in page
    shown = desk.get(reverse("vessels:hours", args=[cast.port.pk])).content.decode()
    assert "Last 810.6 h, " in shown
