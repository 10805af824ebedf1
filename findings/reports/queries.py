"""What others ask about reports."""

from __future__ import annotations

from django.conf import settings
from django.db.models import QuerySet
from django.urls import reverse

from commands.background import open_task
from commands.models import BackgroundTask
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from findings.reports.tasks import ISSUE_REPORT
from workorders.models import Job


def issued_reports(job: Job) -> QuerySet[IssuedReport]:
    """The reports of a job with what became of them, newest first."""
    return (
        IssuedReport.objects.filter(job=job)
        .select_related("signer", "supersedes", "superseded_by", "withdrawal__entry__author")
        .order_by("-sequence")
    )


def standing_report(job: Job) -> IssuedReport | None:
    """The report of a job that counts: neither superseded nor withdrawn."""
    return issued_reports(job).filter(superseded_by=None, withdrawal=None).first()


def open_draft(job: Job) -> ReportDraft | None:
    """The draft of a job that people work on."""
    return (
        ReportDraft.objects.filter(job=job)
        .exclude(state=DraftState.ISSUED)
        .select_related(
            "job",
            "supersedes__signer",
            "supersedes__withdrawal__entry",
            "reviewed_by",
            "signer",
            "changed_by",
            "started_by",
        )
        .first()
    )


def signing_task(draft: ReportDraft | None) -> BackgroundTask | None:
    """What a worker is still to do for a draft that is being signed."""
    if draft is None or draft.state != DraftState.SIGNING or draft.problem:
        return None
    return open_task(ISSUE_REPORT.name, str(draft.pk))


def verify_address(number: str, code: str) -> str:
    """The public address at which a report is checked."""
    return f"{settings.PUBLIC_URL}{reverse('reports:verify_code', args=[number, code])}"
