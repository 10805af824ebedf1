"""Drawing and signing a paper after the answer. What draws is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Kind, Run, ask, open_task
from commands.models import BackgroundTask, BackgroundTaskState
from files import room

WENT_WRONG = (
    "The paper could not be drawn and signed. Nothing is lost: try again, and tell the person who runs Garboard if it "
    "fails again."
)
BROKE_OFF = (
    "Drawing and signing stopped again and again, perhaps because memory ran out. Nothing is lost: try again, and tell "
    "the person who runs Garboard if it fails again."
)
INVOICE, CREDIT = "invoice", "credit"


def draw_paper(run: Run) -> None:
    """Draw, sign and keep the PDF of an invoice or a credit note. Doing it twice, or at once, keeps one."""
    from billing.invoices.filing import file_paper
    from billing.invoices.models import CreditNote, Invoice

    sort, _, key = run.subject.partition(":")
    paper = (Invoice if sort == INVOICE else CreditNote).objects.get(pk=int(key))
    file_paper(paper, finishing=run.finishing)


DRAW_PAPER = Kind(
    "draw_paper", work=draw_paper, went_wrong=room.or_full_disk(WENT_WRONG), broke_off=BROKE_OFF, longest=300
)


def ask_for(sort: str, key: int) -> None:
    """Have a paper drawn after the commit."""
    ask(DRAW_PAPER.name, f"{sort}:{key}")


def drawing_of(sort: str, key: int) -> tuple[BackgroundTask | None, str]:
    """What was asked for and is not done yet; or why the last try was given up."""
    subject = f"{sort}:{key}"
    task = open_task(DRAW_PAPER.name, subject)
    if task is not None:
        return task, ""
    last = BackgroundTask.objects.filter(kind=DRAW_PAPER.name, subject=subject).order_by("-pk").first()
    return None, last.problem if last is not None and last.state == BackgroundTaskState.FAILED else ""
