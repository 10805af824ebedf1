"""What a report leaves open is said before it is signed."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from findings.reports.build import build_findings
from findings.reports.gaps import gaps
from findings.reports.record import Recommendation
from findings.reports.templatetags.reports import feet_and_meters, horsepower_and_kilowatts
from staff.policy import Role
from tests.findings import story
from tests.findings.reports import scene

pytestmark = pytest.mark.django_db


def test_a_finished_job_with_everything_written_leaves_open_what_was_out(cast, job):
    job.state = "ready"
    job.save()
    draft = scene.drafted(cast, job)
    found = build_findings(draft)
    assert gaps(found, job) == ["Oil pressure read out of range, and no recommendation names it."]
    named = (*found.recommendations, Recommendation(urgency="soon", text="Starboard oil pressure: measure again."))
    assert gaps(replace(found, recommendations=named), job) == [
        "Oil pressure read out of range; a recommendation names it."
    ]


def test_each_gap_is_named(cast):
    job = story.open_job(cast)
    story.scan(cast, 0, None, [story.seen(story.COOLANT)], job=job)
    story.work(cast, 1, None, [story.fault(story.COOLANT)], job=job)
    draft = scene.actions.draft_report(by=cast.tech, job=job)
    said = " ".join(gaps(build_findings(draft), job))
    concern = job.lines.get().concern
    for words in (
        "its state is “in work”", f"“{concern}” has no cause and no correction yet",
        "no complete scan on this job after it",
        "SPN 110 FMI 0 is open, and nothing is recommended", "Port: no engine hours are on record",
    ):  # fmt: skip
        assert words in said


def test_a_reading_out_of_range_wants_a_recommendation(cast, job):
    draft = scene.actions.draft_report(by=cast.tech, job=job)
    assert "Oil pressure read out of range, and nothing is recommended." in gaps(build_findings(draft), job)


def test_an_instrument_that_cannot_have_measured_it_is_asked_about_once(cast, job):
    draft = scene.actions.draft_report(by=cast.tech, job=job)
    found = build_findings(draft)
    one = next(reading for reading in found.readings if reading.parameter == "Oil pressure")
    with_meter = [replace(one, instrument="Multimeter, Tidewell M1")] * 2
    question = "Oil pressure: a multimeter measures no pressure by itself: was another gauge or a transducer used?"
    assert gaps(replace(found, readings=tuple(with_meter)), job).count(question) == 1
    for instrument in ("", "Pressure gauge", "Multimeter with transducer"):
        assert question not in gaps(replace(found, readings=(replace(one, instrument=instrument),)), job)
    assert question not in gaps(replace(found, readings=(replace(with_meter[0], file_sha256="a" * 64),)), job)


def test_reviewer_and_signer_are_told(cast, job):
    draft = scene.reviewed(cast, job)
    for role, name in ((Role.TECHNICIAN, "reports:job"), (Role.OWNER, "reports:sign")):
        client = Client()
        client.force_login(cast.person(role))
        page = client.get(reverse(name, args=[draft.job.number])).content.decode()
        assert "Still open" in page
        assert "The job is not finished" in page


def test_sizes_are_given_in_both_systems():
    assert feet_and_meters(Decimal("7.468")) == "24 ft 6 in (7.47 m)"
    assert feet_and_meters(Decimal("7.3152")) == "24 ft (7.32 m)"
    assert horsepower_and_kilowatts(Decimal("276")) == "370 hp (276 kW)"
    assert horsepower_and_kilowatts(Decimal("275.909")) == "370 hp (276 kW)"
