"""On a boat with several engines nothing is chosen for anybody, unless the link or the job leaves no choice."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from findings.faults.models import Scan
from findings.readings.models import Parameter, Reading
from findings.readings.parameters import seed_parameters
from tests.cast import Cast
from tests.findings.story import COOLANT, scan, seen
from vessels.models import ControlUnit, LogEntry
from workorders.actions import open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
UNIT_PAGES = ["scan", "paste", "clear"]


@pytest.fixture
def open_ended(cast: Cast) -> Job:
    """A job whose lines name no engine."""
    seed_parameters()
    return open_job(by=cast.desk, vessel=cast.vessel, concerns=["Smells of diesel"])


def about(job: Job, *engines: Any) -> Job:
    """The job with a line for each engine."""
    line = job.lines.get()
    for number, engine in enumerate(engines):
        line.pk = line.pk if number == 0 else None
        line.position, line.engine = number + 1, engine
        line.save(force_insert=number > 0)
    return job


def address(page: str, job: Job) -> str:
    return reverse(f"findings:{page}", args=[job.number])


def chosen_on(tech: Client, page: str, job: Job, query: str = "") -> Any:
    """The unit that a page opens with; None where it asks."""
    answer = tech.get(address(page, job) + query)
    assert answer.status_code == 200
    capture = answer.context.get("capture")
    return capture.unit if capture is not None else answer.context.get("unit")


@pytest.mark.parametrize("page", UNIT_PAGES)
def test_the_unit_is_asked_for_where_the_job_names_no_engine_or_two(tech, cast, open_ended, page) -> None:
    assert chosen_on(tech, page, open_ended) is None
    text = tech.get(address(page, open_ended) + "?phase=sea-trial").content.decode()
    for unit in (cast.port_unit, cast.starboard_unit):
        assert f"unit={unit.pk}" in text
    assert "phase=sea-trial" in text, "what the link said goes along"
    assert chosen_on(tech, page, about(open_ended, cast.port, cast.starboard)) is None


@pytest.mark.parametrize("page", UNIT_PAGES)
def test_the_link_or_the_job_says_which(tech, cast, open_ended, page) -> None:
    assert chosen_on(tech, page, open_ended, f"?unit={cast.port_unit.pk}") == cast.port_unit
    assert chosen_on(tech, page, open_ended, f"?unit={cast.starboard_unit.pk}") == cast.starboard_unit
    assert chosen_on(tech, page, open_ended, "?unit=999999") is None
    assert chosen_on(tech, page, about(open_ended, cast.starboard)) == cast.starboard_unit


@pytest.mark.parametrize("page", UNIT_PAGES)
def test_what_was_scanned_last_chooses_nothing(tech, cast, open_ended, page) -> None:
    scan(cast, 0, 100, [seen(COOLANT)], job=open_ended)
    assert chosen_on(tech, page, open_ended) is None


@pytest.mark.parametrize("page", UNIT_PAGES)
def test_of_two_units_on_one_engine_none_is_chosen(tech, cast, open_ended, page) -> None:
    ControlUnit.objects.create(vessel=cast.vessel, engine=cast.starboard, name="Trim", address=7)
    assert chosen_on(tech, page, about(open_ended, cast.starboard)) is None


@pytest.mark.parametrize("page", UNIT_PAGES)
def test_on_a_boat_with_one_unit_there_is_nothing_to_ask(tech, cast, open_ended, page) -> None:
    cast.starboard_unit.delete()
    assert chosen_on(tech, page, open_ended) == cast.port_unit


def test_a_scan_sent_without_its_unit_is_refused_and_kept(tech, cast, open_ended) -> None:
    typed = {
        "do": "log",
        "phase": "arrival",
        "extent": "some",
        "listed": '[["spn","110-0","active",1]]',
        "text": "Hot <b>",
    }
    answer = tech.post(address("scan", open_ended), typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing is logged yet" in page
    assert "Hot &lt;b&gt;" in page
    assert not Scan.objects.exists()
    kept = dict(answer.context["typed"])
    again = tech.post(address("scan", open_ended), {**kept, "switch": str(cast.starboard_unit.pk)})
    assert again.status_code == 200
    assert [one.label for one in again.context["capture"].listed] == ["SPN 110 FMI 0"]
    assert not Scan.objects.exists()


def test_a_pasted_text_sent_without_its_unit_is_kept(tech, cast, open_ended) -> None:
    answer = tech.post(address("paste", open_ended), {"do": "read", "pasted": "SPN 110 FMI 0 active"})
    assert answer.status_code == 422
    kept = dict(answer.context["typed"])
    again = tech.post(address("paste", open_ended), {**kept, "switch": str(cast.starboard_unit.pk)})
    assert again.context["form"]["pasted"].value() == "SPN 110 FMI 0 active"


def test_a_clear_sent_without_its_unit_clears_nothing(tech, cast, open_ended) -> None:
    scan(cast, 0, 100, [seen(COOLANT)], job=open_ended)
    before = LogEntry.objects.count()
    answer = tech.post(address("clear", open_ended), {"extent": "all", "text": "Reset."})
    assert answer.status_code == 422
    kept = dict(answer.context["typed"])
    again = tech.post(address("clear", open_ended), {**kept, "switch": str(cast.port_unit.pk)})
    assert again.status_code == 200
    assert again.context["form"]["text"].value() == "Reset."
    assert LogEntry.objects.count() == before


def volts(**more: str) -> dict[str, str]:
    parameter = Parameter.objects.get(name="Battery voltage")
    return {
        "phase": "arrival", "other-parameter": str(parameter.pk), "other-value": "12.6", "other-unit": "V",
        "entry_id": str(uuid.uuid4()), **more,
    }  # fmt: skip


def test_readings_ask_which_engine(tech, cast, open_ended) -> None:
    url = address("job_readings", open_ended)
    page = tech.get(url)
    assert page.context["engine"] is None
    assert "Of which engine?" in page.content.decode()
    assert 'id="sheet"' not in page.content.decode()
    answer = tech.post(url, volts())
    assert answer.status_code == 422
    assert "Say which engine these values are of. Nothing is logged yet." in answer.content.decode()
    assert 'value="12.6"' in answer.content.decode()
    assert not Reading.objects.exists()
    assert tech.post(url, volts(engine=str(cast.starboard.pk))).status_code == 302
    assert Reading.objects.get().entry.engine == cast.starboard


def test_readings_of_the_boat_itself_are_of_no_engine(tech, cast, open_ended) -> None:
    url = address("job_readings", open_ended) + "?engine=boat"
    assert "Log readings" in tech.get(url).content.decode()
    assert tech.post(url, volts()).status_code == 302
    assert Reading.objects.get().entry.engine is None


def test_readings_begin_with_the_engine_that_the_job_is_about(tech, cast, open_ended) -> None:
    url = address("job_readings", about(open_ended, cast.starboard))
    assert tech.get(url).context["engine"] == cast.starboard
    assert tech.get(f"{url}?engine={cast.port.pk}").context["engine"] == cast.port


def test_a_result_of_the_bench_is_logged_of_an_engine_that_somebody_chose(tech, cast, open_ended) -> None:
    url = reverse("findings:bench_tool", args=[open_ended.number, "resistance-from-drop"])
    sent = {"drop": "0.2 V", "current": "200 A", "work-out": "1"}
    page = tech.get(url, sent)
    assert page.context["engine"] is None
    assert "1 mΩ" in page.content.decode()
    assert "Choose above which engine this is of" in page.content.decode()
    to_log = {**sent, "log-phase": "arrival", "log-entry_id": str(uuid.uuid4())}
    answer = tech.post(url, to_log)
    assert answer.status_code == 422
    assert "Choose above which engine this is of" in answer.content.decode()
    assert not Reading.objects.exists()
    assert tech.post(url, {**to_log, "for-engine": str(cast.starboard.pk)}).status_code == 302
    assert Reading.objects.get().entry.engine == cast.starboard
    assert tech.post(url, {**to_log, "for-engine": "0", "log-entry_id": str(uuid.uuid4())}).status_code == 302


def test_the_verdict_of_a_reading_stands_on_top_of_the_page_that_follows(tech, cast, open_ended) -> None:
    url = address("job_readings", open_ended) + "?engine=boat"
    page = tech.post(url, volts(), follow=True).content.decode()
    assert page.index("1 reading logged. Battery voltage: 12.6 V") < page.index("<table")
