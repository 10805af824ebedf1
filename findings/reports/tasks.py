"""Work that a report leaves to a worker."""

from __future__ import annotations

from commands.background import Kind, Run
from files import room
from findings.reports.issuing import WENT_WRONG, issue, note_problem

BROKE_OFF = (
    "Drawing and signing stopped again and again, perhaps because memory ran out. Nothing is lost: try again, and tell "
    "the person who runs Garboard if it fails again."
)


def issue_report(run: Run) -> None:
    """Draw, sign and issue a report. Doing it twice, or at once, makes one report."""
    issue(int(run.subject), finishing=run.finishing)


def _went_wrong(problem: Exception) -> str:
    return room.SENTENCE if room.is_full_disk(problem) else WENT_WRONG


ISSUE_REPORT = Kind(
    "issue_report",
    work=issue_report,
    went_wrong=_went_wrong,
    broke_off=BROKE_OFF,
    fail=lambda subject, sentence: note_problem(int(subject), sentence),
    longest=600,
)
