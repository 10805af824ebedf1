"""Reports that wait to be drawn and signed: the row is what is to be done, and a message only says when.

``heard_at`` is when somebody last took the draft to draw it. One that nobody has taken, or whose worker has gone
silent, is sent again. Drawing twice makes one report (``findings.reports.issuing``).
"""

from __future__ import annotations

from datetime import timedelta

from django.db.models import Q
from django.utils import timezone

from findings.reports.models import DraftState, ReportDraft
from findings.reports.tasks import issue_report
from staff.sending import send

NOT_TAKEN_FOR = timedelta(seconds=30)
SILENT_FOR = timedelta(seconds=60)


def send_every_silent_one() -> list[int]:
    """Send every report again that waits and has no sign of life; the drafts' keys."""
    now = timezone.now()
    silent = Q(heard_at=None, signing_since__lt=now - NOT_TAKEN_FOR) | Q(heard_at__lt=now - SILENT_FOR)
    waiting = ReportDraft.objects.filter(silent, state=DraftState.SIGNING, problem="").order_by("signing_since")
    keys = list(waiting.values_list("pk", flat=True))
    for key in keys:
        send(issue_report, key)
    return keys
