"""Logging a scan by touch, as a browser without JavaScript does it."""

from __future__ import annotations

import json
import re
import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.conf import settings
from django.urls import reverse
from django.utils import timezone

from engineering.codes import CodeSystem, make_code
from findings.faults.listed import code_key
from findings.faults.models import Fault, Scan
from findings.reports.actions import draft_report
from findings.reports.build import build_findings
from tests.findings.story import COOLANT, LEAN, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import log_hours, replace_meter
from vessels.models import ControlUnit, LogEntry

ANSWERS = {"phase": "arrival", "extent": "all", "hours": "", "status": "active", "count": "", "system": "", "code": ""}


@pytest.fixture
def url(job):
    return f"/jobs/{job.number}/scan/"


def post(tech, url, cast, **answers):
    return tech.post(url, {**ANSWERS, "unit": cast.port_unit.pk, "listed": "", "entry_id": "", **answers})


def listed_in(response):
    return json.loads(response.context["listed"])


def test_three_touches_log_a_code_the_unit_had_before(tech, url, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)])
    page = tech.get(url)
    assert page.context["form"].initial["phase"] == "arrival"
    assert page.context["capture"].unit == cast.port_unit
    assert [chip.key for chip in page.context["chips"]] == ["spn:110-0"]
    taken = post(tech, url, cast, take="spn:110-0")
    assert (taken.status_code, listed_in(taken)) == (200, [["spn", "110-0", "active", None]])
    assert "Log 1 code" in taken.content.decode()
    logged = post(tech, url, cast, do="log", listed=taken.context["listed"])
    assert logged.status_code == 302
    made = Scan.objects.latest("entry__position")
    assert (made.entry.job, made.phase, made.is_complete, made.source) == (job, "arrival", True, "touch")
    assert [str(row) for row in made.sightings.all()] == ["SPN 110 FMI 0 active"]


def test_a_typed_code_is_added_explained_and_taken_off_again(tech, url, cast):
    added = post(tech, url, cast, do="add", code="p0217", status="stored", count="3")
    assert listed_in(added) == [["obd", "P0217", "stored", 3]]
    assert "Engine coolant over temperature" in added.content.decode()
    assert added.context["capture"].typed["code"] == ""
    removed = post(tech, url, cast, remove="0", listed=added.context["listed"])
    assert listed_in(removed) == []
    dropped = post(tech, url, cast, drop="obd:P0217", listed=added.context["listed"])
    assert listed_in(dropped) == []


def test_no_codes_found_is_one_touch(tech, url, cast):
    assert "No codes found" in tech.get(url).content.decode()
    assert post(tech, url, cast, do="none").status_code == 302
    made = Scan.objects.get()
    assert (made.is_complete, made.sightings.count()) == (True, 0)


def test_an_empty_scan_is_not_the_main_button_of_a_page_just_opened(tech, url, cast):
    buttons = re.findall(r"<button[^>]*>", tech.get(url).content.decode().split('class="action')[-1])
    main = [one for one in buttons if "btn-main" in one]
    assert len(main) == 1
    assert re.search(r"\bhidden\b", main[0])
    none = [one for one in buttons if 'value="none"' in one]
    assert "btn-quiet" in none[0]
    assert not re.search(r"\bhidden\b", none[0])
    some = post(tech, url, cast, do="add", code="110-0").content.decode()
    main = next(one for one in re.findall(r"<button[^>]*>", some) if "btn-main" in one)
    assert not re.search(r"\bhidden\b", main)


def test_no_codes_found_swallows_no_code(tech, url, cast):
    typed = post(tech, url, cast, do="none", code="110-0")
    listed = post(tech, url, cast, do="none", listed='[["spn","110-0","active",1]]')
    assert (typed.status_code, listed.status_code) == (422, 422)
    assert "Add it, or empty the field" in typed.content.decode()
    assert listed_in(listed) == [["spn", "110-0", "active", 1]]
    assert not Scan.objects.exists()


def test_a_chosen_status_does_not_stick_to_the_next_code(tech, url, cast):
    added = post(tech, url, cast, do="add", code="110-0", status="stored")
    assert listed_in(added) == [["spn", "110-0", "stored", None]]
    next_status = re.findall(r'name="status"\s+value="(\w+)"([^>]*)>', added.content.decode())
    assert [value for value, rest in next_status if "checked" in rest] == ["active"]


def test_a_permanent_copy_is_not_said_to_be_back(tech, url, cast):
    """A clear leaves the permanent copy: listed alone, the fault is no nearer. The page says so whatever is touched."""
    scan(cast, 0, 100, [seen(LEAN)])
    clear(cast, 1, 100)
    page = post(tech, url, cast, do="add", code="P0171", status="permanent").content.decode()
    css = (settings.BASE_DIR / "static" / "css" / "findings" / "findings.css").read_text()
    assert re.search(r'class="if-back">.{0,300}Back: </span><span class="if-not-back">Before: </span>', page, re.DOTALL)
    assert '.listed:has(input[value="permanent"]:checked) .if-back { display: none; }' in css


def test_no_codes_found_asks_once_where_a_fault_is_open(tech, url, cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    asked = post(tech, url, cast, do="log", text="Quiet")
    assert (asked.status_code, Scan.objects.count()) == (422, 1)
    assert "SPN 110 FMI 0 is gone with no clear on record" in asked.content.decode()
    assert "Quiet" in asked.content.decode()
    assert post(tech, url, cast, do="log", extent="all", really_none="on").status_code == 302
    assert Fault.objects.get().state == "historic"


def test_a_scan_of_the_minute_of_a_clear_is_asked_about_once(tech, url, cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    at_noon = {"happened_at": "2025-04-02 08:00", "do": "log", "listed": '[["spn","110-0","active",null]]'}
    clear(cast, 1, 100)
    asked = post(tech, url, cast, **at_noon)
    assert (asked.status_code, Scan.objects.count()) == (422, 1)
    page = asked.content.decode()
    assert "were cleared at that very minute, Apr 2, 2025 8:00 AM: this scan counts as read before the clear" in page
    key = re.search(r'name="asked"[^>]*value="([^"]+)"', page)[1]
    form = str(uuid.uuid4())
    for _ in range(2):  # the second is the same form, and asks nothing
        assert post(tech, url, cast, **at_noon, asked=key, entry_id=form).status_code == 302
    assert (Scan.objects.count(), Fault.objects.get().state) == (2, "cleared")
    again = post(tech, url, cast, **at_noon, asked=key)
    assert again.status_code == 422
    assert "A scan of Engine control unit (port) with the same codes is on record of that very minute" in (
        again.content.decode()
    )
    later = post(tech, url, cast, **{**at_noon, "happened_at": "2025-04-02 08:01"})
    assert (later.status_code, Fault.objects.get().state) == (302, "returned")


def test_an_arrival_after_a_clear_of_the_same_job_is_asked_about_once(tech, url, cast, job):
    """“On arrival” makes a return of what “after repair” would leave unfinished: who taps past it is asked."""
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    told = {"happened_at": "2025-04-02 08:00", "do": "log", "listed": '[["spn","110-0","active",null]]'}
    asked = post(tech, url, cast, **told)
    assert (asked.status_code, Scan.objects.count()) == (422, 1)
    assert "Engine control unit (port) was cleared on this job, Apr 1, 2025 12:48 PM." in asked.content.decode()
    unfinished = post(tech, url, cast, **{**told, "phase": "sea-trial"})
    assert (unfinished.status_code, fault(COOLANT).state) == (302, "not fixed yet")
    clear(cast, 2, 101, job=job)
    came = post(tech, url, cast, **{**told, "happened_at": "2025-04-04 08:00"})
    assert came.status_code == 422  # another clear is another question
    key = re.search(r'name="asked"[^>]*value="([^"]+)"', came.content.decode())[1]
    kept = post(tech, url, cast, **{**told, "happened_at": "2025-04-04 08:00"}, asked=key)
    assert (kept.status_code, fault(COOLANT).state) == (302, "returned")


def test_no_arrival_is_asked_about_where_nothing_of_the_unit_came_before_it_on_the_job(tech, url, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 0.2, 100)
    clear(cast, 0.3, 100, job=job, unit=cast.starboard_unit)
    told = {"happened_at": "2025-04-02 08:00", "do": "log", "listed": '[["spn","110-0","active",null]]'}
    assert post(tech, url, cast, **told).status_code == 302


def test_a_code_left_in_the_field_is_logged_too(tech, url, cast):
    assert post(tech, url, cast, do="log", code="110-0", status="stored").status_code == 302
    assert [str(row) for row in Scan.objects.get().sightings.all()] == ["SPN 110 FMI 0 stored"]


def test_a_code_left_in_the_field_that_is_none_stops_the_log(tech, url, cast):
    refused = post(
        tech, url, cast, do="log", code="nonsense", listed='[["spn","110-0","active",null]]', text="Cold start"
    )
    assert refused.status_code == 422
    assert not Scan.objects.exists()
    assert listed_in(refused) == [["spn", "110-0", "active", None]]
    page = refused.content.decode()
    assert "nonsense" in page
    assert "Cold start" in page
    assert "is not an SPN with an FMI" in page


def test_adding_nothing_says_what_to_write(tech, url, cast):
    refused = post(tech, url, cast, do="add")
    assert (refused.status_code, "Enter a code first" in refused.content.decode()) == (422, True)


def test_a_wrong_count_keeps_the_list(tech, url, cast):
    refused = post(tech, url, cast, do="log", listed='[["spn","110-0","active",1]]', **{"row-0-count": "many"})
    assert refused.status_code == 422
    assert listed_in(refused) == [["spn", "110-0", "active", 1]]


def test_a_damaged_list_is_said_to_be(tech, url, cast):
    refused = post(tech, url, cast, do="log", listed="[[")
    assert (refused.status_code, "arrived damaged" in refused.content.decode()) == (422, True)
    assert not Scan.objects.exists()


def test_only_some_codes_and_none_is_refused_beside_the_field(tech, url, cast):
    refused = post(tech, url, cast, do="log", extent="some")
    assert refused.status_code == 422
    assert "needs at least one code" in refused.content.decode()


def test_the_same_form_sent_twice_is_one_scan(tech, url, cast):
    once = {"do": "log", "code": "110-0", "entry_id": str(uuid.uuid4())}
    assert [post(tech, url, cast, **once).status_code for _ in range(2)] == [302, 302]
    assert Scan.objects.count() == 1


def test_the_meter_is_read_and_the_true_hours_are_kept(tech, url, cast):
    then = timezone.now() - timedelta(days=3)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(800), happened_at=then)
    replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(800), new_shown=Decimal(0), happened_at=then)
    assert post(tech, url, cast, do="log", hours="12,5").status_code == 302
    assert Scan.objects.get().entry.engine_hours == Decimal("812.5")


@pytest.mark.parametrize("hours", ["12", "a lot", "-4", "800 rpm", "5,200"])
def test_hours_that_cannot_be_are_refused_beside_the_field(tech, url, cast, hours):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(800))
    refused = post(tech, url, cast, do="log", hours=hours, listed='[["spn","110-0","active",1]]')
    assert refused.status_code == 422
    assert refused.context["form"].errors["hours"]
    assert listed_in(refused) == [["spn", "110-0", "active", 1]]
    assert not Scan.objects.exists()


def test_hours_are_never_filled_in_and_the_last_ones_stand_beside_the_field(tech, url, cast, job):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal("412.5"), job_id=job.pk)
    field = tech.get(url).context["form"]["hours"]
    assert not field.value()
    assert field.help_text.startswith("Last 412.5 h, ")
    other = tech.get(f"{url}?unit={cast.starboard_unit.pk}").context["form"]["hours"]
    assert not other.value()
    assert other.help_text.startswith("No hours of this engine are on record yet.")


def test_another_unit_keeps_the_list_and_changes_hours_and_buttons(tech, url, cast, job):
    scan(cast, 0, 100, [seen(OIL)], unit=cast.starboard_unit)
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal("412.5"), job_id=job.pk)
    switched = post(
        tech, url, cast, switch=cast.starboard_unit.pk, listed='[["spn","110-0","active",1]]', hours="412.5"
    )
    assert listed_in(switched) == [["spn", "110-0", "active", 1]]
    assert switched.context["capture"].unit == cast.starboard_unit
    assert [chip.key for chip in switched.context["chips"]] == ["spn:100-1"]
    assert switched.context["form"]["hours"].value() == ""


@pytest.mark.parametrize(
    ("state", "phase"),
    [("in-work", "after-repair"), ("sea-trial", "sea-trial"), ("ready", "delivery"), ("closed", "delivery")],
)
def test_the_phase_follows_the_job(tech, url, cast, job, state, phase):
    scan(cast, 0, 100, job=job)
    work(cast, 0.5, 100, [], engine=cast.port, job=job)
    job.state = state
    job.closed_at = at(1) if state == "closed" else None
    job.save()
    assert tech.get(url).context["form"].initial["phase"] == phase


def test_what_came_back_is_said_at_once(tech, url, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 1, 101)
    done = tech.post(
        url, {**ANSWERS, "unit": cast.port_unit.pk, "do": "log", "code": "110-0", "hours": "185"}, follow=True
    )
    page = done.content.decode()
    assert "seen again 84 h" in page
    assert "came back" in page


def test_chips_say_what_happened_last_time(tech, url, cast):
    earlier = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=earlier)
    clear(cast, 1, 101, job=earlier)
    scan(cast, 4, 185)
    said = rf"cleared [\d,]+ days ago \(at least 84 h of running\) on job {earlier.number}"
    assert re.search(said, tech.get(url).content.decode())


def test_a_code_told_another_way_is_named_wherever_the_other_one_stands(tech, url, cast, job):
    short, full = (make_code(CodeSystem.OBD, text) for text in ("U0100", "U0100-87"))
    scan(cast, 0, 100, [seen(short)], job=job)
    explained = tech.get(reverse("findings:explain", args=[cast.port_unit.pk]), {"code": "U0100-87"})
    assert "New to this unit." in explained.content.decode()
    assert "May be the same as U0100: an instrument may leave the failure type out." in explained.content.decode()
    scan(cast, 1, 101, [seen(full)], job=job)
    page = tech.get(reverse("findings:fault", args=[fault(short).pk])).content.decode()
    assert "May be the same as U0100-87" in page
    findings = tech.get(reverse("findings:job", args=[job.number])).content.decode()
    assert "cannot be compared" in findings
    assert "1 gone" not in findings
    told = {one.code: one.says for one in build_findings(draft_report(by=cast.tech, job=job)).faults}
    assert told["U0100"].endswith("May be the same as U0100-87: an instrument may leave the failure type out.")


def test_correcting_a_scan_replaces_it_at_the_same_moment(tech, url, cast, job):
    wrong = scan(cast, 0, 100, [seen(COOLANT, "active", 2)], job=job, text="Hot")
    page = tech.get(f"{url}?corrects={wrong.pk}")
    assert listed_in(page) == [["spn", "110-0", "active", 2]]
    first = page.context["form"].initial
    assert (first["text"], first["hours"]) == ("Hot", "100")
    sent = {**ANSWERS, **first, "do": "log", "listed": '[["spn","100-1","active",2]]', "entry_id": str(uuid.uuid4())}
    assert [tech.post(url, sent).status_code for _ in range(2)] == [302, 302]
    right = Scan.objects.exclude(pk=wrong.pk).get()
    assert (right.entry.amends_id, right.entry.happened_at) == (wrong.pk, wrong.entry.happened_at)
    again = tech.post(url, {**sent, "entry_id": str(uuid.uuid4())})
    assert (again.status_code, "already corrected by " in again.content.decode()) == (422, True)
    assert Scan.objects.count() == 2


def test_htmx_gets_the_inside_of_the_form(tech, url, cast):
    answer = tech.post(
        url, {**ANSWERS, "unit": cast.port_unit.pk, "do": "add", "code": "110-0"}, headers={"HX-Request": "true"}
    )
    page = answer.content.decode()
    assert page.strip().startswith('<div id="capture"')
    assert 'data-say="SPN 110 FMI 0 active added."' in page


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("110-0", "Engine coolant temperature"),
        ("P0217", "Engine coolant over temperature"),
        ("11", "Not read as a code yet"),
        ("999999999-77", "SPN 999999999 is too large: an SPN is from 0 to 524287."),
        ("110-0 x3", "×3"),
        ("", ""),
    ],
)
def test_a_code_is_explained_while_it_is_typed(tech, cast, typed, answer):
    page = tech.get(f"/units/{cast.port_unit.pk}/code/", {"code": typed})
    assert page.status_code == 200
    assert answer in page.content.decode()


def test_the_explanation_tells_what_it_was_on_this_unit(tech, cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    assert (
        "On this unit before: active when last seen"
        in tech.get(f"/units/{cast.port_unit.pk}/code/", {"code": "110-0"}).content.decode()
    )


def test_a_boat_without_a_unit_says_what_to_do(tech, job):
    job.vessel.units.all().delete()
    for page in ("scan", "paste", "clear"):
        answer = tech.get(f"/jobs/{job.number}/{page}/")
        assert answer.status_code == 200
        assert "No control unit is aboard by the records" in answer.content.decode()


@pytest.mark.parametrize(
    ("page", "words"), [("scan", "A scan is"), ("paste", "A scan is"), ("clear", "Codes are cleared")]
)
def test_without_a_unit_each_page_speaks_of_itself(tech, job, page, words):
    job.vessel.units.all().delete()
    answer = tech.get(f"/jobs/{job.number}/{page}/").content.decode()
    assert words in answer
    assert "If it has none, it has no fault codes to read or clear: log readings and work instead." in answer
    assert ("A scan" in answer) is (page != "clear")
    for link in ("readings", "work"):
        assert f'href="/jobs/{job.number}/{link}/"' in answer


def test_a_job_of_a_boat_without_a_unit_asks_for_no_scan(tech, job):
    assert "Log the arrival scan first" in tech.get(f"/jobs/{job.number}/findings/").content.decode()
    job.vessel.units.all().delete()
    answer = tech.get(f"/jobs/{job.number}/findings/").content.decode()
    assert "Log the arrival scan first" not in answer
    assert "so there are no codes to read" in answer


def test_strange_input_never_breaks_the_page(tech, url, cast):
    strange = {"unit": "9999999999999999999", "switch": "x", "take": "%00", "row-0-status": "\0", "happened_at": "soon"}
    assert tech.post(url, {**ANSWERS, **strange}).status_code in {200, 422}
    assert tech.post(url, {}).status_code in {200, 422}
    assert tech.get(url, {"unit": "abc", "phase": "noon", "corrects": "1"}).status_code == 200
    assert not LogEntry.objects.exists()


def test_a_boat_without_a_unit_gets_one_and_the_scan_goes_on(tech, url, cast):
    ControlUnit.objects.all().delete()
    page = tech.get(url).content.decode()
    assert "No control unit is aboard by the records" in page
    add = f"{reverse('vessels:unit-add', args=[cast.vessel.pk])}?engine={cast.port.pk}&next={url}"
    assert add.replace("&", "&amp;").replace("next=/", "next=%2F") in page.replace("next=/", "next=%2F")
    form = {"name": "Engine control unit", "code_system": "spn", "engine": cast.port.pk}
    assert tech.post(add, form).headers["Location"] == url
    assert "Log a scan" in tech.get(url).content.decode()
    elsewhere = tech.post(f"{add}/../..".replace(url, "https://elsewhere.example.com"), form)
    assert elsewhere.headers["Location"] == reverse("vessels:engines", args=[cast.vessel.pk])


class TestACorrectionByAnother:
    """Whoever corrects when in the job it was did not read the unit: the reader, and the read-out, stay."""

    @pytest.fixture
    def pasted(self, cast, job):
        return scan(
            cast,
            0,
            100,
            [seen(COOLANT)],
            job=job,
            raw="SPN 110 FMI 0 active\nBLORP 7",
            source="paste",
            not_understood=1,
        )

    @pytest.fixture
    def corrects(self, client, cast, url):
        def send(wrong, listed='[["spn","110-0","active",null]]', **more):
            client.force_login(cast.manager)
            first = client.get(f"{url}?corrects={wrong.pk}").context["form"].initial
            sent = {**ANSWERS, **first, "phase": "delivery", "do": "log", "listed": listed, **more}
            assert client.post(url, {**sent, "entry_id": str(uuid.uuid4())}).status_code == 302
            return Scan.objects.get(entry__amends=wrong.pk)

        return send

    def test_the_read_out_stays_with_it(self, pasted, corrects):
        right = corrects(pasted)
        assert (right.raw, right.source, right.not_understood) == (pasted.raw, "paste", 1)
        assert right.phase == "delivery"

    def test_codes_of_another_read_out_do_not_get_it(self, pasted, corrects):
        right = corrects(pasted, '[["spn","94-1","active",null]]')
        assert (right.raw, right.source, right.not_understood) == ("", "touch", 0)

    def test_pages_name_who_scanned_and_who_corrected(self, client, pasted, corrects, job):
        again = corrects(corrects(pasted), phase="sea-trial")
        assert again.entry.author.name == "Mina Sparrow"
        page = client.get(reverse("findings:fault", args=[Fault.objects.get().pk])).content.decode()
        people = page.split("Who saw it in a scan")[1]
        assert "<dt>Tomas Reef</dt><dd>1 scan," in people
        assert "Mina" not in people
        for where in (page, client.get(reverse("findings:job", args=[job.number])).content.decode()):
            assert "Tomas Reef, corrected by Mina Sparrow" in where


@pytest.mark.parametrize(
    ("count", "says"),
    [
        ("999999", "The count is too large."),
        ("65536", "The count is too large."),
        ("many", "The count is not a whole number."),
        ("-1", "The count is not a whole number."),
        ("1.5", "The count is not a whole number."),
    ],
)
def test_a_count_that_cannot_be_says_why_and_the_most(tech, url, cast, count, says):
    page = post(tech, url, cast, do="add", code="110-0", count=count)
    assert page.status_code == 422
    assert f"{says} A whole number up to 65,535, or nothing." in page.content.decode()


def test_a_code_that_is_active_and_was_never_counted_is_asked_about_once(tech, url, cast):
    listed = '[["spn","110-0","active",0],["spn","100-1","stored",0]]'
    asked = post(tech, url, cast, do="log", listed=listed)
    page = asked.content.decode()
    assert (asked.status_code, Scan.objects.exists(), listed_in(asked)) == (422, False, json.loads(listed))
    assert "SPN 110 FMI 0 is active, and its count is 0. Correct the status or the count" in page
    assert "Active, with a count of 0: one of the two may be a slip." in page
    assert 'name="really_zero"' in page
    assert post(tech, url, cast, do="log", listed=listed, really_zero="on").status_code == 302
    assert Scan.objects.get().sightings.count() == 2


@pytest.mark.parametrize(("status", "count"), [("stored", "0"), ("active", "1"), ("active", ""), ("pending", "0")])
def test_only_an_active_code_with_a_count_of_zero_is_asked_about(tech, url, cast, status, count):
    assert post(tech, url, cast, do="log", code="110-0", status=status, count=count).status_code == 302


def test_a_code_of_another_kind_than_the_unit_gives_is_remarked_on_and_not_refused(tech, url, cast):
    remark = "This unit is entered as giving SPN/FMI codes: check that the code is of this unit."
    said = tech.get(f"/units/{cast.port_unit.pk}/code/", {"code": "P0217"}).content.decode()
    assert f"New to this unit. {remark}" in said
    added = post(tech, url, cast, do="add", code="P0217")
    assert (added.status_code, remark in added.content.decode()) == (200, True)
    assert post(tech, url, cast, do="log", listed=added.context["listed"]).status_code == 302
    scan_page = post(tech, url, cast, do="add", code="P0217").content.decode()
    assert remark not in scan_page  # by now the unit has given such a code
    ControlUnit.objects.filter(pk=cast.port_unit.pk).update(code_system="obd")
    said = tech.get(f"/units/{cast.port_unit.pk}/code/", {"code": "168-4"}).content.decode()
    assert "New to this unit. This unit is entered as giving P, C, B and U codes" in said
    assert "entered as" not in tech.get(f"/units/{cast.port_unit.pk}/code/", {"code": "P0118"}).content.decode()


def test_one_code_with_two_statuses_is_said_to_be_one(tech, url, cast, job):
    added = post(tech, url, cast, do="add", code="110-0", status="stored", listed='[["spn","110-0","active",1]]')
    page = added.content.decode()
    assert "A code is now listed with more than one status." in page
    assert "Also in this list as stored: one code, logged with each of its statuses." in page
    assert "Also in this list as active: one code, logged with each of its statuses." in page
    done = tech.post(
        url,
        {**ANSWERS, "unit": cast.port_unit.pk, "do": "log", "listed": added.context["listed"]},
        follow=True,
    )
    assert "1 code of" in done.content.decode()
    made = Scan.objects.get()
    assert [str(row) for row in made.sightings.all()] == ["SPN 110 FMI 0 active", "SPN 110 FMI 0 stored"]
    assert made.entry.summary.endswith("SPN 110 FMI 0 active ×1, SPN 110 FMI 0 stored.")


def before_words(page):
    """What the form says of the past: of each code that it offers, and of each on its list."""
    chips = {one.seen.fault.label: one.last_time for one in [*page.context["chips"], *page.context["more_chips"]]}
    rows = {one.listed.label: (one.last_time, one.returned) for one in page.context["rows"]}
    return chips, rows


def test_a_scan_that_is_corrected_after_clears_says_only_what_was_known_before_it(tech, url, cast, job):
    scan(cast, -30, 50, [seen(COOLANT)])
    clear(cast, -29, 60)
    wrong = scan(cast, 0, 100, [seen(COOLANT), seen(OIL)], job=job)
    clear(cast, 0.01, 100, job=job)
    page = tech.get(f"{url}?corrects={wrong.pk}")
    chips, rows = before_words(page)
    assert chips == {"SPN 110 FMI 0": "cleared 40 h before (29 days)", "SPN 100 FMI 1": ""}
    assert rows == {"SPN 110 FMI 0": ("cleared 40 h before (29 days)", True), "SPN 100 FMI 1": ("", False)}
    body = page.content.decode()
    assert "(today)" not in body
    assert "Not on record before this scan" in body


def test_a_scan_with_an_earlier_time_says_only_what_was_known_then(tech, url, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 10, 110, job=job)
    scan(cast, 11, 111, [], job=job, phase="after-repair")
    typed = f"{timezone.localtime(at(5)):%Y-%m-%dT%H:%M}"
    sent = {"unit": cast.port_unit.pk, "listed": "", "happened_at": typed, "take": code_key(COOLANT)}
    page = tech.post(url, sent)
    chips, rows = before_words(page)
    assert chips == {"SPN 110 FMI 0": "active when last seen, 5 days before"}
    assert rows == {"SPN 110 FMI 0": ("active when last seen, 5 days before", False)}
    now_page = tech.post(url, sent | {"happened_at": ""})
    assert before_words(now_page)[0]["SPN 110 FMI 0"].startswith("cleared ")
    explained = reverse("findings:explain", args=[cast.port_unit.pk])
    assert "On this unit before" in tech.get(explained, {"code": "110-0"}).content.decode()
    then = tech.get(explained, {"code": "110-0", "happened_at": typed}).content.decode()
    assert "On this unit before" not in then
    assert "New to this unit" not in then
