"""What others ask about reports."""

from __future__ import annotations

from datetime import timedelta

from django.conf import settings
from django.db.models import QuerySet
from django.urls import reverse
from django.utils import timezone

from findings.reports.models import DraftState, IssuedReport, ReportDraft
from workorders.models import Job

STUCK_AFTER = timedelta(minutes=2)


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


def is_stuck(draft: ReportDraft) -> bool:
    """Whether a signing takes longer than it should, so that it may be tried again."""
    since = draft.signing_since
    return draft.state == DraftState.SIGNING and since is not None and timezone.now() - since > STUCK_AFTER


def verify_address(number: str, code: str) -> str:
    """The public address at which a report is checked."""
    return f"{settings.PUBLIC_URL}{reverse('reports:verify_code', args=[number, code])}"
