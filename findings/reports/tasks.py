"""Work that a report leaves to a worker. What draws and signs is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Kind, Run
from files import room
from findings.reports.models import DraftState, ReportDraft

WENT_WRONG = (
    "The report could not be drawn and signed. Nothing is lost: try again, and tell the person who runs Garboard if "
    "it fails again."
)
BROKE_OFF = (
    "Drawing and signing stopped again and again, perhaps because memory ran out. Nothing is lost: try again, and tell "
    "the person who runs Garboard if it fails again."
)


def issue_report(run: Run) -> None:
    """Draw, sign and issue a report. Doing it twice, or at once, makes one report."""
    from findings.reports.issuing import issue

    issue(int(run.subject), finishing=run.finishing)


def note_problem(subject: str, sentence: str) -> None:
    """Say to whoever waits for a report why there is none."""
    ReportDraft.objects.filter(pk=int(subject), state=DraftState.SIGNING).update(problem=sentence)


ISSUE_REPORT = Kind(
    "issue_report",
    work=issue_report,
    went_wrong=room.or_full_disk(WENT_WRONG),
    broke_off=BROKE_OFF,
    fail=note_problem,
    longest=600,
)
