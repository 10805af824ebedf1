"""A report is never called ready to sign where something stands in the way of signing, nor the other way round."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from findings.reports import actions
from tests.findings.reports import scene

pytestmark = pytest.mark.django_db

READY = "Reviewed, ready to sign"
BLOCKED = "It cannot be signed yet"


def spoil_name(cast, settings):
    cast.customer.name = "山田 Taro"
    cast.customer.save()


def spoil_logo(cast, settings):
    scene.dress_shop(logo="shop/gone.png")


def spoil_certificate(cast, settings):
    settings.SIGNING_P12 = str(settings.VAR / "nothing.p12")


def spoil_nothing(cast, settings):
    """All is well."""


def page_of(person, address, *arguments):
    client = Client()
    client.force_login(person)
    answer = client.get(reverse(address, args=arguments))
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.parametrize("spoil", [spoil_name, spoil_logo, spoil_certificate])
def test_what_cannot_be_signed_is_not_called_ready(cast, job, settings, spoil):
    scene.reviewed(cast, job)
    spoil(cast, settings)
    for person in (cast.tech, cast.manager, cast.owner):
        page = page_of(person, "reports:job", job.number)
        assert BLOCKED in page
        assert "ready to sign" not in page
        assert "A manager or the owner signs it" not in page
        assert "Read and sign" not in page
    page = page_of(cast.manager, "reports:sign", job.number)
    assert BLOCKED in page
    assert "Sign and issue" not in page
    assert "exactly what will be signed" not in page
    assert "The report can be signed as it is" not in page


def test_what_can_be_signed_is_called_ready(cast, job, settings):
    scene.reviewed(cast, job)
    page = page_of(cast.manager, "reports:job", job.number)
    assert READY in page
    assert BLOCKED not in page
    assert "Read and sign" in page
    page = page_of(cast.manager, "reports:sign", job.number)
    assert BLOCKED not in page
    assert "Sign and issue" in page


def test_what_came_after_the_review_is_reviewed_before_it_is_signed(cast, job, settings):
    """The paper says who reviewed the findings: nobody did that of what was logged or corrected later."""
    draft = scene.reviewed(cast, job)
    scene.story.scan(cast, 13, 789, [scene.story.seen(scene.story.LEAN)], job=job)
    said = f"Something was logged or changed since {cast.tech.name} reviewed it."
    for person in (cast.tech, cast.manager, cast.owner):
        page = page_of(person, "reports:job", job.number)
        assert said in page
        assert "ready to sign" not in page
        assert "Review it again" in page
    page = page_of(cast.manager, "reports:sign", job.number)
    assert said in page
    assert "Sign and issue" not in page
    draft.refresh_from_db()
    again = actions.review_report(by=cast.tech, draft=draft, seen_version=draft.version)
    assert (again.reviewed_by, again.state) == (cast.tech, "reviewed")
    page = page_of(cast.manager, "reports:job", job.number)
    assert READY in page
    assert BLOCKED not in page


def test_a_review_stands_as_long_as_nothing_changes(cast, job, settings, monkeypatch):
    """What a report says does not depend on the day on which somebody looks."""
    scene.reviewed(cast, job)
    later = timezone.now() + timedelta(days=400)
    monkeypatch.setattr(timezone, "now", lambda: later)
    assert READY in page_of(cast.manager, "reports:job", job.number)


def test_who_needs_a_second_person_is_not_offered_a_signature(cast, job):
    scene.dress_shop(two_for_a_report=True)
    draft = scene.drafted(cast, job)
    actions.review_report(by=cast.manager, draft=draft, seen_version=draft.version)
    page = page_of(cast.manager, "reports:sign", job.number)
    assert "A second person is needed" in page
    assert "Sign and issue" not in page
    assert "The report can be signed as it is" not in page
    page = page_of(cast.manager, "reports:job", job.number)
    assert "Read and sign" not in page
    assert "requires two people" in page
    page = page_of(cast.owner, "reports:job", job.number)
    assert "Read and sign" in page
    assert "Sign and issue" in page_of(cast.owner, "reports:sign", job.number)


def test_a_review_does_not_promise_a_signature_that_is_blocked(cast, job, settings):
    spoil_name(cast, settings)
    scene.drafted(cast, job)
    client = Client()
    client.force_login(cast.tech)
    address = reverse("reports:job", args=[job.number])
    draft = actions.ReportDraft.objects.get()
    told = {
        "seen_version": draft.version,
        "summary": draft.summary or "Sound.",
        "not_inspected": draft.not_inspected,
        "do": "review",
    }
    page = client.post(address, told, follow=True).content.decode()
    assert "Reviewed." in page
    assert "can sign now" not in page
    assert BLOCKED in page


@pytest.mark.parametrize("spoil", [spoil_nothing, spoil_name, spoil_logo, spoil_certificate])
def test_today_says_reviewed_and_what_keeps_the_shop_from_signing(cast, job, settings, spoil):
    scene.reviewed(cast, job)
    spoil(cast, settings)
    for person in (cast.manager, cast.owner):
        page = page_of(person, "today")
        assert reverse("reports:job", args=[job.number]) in page
        assert "ready to sign" not in page
        assert "Reports to sign" not in page
        assert ">to sign<" not in page
        assert "Reports reviewed, not signed yet" in page
        assert ("No report can be signed yet" in page) is (spoil in {spoil_logo, spoil_certificate})


ASKS = "A reader will ask about this"
AS_IT_IS = "can be signed as it is"


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        ({"summary": "  "}, "The summary is missing."),
        ({"not_inspected": ""}, "What was not inspected is missing."),
        ({"summary": "", "not_inspected": ""}, "The summary is missing. What was not inspected is missing."),
    ],
)
def test_what_would_be_refused_as_reviewed_is_not_called_ready(cast, job, missing, said):
    draft = scene.drafted(cast, job)
    actions.word_report(by=cast.tech, draft=draft, seen_version=draft.version, changes=missing)
    for person in (cast.tech, cast.owner):
        page = page_of(person, "reports:job", job.number)
        assert ASKS in page
        assert AS_IT_IS not in page
        assert f"{said} It cannot be reviewed without." in page


def test_a_new_draft_says_that_its_summary_is_missing(cast, job):
    actions.draft_report(by=cast.tech, job=job)
    page = page_of(cast.tech, "reports:job", job.number)
    assert "The summary is missing. It cannot be reviewed without." in page
    assert AS_IT_IS not in page


def test_a_draft_is_signed_once_it_is_reviewed_and_not_before(cast, job):
    draft = scene.drafted(cast, job)
    assert "Once it is reviewed, the report can be signed as it is." in page_of(cast.tech, "reports:job", job.number)
    actions.review_report(by=cast.tech, draft=draft, seen_version=draft.version)
    for address in ("reports:job", "reports:sign"):
        page = page_of(cast.manager, address, job.number)
        assert "The report can be signed as it is." in page
        assert "Once it is reviewed" not in page
