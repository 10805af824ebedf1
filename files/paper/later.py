"""Papers that a worker draws after the answer: asked for, waited for on a page, and handed out as they are kept."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from commands.background import Kind, Run, ask, open_task
from commands.models import BackgroundTask, BackgroundTaskState
from commands.refusals import Refused
from files import room

Finishing = Callable[[], AbstractContextManager[None]]
"""What gives the transaction that stores a finished paper: ``Run.finishing``."""
WENT_WRONG = (
    "The paper could not be drawn and signed. Nothing is lost: try again, and tell the person who runs Garboard if it "
    "fails again."
)
BROKE_OFF = (
    "Drawing and signing stopped again and again, perhaps because memory ran out. Nothing is lost: try again, and tell "
    "the person who runs Garboard if it fails again."
)


def paper_kind(name: str, work: Callable[[Run], None]) -> Kind:
    """The work of drawing one sort of paper. Doing it twice, or at once, has to keep one."""
    return Kind(name, work=work, went_wrong=room.or_full_disk(WENT_WRONG), broke_off=BROKE_OFF, longest=300)


def drawing_of(kind: str, subject: str) -> tuple[BackgroundTask | None, str]:
    """What was asked for and is not done yet; or why the last try was given up."""
    task = open_task(kind, subject)
    if task is not None:
        return task, ""
    last = BackgroundTask.objects.filter(kind=kind, subject=subject).order_by("-pk").first()
    return None, last.problem if last is not None and last.state == BackgroundTaskState.FAILED else ""


@dataclass(frozen=True)
class Paper:
    """A paper as its page has it: ``kind`` and ``subject`` of the work that draws it, and what it is called.

    ``called`` begins a title: "Invoice INV-1001". ``name`` is the file's, without an ending. ``back`` is the page that
    leads here. ``lacking`` says what has to be there before it can be drawn; empty where nothing is lacking.
    """

    kind: str
    subject: str
    called: str
    name: str
    back: str
    lacking: str = ""


def handed_out(request: HttpRequest, paper: Paper, kept: Callable[[], bytes | None]) -> HttpResponse:
    """The PDF; while there is none, a page that asks again; or back, with the reason why there is none.

    ``kept`` reads it, and answers None where it was not drawn yet. A POST asks for it; a GET writes nothing.
    """
    if request.method == "POST":
        ask(paper.kind, paper.subject)
        return redirect(request.path)
    try:
        data = kept()
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return redirect(paper.back)
    if data is None:
        return _not_yet(request, paper)
    if request.htmx:  # type: ignore[attr-defined]
        answer = HttpResponse(status=204)
        answer["HX-Redirect"] = request.path
        return answer
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{paper.name}.pdf"'
    return answer


def _not_yet(request: HttpRequest, paper: Paper) -> HttpResponse:
    task, problem = drawing_of(paper.kind, paper.subject)
    context = {"paper": paper, "task": task, "problem": problem or paper.lacking, "here": request.path}
    is_part = request.htmx  # type: ignore[attr-defined]
    return render(request, f"files/paper_later.html{'#drawing' if is_part else ''}", context)
