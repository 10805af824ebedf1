"""Two people, two connections, one report: real transactions in real threads."""

from __future__ import annotations

import threading

import pytest
from django.db import connection

from commands.background import asking
from findings.reports import actions, issuing
from findings.reports.build import build_findings, findings_digest
from findings.reports.models import IssuedReport, ReportDraft
from tests.cast import PASSWORD, make_cast
from tests.findings.reports import scene

pytestmark = pytest.mark.django_db(transaction=True)


def in_threads(*steps) -> list[object]:
    """Start all steps at one moment; answers or errors in order."""
    gate = threading.Barrier(len(steps))
    answers: list[object] = [None] * len(steps)

    def run(index: int) -> None:
        try:
            gate.wait(timeout=60)
            answers[index] = steps[index]()
        except Exception as problem:
            answers[index] = problem
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(index,)) for index in range(len(steps))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=90)
    return answers


def test_two_signers_at_once_make_one_report():
    cast = make_cast()
    job = scene.job_with_findings(cast)
    draft = scene.reviewed(cast, job)
    seen = findings_digest(build_findings(draft))
    answers = in_threads(
        *[
            lambda person=person: actions.sign_report(
                by=person, draft=ReportDraft.objects.get(pk=draft.pk), seen=seen, password=PASSWORD
            )
            for person in (cast.owner, cast.manager)
        ]
    )
    assert [type(answer) for answer in answers] == [ReportDraft, ReportDraft]
    assert IssuedReport.objects.filter(job=job).count() == 1


def test_three_workers_with_one_draft_make_one_report(monkeypatch):
    monkeypatch.setattr(asking, "_deliver", lambda task: None)
    cast = make_cast()
    job = scene.job_with_findings(cast)
    draft = scene.reviewed(cast, job)
    scene.sign(cast.owner, draft)
    assert not IssuedReport.objects.exists()
    answers = in_threads(*[lambda: issuing.issue(draft.pk)] * 3)
    assert len({answer.pk for answer in answers}) == 1
    assert IssuedReport.objects.filter(job=job).count() == 1


def test_two_who_begin_a_draft_get_the_same_one():
    cast = make_cast()
    job = scene.job_with_findings(cast)
    answers = in_threads(
        lambda: actions.draft_report(by=cast.tech, job=job), lambda: actions.draft_report(by=cast.manager, job=job)
    )
    assert len({answer.pk for answer in answers}) == 1
