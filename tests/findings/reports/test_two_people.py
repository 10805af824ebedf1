"""Who reviewed and who signed: said where it is one person, refused where the shop wants two."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from commands.refusals import Refused
from files.paper.drawing import Stationery
from findings.reports import actions
from findings.reports.models import IssuedReport, ReportDraft
from findings.reports.record import Record
from findings.reports.render import paper_html
from tests.findings.reports import sample, scene

ONE = "The same person reviewed and signed this report."


def _reviewed(by, cast, job):
    draft = scene.drafted(cast, job)
    return actions.review_report(by=by, draft=draft, seen_version=draft.version)


def _signed(by, draft, capture):
    with capture(execute=True):
        scene.sign(by, draft)
    return IssuedReport.objects.get()


def test_a_report_reviewed_and_signed_by_one_person_says_so(cast, job, django_capture_on_commit_callbacks):
    draft = _reviewed(cast.manager, cast, job)
    client = Client()
    client.force_login(cast.manager)
    assert (
        "the same person reviewed and signed it"
        in client.get(reverse("reports:sign", args=[job.number])).content.decode()
    )
    report = _signed(cast.manager, draft, django_capture_on_commit_callbacks)
    assert json.loads(report.record)["issue"]["reviewed_by_signer"] is True
    assert "who reviewed it as well" in client.get(reverse("reports:issued", args=[report.number])).content.decode()


def test_a_report_of_two_people_says_nothing_of_the_sort(cast, job, django_capture_on_commit_callbacks):
    report = _signed(cast.manager, _reviewed(cast.tech, cast, job), django_capture_on_commit_callbacks)
    assert json.loads(report.record)["issue"]["reviewed_by_signer"] is False
    client = Client()
    client.force_login(cast.manager)
    assert "reviewed it as well" not in client.get(reverse("reports:issued", args=[report.number])).content.decode()


@pytest.mark.parametrize("by_one", [True, False, None])
def test_the_paper_says_it_where_it_is_so(by_one):
    record = sample.record()
    assert record.issue is not None
    told = Record(
        format=record.format, issue=replace(record.issue, reviewed_by_signer=by_one), findings=record.findings
    )
    assert (ONE in paper_html(told, Stationery(size="letter"))) is (by_one is True)


def test_where_the_shop_wants_two_nobody_signs_what_they_reviewed(cast, job, django_capture_on_commit_callbacks):
    scene.dress_shop(two_for_a_report=True)
    draft = _reviewed(cast.manager, cast, job)
    with pytest.raises(Refused, match="requires two people"):
        _signed(cast.manager, draft, django_capture_on_commit_callbacks)
    client = Client()
    client.force_login(cast.manager)
    assert "A second person is needed" in client.get(reverse("reports:sign", args=[job.number])).content.decode()
    draft = ReportDraft.objects.get()
    actions.review_report(by=cast.tech, draft=draft, seen_version=draft.version)
    assert _signed(cast.manager, draft, django_capture_on_commit_callbacks).signer == cast.manager


def test_somebody_else_finds_the_button_to_review_it_anew(cast, job):
    _reviewed(cast.manager, cast, job)
    for person, sees in [(cast.tech, True), (cast.owner, True), (cast.manager, False)]:
        client = Client()
        client.force_login(person)
        page = client.get(reverse("reports:job", args=[job.number])).content.decode()
        assert ("Review it again" in page) is sees
