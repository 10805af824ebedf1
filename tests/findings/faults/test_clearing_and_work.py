"""Logging clears and work as a browser without JavaScript does it."""

from __future__ import annotations

import uuid
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from findings.faults.models import Clear, Episode, WorkDone
from tests.findings.story import COOLANT, LEAN, OIL, at, clear, fault, scan, seen, work
from vessels.models import LogEntry


@pytest.fixture
def history(cast, job):
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL, "stored")], job=job)
    scan(cast, 0, 90, [seen(OIL)], unit=cast.starboard_unit, job=job)


@pytest.fixture
def clear_url(job):
    return f"/jobs/{job.number}/clear/"


@pytest.fixture
def work_url(job):
    return f"/jobs/{job.number}/work/"


def test_the_page_says_what_a_clear_covers_and_that_it_stays(tech, clear_url, cast, history):
    page = tech.get(clear_url, {"unit": cast.port_unit.pk}).content.decode()
    assert "the 2 open ones are covered" in page
    assert "can’t be deleted" in page
    assert "No scan of this unit" not in page


def test_without_an_arrival_scan_it_hints_at_one_first(tech, clear_url, cast):
    page = tech.get(clear_url).content.decode()
    assert "No scan of this unit on this job yet" in page
    assert f"/scan/?unit={cast.port_unit.pk}&amp;phase=arrival" in page


def test_clearing_everything_of_one_unit(tech, clear_url, cast, job, history):
    sent = {"unit": cast.port_unit.pk, "extent": "all", "hours": "100.5", "entry_id": str(uuid.uuid4())}
    assert [tech.post(clear_url, sent).status_code for _ in range(2)] == [302, 302]
    made = Clear.objects.get()
    assert (made.everything, made.entry.job, made.entry.engine_hours) == (True, job, Decimal("100.5"))
    assert [fault(COOLANT).state, fault(OIL, cast.port_unit).state] == ["cleared", "cleared"]
    assert fault(OIL, cast.starboard_unit).state == "active"


def test_clearing_some(tech, clear_url, cast, history):
    sent = {"unit": cast.port_unit.pk, "extent": "some", "faults": [fault(COOLANT).pk]}
    assert tech.post(clear_url, sent).status_code == 302
    assert [fault(COOLANT).state, fault(OIL, cast.port_unit).state] == ["cleared", "stored"]


@pytest.mark.parametrize(
    ("extent", "ticks", "field"),
    [("some", 0, "faults"), ("all", 1, "extent"), ("", 0, "extent"), ("some", 99, "faults")],
)
def test_what_is_unclear_is_asked_again(tech, clear_url, cast, history, extent, ticks, field):
    ticked = {0: [], 1: [fault(COOLANT).pk], 99: [10**9]}[ticks]
    answer = tech.post(clear_url, {"unit": cast.port_unit.pk, "extent": extent, "faults": ticked, "text": "kept words"})
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert "kept words" in answer.content.decode()
    assert not Clear.objects.exists()


def test_a_code_of_another_unit_cannot_be_cleared_here(tech, clear_url, cast, history):
    sent = {"unit": cast.port_unit.pk, "extent": "some", "faults": [fault(OIL, cast.starboard_unit).pk]}
    assert tech.post(clear_url, sent).status_code == 422
    assert not Clear.objects.exists()


def test_work_is_logged_about_faults_and_a_line(tech, work_url, cast, job, history):
    sent = {
        "faults": [fault(COOLANT).pk, fault(OIL, cast.port_unit).pk],
        "text": "Replaced the impeller.",
        "line": job.lines.get().pk,
        "hours": "100",
        "entry_id": str(uuid.uuid4()),
    }
    assert [tech.post(work_url, sent).status_code for _ in range(2)] == [302, 302]
    made = WorkDone.objects.get()
    assert (made.line, made.entry.text, made.entry.engine) == (job.lines.get(), "Replaced the impeller.", cast.port)
    assert made.about.count() == 2
    assert fault(COOLANT).appearances.get().work == made


def test_work_proposes_the_fault_asked_for_and_the_only_line(tech, work_url, cast, job, history):
    initial = tech.get(work_url, {"fault": fault(COOLANT).pk}).context["form"].initial
    assert (initial["faults"], initial["line"]) == ([fault(COOLANT).pk], job.lines.get().pk)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"text": "  "}, "text"),
        ({"faults": [], "hours": "12"}, "hours"),
        ({"hours": "x"}, "hours"),
        ({"line": "999999"}, "line"),
    ],
)
def test_work_that_says_too_little(tech, work_url, cast, history, change, field):
    sent = {"faults": [fault(COOLANT).pk], "text": "Replaced the impeller.", **change}
    answer = tech.post(work_url, sent)
    assert answer.status_code == 422
    assert answer.context["form"].errors[field]
    assert not WorkDone.objects.exists()


def test_hours_of_two_engines_are_refused(tech, work_url, cast, history):
    both = [fault(COOLANT).pk, fault(OIL, cast.starboard_unit).pk]
    answer = tech.post(work_url, {"faults": both, "text": "Cleaned the strainers.", "hours": "100"})
    assert (answer.status_code, "hours" in answer.context["form"].errors) == (422, True)
    assert tech.post(work_url, {"faults": both, "text": "Cleaned the strainers."}).status_code == 302


def test_work_that_is_about_no_fault_is_logged(tech, work_url, cast, job):
    page = tech.get(work_url).content.decode()
    assert "an oil change" not in page  # there is no fault to leave unticked
    assert "Log the work" in page
    sent = {"text": "Oil and filter changed.", "engine": str(cast.port.pk), "hours": "412.5"}
    assert tech.post(work_url, sent).status_code == 302
    done = WorkDone.objects.get()
    assert (done.entry.engine, done.entry.engine_hours) == (cast.port, Decimal("412.5"))
    assert done.entry.summary == "Work done on Port · Norrland D6T-370."
    assert not done.about.exists()
    for url in (f"/jobs/{job.number}/findings/", f"/vessels/{cast.vessel.pk}/log/", f"/log/{done.pk}/"):
        assert "Oil and filter changed." in tech.get(url).content.decode()


def test_what_was_just_cleared_stands_first(tech, work_url, cast, job):
    scan(cast, 0, 100, [seen(OIL), seen(COOLANT)])
    job.opened_at = at(0)
    job.save()
    clear(cast, 1, 100, [fault(COOLANT)], job=job)
    rows = tech.get(work_url).context["open_rows"]
    assert [one.fault.label for one, _ in rows] == ["SPN 110 FMI 0", "SPN 100 FMI 1"]


@pytest.mark.parametrize("page", ["scan", "paste", "clear", "work"])
def test_the_front_desk_may_not_log(client, cast, job, page):
    client.force_login(cast.desk)
    assert client.get(f"/jobs/{job.number}/{page}/").status_code == 403
    assert client.post(f"/jobs/{job.number}/{page}/", {"do": "log"}).status_code == 403
    assert not LogEntry.objects.exists()


def test_the_front_desk_sees_findings_without_the_buttons(client, cast, job, history):
    client.force_login(cast.desk)
    page = client.get(f"/jobs/{job.number}/findings/").content.decode()
    assert "SPN 110 FMI 0" in page
    assert f"/jobs/{job.number}/scan/" not in page


def test_taking_a_scan_back_on_the_log_page_changes_the_fault(tech, cast, history):
    entry = fault(COOLANT).sightings.get().scan.entry
    answer = tech.post(f"/log/{entry.pk}/void/", {"reason": "Wrong boat", "text": "Wrong boat"})
    assert answer.status_code == 302
    assert fault(COOLANT).state == "none"


def test_a_clear_of_everything_covers_what_is_seen_late(cast):
    scan(cast, 5, 105, [seen(COOLANT)], complete=False)
    clear(cast, 6, 106)
    scan(cast, 4, 104, [seen(OIL)], complete=False)
    assert fault(OIL).state == "cleared"


def test_work_at_the_instant_of_a_return_is_about_the_return(cast):
    """It was seen back, and then worked on: what ended before was only cleared, and a clear is no repair."""
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 1, 101)
    scan(cast, 1.5, 105, [seen(COOLANT)])
    done = work(cast, 1.5, 105, [fault()])
    first, second = Episode.objects.filter(fault=fault()).order_by("number")
    assert (first.work_id, first.is_repair) == (None, False)
    assert (second.work_id, second.is_comeback) == (done.pk, False)


@pytest.mark.parametrize(
    ("day", "complete", "said"),
    [
        (None, True, "Scan again: only a complete scan shows whether they stay away."),
        (5, False, "Scan again: only a complete scan shows whether they stay away."),
        (0.5, True, "Scan again: only a complete scan shows whether they stay away."),
        (5, True, "logged as cleared. A complete scan from after that is on record."),
    ],
)
def test_a_clear_entered_late_asks_for_no_scan_that_is_on_record(
    tech, clear_url, cast, job, history, day, complete, said
):
    if day is not None:
        scan(cast, day, 101, [seen(LEAN)], job=job, complete=complete, phase="after-repair")
    moment = at(1).astimezone(ZoneInfo("America/New_York")).strftime("%Y-%m-%dT%H:%M")
    sent = {"unit": cast.port_unit.pk, "extent": "all", "happened_at": moment, "entry_id": str(uuid.uuid4())}
    page = tech.post(clear_url, sent, follow=True).content.decode()
    assert Clear.objects.get().entry.happened_at == at(1)
    assert said in page
    assert ("Scan again" in page) == ("Scan again" in said)
