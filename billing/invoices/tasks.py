"""Drawing and signing a paper after the answer. What draws is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Run, ask
from files.paper.later import paper_kind

INVOICE, CREDIT = "invoice", "credit"


def draw_paper(run: Run) -> None:
    """Draw, sign and keep the PDF of an invoice or a credit note. Doing it twice, or at once, keeps one."""
    from billing.invoices.filing import file_paper
    from billing.invoices.models import CreditNote, Invoice

    sort, _, key = run.subject.partition(":")
    paper = (Invoice if sort == INVOICE else CreditNote).objects.get(pk=int(key))
    file_paper(paper, finishing=run.finishing)


DRAW_PAPER = paper_kind("draw_paper", draw_paper)


def subject_of(sort: str, key: int) -> str:
    """What the work is asked for by."""
    return f"{sort}:{key}"


def ask_for(sort: str, key: int) -> None:
    """Have a paper drawn after the commit."""
    ask(DRAW_PAPER.name, subject_of(sort, key))
