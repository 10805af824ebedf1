"""Work that a report leaves to a worker, or does in the web process where there is none."""

from __future__ import annotations

from celery import shared_task

from findings.reports.issuing import issue


@shared_task
def issue_report(draft_id: int) -> None:
    """Draw, sign and issue a report. Doing it twice, or at once, makes one report."""
    issue(draft_id)
