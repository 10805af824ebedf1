"""When in the job a finding would be made: the same answer on every form that asks."""

from __future__ import annotations

import pytest
from django.urls import reverse

from findings.faults.phases import common_phase, phase_on_another_unit, usual_phase
from tests.findings.story import COOLANT, at, clear, fault, open_job, scan, seen, work
from vessels.actions.log import retract

pytestmark = pytest.mark.django_db


def both(cast, job, **more):
    return [usual_phase(job, unit=unit, **more) for unit in (cast.port_unit, cast.starboard_unit)]


def test_it_is_on_arrival_until_work_on_that_engine_is_logged(cast, job):
    assert both(cast, job) == ["arrival", "arrival"]
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    assert both(cast, job) == ["arrival", "arrival"], "a scan mends nothing"
    work(cast, 1, 101, [fault()], job=job)
    assert both(cast, job) == ["after-repair", "arrival"]
    assert usual_phase(job, engine=cast.port) == "after-repair"
    assert usual_phase(job, engine=cast.starboard) == "arrival"


def test_work_on_another_job_says_nothing_of_this_one(cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 1, 101, [fault()], job=open_job(cast))
    assert both(cast, job) == ["arrival", "arrival"]


def test_work_taken_back_was_no_work(cast, job):
    done = work(cast, 1, 101, [], engine=cast.port, job=job)
    retract(by=cast.manager, entry=done.entry, reason="Wrong job.")
    assert both(cast, job) == ["arrival", "arrival"]


def test_what_was_made_before_the_work_was_on_arrival(cast, job):
    work(cast, 1, 101, [], engine=cast.port, job=job)
    assert usual_phase(job, unit=cast.port_unit, at=at(0.5)) == "arrival"


@pytest.mark.parametrize(
    ("state", "phase"),
    [("in-work", "after-repair"), ("sea-trial", "sea-trial"), ("ready", "delivery"), ("closed", "delivery")],
)
def test_after_the_work_it_is_what_the_job_says_and_without_work_it_is_asked(cast, job, state, phase):
    work(cast, 1, 101, [], engine=cast.port, job=job)
    job.state = state
    assert both(cast, job) == [phase, "arrival" if state == "in-work" else ""]


def test_a_clear_ends_the_arrival_but_is_no_repair(cast, job):
    clear(cast, 1, 101, job=job)
    assert both(cast, job) == ["", "arrival"]


def test_a_scan_said_to_be_later_leaves_a_doubt(cast, job):
    scan(cast, 1, 101, job=job, phase="after-repair")
    assert both(cast, job) == ["", "arrival"]


def test_work_that_names_no_engine_leaves_a_doubt_about_each(cast, job):
    work(cast, 1, None, [], job=job)
    assert both(cast, job) == ["", ""]
    assert usual_phase(job) == "after-repair", "the boat itself was worked on"


def test_work_on_an_engine_leaves_a_doubt_about_the_boat(cast, job):
    assert usual_phase(job) == "arrival"
    work(cast, 1, 101, [], engine=cast.port, job=job)
    assert usual_phase(job) == ""


def test_what_was_asked_for_is_taken_where_it_is_a_phase(cast, job):
    assert both(cast, job, wanted="delivery") == ["delivery", "delivery"]
    assert both(cast, job, wanted="noon") == ["arrival", "arrival"]


def test_several_have_a_phase_in_common_or_none():
    assert (common_phase(["arrival", "arrival"]), common_phase(["arrival", "delivery"]), common_phase([])) == (
        "arrival",
        "",
        "",
    )


def test_pasting_follows_the_unit_that_is_chosen_and_those_in_the_text(tech, cast, job):
    url = f"/jobs/{job.number}/paste/"
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 1, 101, [fault()], job=job)
    assert tech.get(url).context["form"]["phase"].value() == "after-repair"
    sent = {"unit": cast.port_unit.pk, "phase": "after-repair", "pasted": "SPN 110 FMI 0 active"}
    switched = tech.post(url, {**sent, "switch": cast.starboard_unit.pk})
    assert switched.context["form"]["phase"].value() == "", "what stood there for port is not taken for starboard"
    both_units = {**sent, "pasted": "SPN 110 FMI 0 active\n18FECA01#40FF5B000301FFFF", "do": "read"}
    assert tech.post(url, both_units).context["form"]["phase"].value() == ""
    assert tech.post(url, {**both_units, "phase": "delivery"}).context["form"]["phase"].value() == "delivery"


def test_readings_and_the_bench_follow_the_engine(tech, cast, job):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 1, 101, [fault()], job=job)
    for engine, phase in ((cast.port, "after-repair"), (cast.starboard, "arrival")):
        sheet = tech.get(f"/jobs/{job.number}/readings/?engine={engine.pk}").context["sheet"]
        assert sheet.common["phase"].value() == phase
        tool = tech.get(f"/jobs/{job.number}/bench/voltage-drop/?for-engine={engine.pk}")
        assert tool.context["log_form"]["phase"].value() == phase


def test_findings_do_not_ask_for_a_scan_after_the_repair_under_one_that_is(tech, cast, job):
    address = f"/jobs/{job.number}/findings/"
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    scan(cast, 0, 100, [], unit=cast.starboard_unit, phase="after-repair", job=job)
    page = tech.get(address).content.decode()
    assert page.count("After the repair, clear the codes and scan again") == 1
    assert "it was not taken on arrival: there is nothing to compare it with" in page


@pytest.mark.parametrize(
    ("chosen", "phase"),
    [
        ("sea-trial", "sea-trial"),  # somebody chose it
        ("delivery", "delivery"),
        ("arrival", ""),  # what stood there by itself for starboard is not taken for port, which has been worked on
        ("after-repair", "after-repair"),
        ("", "after-repair"),
    ],
)
def test_another_unit_keeps_the_phase_that_was_chosen(cast, job, tech, chosen, phase):
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 1, 101, [fault()], job=job)
    before, now = cast.starboard_unit, cast.port_unit
    assert phase_on_another_unit(job, chosen, before=before, now=now) == phase
    sent = {"unit": before.pk, "switch": now.pk, "phase": chosen, "listed": "[]", "pasted": "SPN 110 FMI 0 active"}
    for address in ("scan", "paste"):
        page = tech.post(reverse(f"findings:{address}", args=[job.number]), sent)
        assert page.context["form"]["phase"].value() == phase, address


def test_a_correction_on_another_unit_is_of_the_same_moment_in_the_job(cast, job, tech):
    wrong = scan(cast, 0, 100, [seen(COOLANT)], job=job, unit=cast.starboard_unit)
    work(cast, 1, 101, [], engine=cast.port, job=job)
    sent = {"unit": cast.starboard_unit.pk, "corrects": wrong.pk, "phase": "arrival", "listed": "[]"}
    page = tech.post(reverse("findings:scan", args=[job.number]), {**sent, "switch": cast.port_unit.pk})
    assert page.context["form"]["phase"].value() == "arrival"
