"""The pages of a report: who sees and does what, and what a person is told."""

from __future__ import annotations

import hashlib

import pytest
from django.test import Client
from django.urls import reverse

from commands.background import ask, do_now
from findings.reports import actions, issuing
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from staff.doors.limits import OWN_WORDS
from staff.policy import Role
from tests.cast import PASSWORD, Cast
from tests.findings import story
from tests.findings.reports import scene

WORDS = {
    "summary": "The thermostat had stuck.",
    "remarks": "",
    "before_next_use": "",
    "soon": "Coolant.",
    "watch": "",
    "not_inspected": "Hull",
}


def as_role(cast: Cast, role: Role) -> Client:
    client = Client()
    client.force_login(cast.person(role))
    return client


@pytest.fixture
def tech(cast) -> Client:
    return as_role(cast, Role.TECHNICIAN)


@pytest.fixture
def owner(cast) -> Client:
    return as_role(cast, Role.OWNER)


def test_the_whole_way_on_pages(cast, job, tech, owner, django_capture_on_commit_callbacks):
    tab = reverse("reports:job", args=[job.number])
    assert b"Start the report" in tech.get(tab).content
    tech.post(reverse("reports:start", args=[job.number]))
    draft = ReportDraft.objects.get()
    answer = tech.post(tab, {**WORDS, "seen_version": draft.version, "do": "review"}, follow=True)
    assert b"Reviewed" in answer.content
    assert b"Read and sign" not in answer.content
    page = owner.get(reverse("reports:sign", args=[job.number]))
    assert b"Orla Brandt" in page.content
    assert b"SPN 110 FMI 0" in page.content
    seen = page.context["form"]["seen"].value()
    with django_capture_on_commit_callbacks(execute=True):
        signed = owner.post(
            reverse("reports:sign", args=[job.number]), {"seen": seen, "password": PASSWORD}, follow=True
        )
    report = IssuedReport.objects.get()
    assert report.number.encode() in owner.get(tab).content
    assert signed.status_code == 200
    file = tech.get(reverse("reports:pdf", args=[report.number]))
    assert file["Content-Type"] == "application/pdf"
    assert file["Content-Disposition"].startswith("attachment;")
    assert file["X-Content-Type-Options"] == "nosniff"
    assert hashlib.sha256(file.content).hexdigest() == report.pdf_sha256
    assert report.code.encode() in tech.get(reverse("reports:issued", args=[report.number])).content


@pytest.mark.parametrize(
    ("name", "method", "allowed"),
    [
        ("start", "post", {Role.TECHNICIAN, Role.MANAGER, Role.OWNER}),
        ("discard", "post", {Role.TECHNICIAN, Role.MANAGER, Role.OWNER}),
        ("job", "post", {Role.TECHNICIAN, Role.MANAGER, Role.OWNER}),
        ("job", "get", set(Role)),
        ("preview", "get", set(Role)),
        ("preview_pdf", "get", set(Role)),
        ("progress", "get", set(Role)),
        ("sign", "get", {Role.MANAGER, Role.OWNER}),
        ("sign", "post", {Role.MANAGER, Role.OWNER}),
        ("retry", "post", {Role.MANAGER, Role.OWNER}),
    ],
)
def test_roles_on_a_draft(cast, job, name, method, allowed, monkeypatch, drawn):
    monkeypatch.setattr("findings.reports.views.drafts.draw_pdf", lambda *_: drawn)
    scene.reviewed(cast, job)
    for role in Role:
        answer = getattr(as_role(cast, role), method)(reverse(f"reports:{name}", args=[job.number]))
        assert (answer.status_code == 403) == (role not in allowed), role
    answer = getattr(Client(), method)(reverse(f"reports:{name}", args=[job.number]))
    assert answer.status_code == 302
    assert "login" in answer["Location"]


@pytest.mark.parametrize(("name", "method"), [("revise", "post"), ("withdraw", "get"), ("withdraw", "post")])
def test_only_leads_revise_and_withdraw(cast, job, issue, name, method):
    report = issue(job)
    for role in (Role.FRONT_DESK, Role.TECHNICIAN):
        assert getattr(as_role(cast, role), method)(reverse(f"reports:{name}", args=[report.number])).status_code == 403
    assert as_role(cast, Role.FRONT_DESK).get(reverse("reports:pdf", args=[report.number])).status_code == 200
    assert Client().get(reverse("reports:pdf", args=[report.number])).status_code == 302


def test_a_wrong_password_stands_beside_its_field(cast, job, owner):
    draft = scene.reviewed(cast, job)
    page = owner.get(reverse("reports:sign", args=[job.number]))
    seen = page.context["form"]["seen"].value()
    answer = owner.post(reverse("reports:sign", args=[job.number]), {"seen": seen, "password": "wrong"})
    assert answer.status_code == 422
    assert b"This is not your password" in answer.content
    draft.refresh_from_db()
    assert draft.state == DraftState.REVIEWED


def test_guessing_a_signer_s_password_is_stopped(cast, job, owner):
    draft = scene.reviewed(cast, job)
    url = reverse("reports:sign", args=[job.number])
    seen = owner.get(url).context["form"]["seen"].value()
    for _ in range(OWN_WORDS.most):
        owner.post(url, {"seen": seen, "password": "wrong"})
    answer = owner.post(url, {"seen": seen, "password": PASSWORD})
    assert answer.status_code == 422
    assert b"Wait ten minutes" in answer.content
    draft.refresh_from_db()
    assert draft.state == DraftState.REVIEWED


def test_findings_that_changed_meanwhile_are_shown_anew(cast, job, owner):
    scene.reviewed(cast, job)
    url = reverse("reports:sign", args=[job.number])
    seen = owner.get(url).context["form"]["seen"].value()
    story.scan(cast, 13, 789, [story.seen(story.LEAN)], job=job)
    answer = owner.post(url, {"seen": seen, "password": PASSWORD})
    assert answer.status_code == 422
    assert b"Something was logged or changed since Tomas Reef reviewed it." in answer.content
    assert b"P0171" in answer.content
    assert answer.context["form"]["seen"].value() != seen


def test_two_versions_of_the_words_are_shown_side_by_side(cast, job, tech):
    draft = scene.drafted(cast, job)
    url = reverse("reports:job", args=[job.number])
    actions.word_report(by=cast.manager, draft=draft, seen_version=draft.version, changes={"summary": "Hers."})
    answer = tech.post(url, {**WORDS, "summary": "His.", "seen_version": draft.version - 1})
    assert answer.status_code == 409
    assert b"Hers." in answer.content
    assert b"His." in answer.content
    again = tech.post(url, {**WORDS, "summary": "His.", "seen_version": answer.context["form"]["seen_version"].value()})
    assert again.status_code == 302
    draft.refresh_from_db()
    assert draft.summary == "His."


def test_a_review_without_a_summary_is_refused_and_saves_nothing(cast, job, tech):
    draft = actions.draft_report(by=cast.tech, job=job)
    url = reverse("reports:job", args=[job.number])
    answer = tech.post(url, {**WORDS, "summary": " ", "watch": "Belt", "seen_version": draft.version, "do": "review"})
    assert answer.status_code == 422
    assert b"Say in a few sentences what was found" in answer.content
    assert b"Belt" in answer.content
    draft.refresh_from_db()
    assert draft.watch == ""


def test_a_signing_in_progress_asks_again_and_a_failed_one_offers_a_way_on(cast, job, owner, monkeypatch):
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    page = owner.get(reverse("reports:job", args=[job.number])).content
    assert b"Waiting to be drawn and signed" in page
    assert b"hx-get" in page
    monkeypatch.setattr(issuing, "draw_pdf", lambda *_, **__: 1 / 0)
    do_now(ask("issue_report", str(draft.pk)))
    page = owner.get(reverse("reports:progress", args=[job.number])).content
    assert b"Try again" in page
    assert b"hx-trigger" not in page
    owner.post(reverse("reports:retry", args=[job.number]), {"do": "back"})
    draft.refresh_from_db()
    assert draft.state == DraftState.DRAFTING
    assert owner.get(reverse("reports:progress", args=[job.number])).headers["HX-Refresh"] == "true"


def test_a_draft_says_so_on_every_page_and_carries_no_signature_field(cast, job, tech):
    scene.reviewed(cast, job)
    answer = tech.get(reverse("reports:preview_pdf", args=[job.number]))
    assert answer.content.startswith(b"%PDF-")
    assert b"/Sig" not in answer.content
    page = tech.get(reverse("reports:preview", args=[job.number])).content
    assert b"Draft, not signed" in page
    assert b"style=" not in page


def test_withdrawing_asks_for_a_reason_and_then_tells(cast, job, issue, owner):
    report = issue(job)
    url = reverse("reports:withdraw", args=[report.number])
    answer = owner.post(url, {"reason": ""})
    assert b"Say why the report is no longer valid." in answer.content
    for wrong in [{}, {"own_word": "wrong"}]:
        assert owner.post(url, {"reason": "Hours were misread.", **wrong}).status_code == 422
    assert not hasattr(report, "withdrawal")
    page = owner.post(url, {"reason": "Hours were misread.", "own_word": PASSWORD}, follow=True).content
    assert b"Hours were misread." in page
    log = owner.get(reverse("vessels:log", args=[cast.vessel.pk])).content
    assert b"was withdrawn" in log
    assert reverse("reports:issued", args=[report.number]).encode() in log


def test_pages_take_the_same_queries_however_many_codes(cast, job, tech, django_assert_max_num_queries):
    scene.drafted(cast, job)
    url = reverse("reports:preview", args=[job.number])
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    tech.get(url)
    with CaptureQueriesContext(connection) as few:
        tech.get(url)
    for n in range(30):
        story.scan(cast, 20 + n, 800 + n, [story.seen(story.Code(story.CodeSystem.SPN, f"{500 + n}-3"))], job=job)
    with django_assert_max_num_queries(len(few)):
        tech.get(url)


def test_a_revision_is_begun_only_with_the_own_password(cast, job, issue, owner):
    url = reverse("reports:revise", args=[issue(job).number])
    for wrong in [{}, {"own_word": "wrong"}]:
        assert owner.post(url, wrong).status_code == 422
    assert not ReportDraft.objects.exclude(state=DraftState.ISSUED).exists()
    assert b"A draft is open" in owner.post(url, {"own_word": PASSWORD}, follow=True).content
    assert ReportDraft.objects.exclude(state=DraftState.ISSUED).count() == 1
