"""A job's own pages: overview, moves, intake, log, tag."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import segno
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.safestring import SafeString

from commands.refusals import Conflict, Refused
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.log.entries import of_job
from vessels.log.pages import log_page
from vessels.models import Vessel
from vessels.queries import engine_choices, fitted_engines
from web.markup import filled, picture_of_a_library
from web.submission import show_refusal
from workorders.actions import OnJob, asks_why, change_intake, move_job
from workorders.forms import IntakeForm, MoveForm
from workorders.frames import job_frame, job_or_404
from workorders.happened import history_of
from workorders.labor.queries import job_labor
from workorders.labor.touching import clock_rights
from workorders.models import Job, JobLine
from workorders.queries import lines_of
from workorders.sections import OVERVIEW, shown_sections
from workorders.states import MOVES, JobState, may_move, move_words
from workorders.views.editing import SeenSubmission, version_of

ON_A_TAG = 4
"""Concerns that fit on an intake tag."""
ROOMY = 330
"""Letters up to which a tag is set in its large type."""


@permission_required(Permission.SEE_RECORDS)
def job(request: HttpRequest, number: int) -> HttpResponse:
    """A job's overview."""
    found = job_or_404(number, "opened_by")
    return _overview(request, found, MoveForm(initial=_seen(found)))


def _seen(found: Job) -> dict[str, Any]:
    return {"seen_version": found.version, "seen_state": found.state}


def _overview(
    request: HttpRequest, found: Job, form: MoveForm, *, status: int = 200, moved: Any = None
) -> HttpResponse:
    start, lines = JobState(found.state), lines_of(found)
    shop, person = request.shop, signed_in(request)  # type: ignore[attr-defined]
    labor = job_labor(found, shop=shop, lines=lines, reader=person, shows_rows=False)
    unfinished = [line for line in lines if not line.correction]
    known = OnJob(unfinished, {clock.person.name for clock in (*labor.running, *labor.asked)})
    context = {
        "frame": job_frame(request.user, found, "workorders:job"),
        "job": found,
        "form": form,
        "moves": [
            {"to": end.value, "label": move_words(start, end), "asks_why": bool(asks_why(found, start, end, known))}
            for end in MOVES[start]
        ],
        "moved_by_another": moved,
        "lines": lines,
        "labor": labor,
        **clock_rights(signed_in(request), found),
        "unfinished": len(unfinished) if found.is_open else 0,
        "engines": fitted_engines(found.vessel),
        "history": history_of(person, found, shop.currency),
        "sections": shown_sections(OVERVIEW, request, found),
        "may_move": signed_in(request).may(Permission.MOVE_JOBS),
        "may_change": found.is_open and signed_in(request).may(Permission.OPEN_JOBS),
    }
    return render(request, "workorders/job.html", context, status=status)


@permission_required(Permission.MOVE_JOBS)
def move(request: HttpRequest, number: int) -> HttpResponse:
    """Move a job by one of the buttons of its overview; a move that has to be explained asks why before it is made."""
    found = job_or_404(number)
    if request.method != "POST":
        return _why_page(request, found, _wanted(request.GET.get("to", "")))
    form = MoveForm(request.POST)
    if not form.is_valid():
        return _overview(request, found, form, status=422)
    data = form.cleaned_data
    try:
        move_job(by=signed_in(request), job=found, **data)
    except Conflict as conflict:
        now = job_or_404(number)
        again = MoveForm(initial={**_seen(now), "reason": data["reason"]})
        return _overview(request, now, again, status=409, moved=conflict)
    except Refused as refusal:
        found = job_or_404(number)
        show_refusal(form, refusal)
        end = _wanted(data["to"])
        asked = end is not None and may_move(JobState(found.state), end) and asks_why(found, JobState(found.state), end)
        if end is not None and ("reason" in refusal.fields or asked):
            return _why_page(request, found, end, form, status=422)
        return _overview(request, found, form, status=422)
    messages.success(request, f"Job {found.number} is “{found.get_state_display()}” now.")
    return redirect("workorders:job", number)


def _wanted(to: str) -> JobState | None:
    return JobState(to) if to in set(JobState) else None


def _why_page(
    request: HttpRequest, found: Job, end: JobState | None, form: MoveForm | None = None, *, status: int = 200
) -> HttpResponse:
    """One move with the question that it asks; one that asks nothing, or cannot be made, is made or not on the job."""
    start = JobState(found.state)
    question = asks_why(found, start, end) if end is not None and may_move(start, end) else ""
    if end is None or not question:
        return redirect("workorders:job", found.number)
    if form is None:
        form = MoveForm(initial={**_seen(found), "to": end.value})
    form.ask_why(question)
    context = {"job": found, "form": form, "to": end.value, "words": move_words(start, end)}
    return render(request, "workorders/move.html", context, status=status)


@permission_required(Permission.OPEN_JOBS)
def intake(request: HttpRequest, number: int) -> HttpResponse:
    """Change what was written down when the boat came in."""
    found = job_or_404(number)
    form = IntakeForm(request.POST if request.method == "POST" else None, record=found)
    sending = SeenSubmission(request, form)

    def act(changes: dict[str, Any], seen: dict[str, Any]) -> None:
        change_intake(
            by=signed_in(request),
            job=found,
            seen_version=version_of(form),
            changes=changes,
            seen=seen,
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "The intake is saved. What changed is in the log.")
        return redirect("workorders:job", number)
    return sending.page("workorders/intake.html", job=found)


@permission_required(Permission.SEE_RECORDS)
def log(request: HttpRequest, number: int) -> HttpResponse:
    """Everything that was logged on a job."""
    found = job_or_404(number)
    context = {
        "frame": job_frame(request.user, found, "workorders:log"),
        "job": found,
        "log": log_page(request, of_job(found.pk), engines=engine_choices(found.vessel)),
        "may_note": signed_in(request).may(Permission.WRITE_NOTES),
    }
    return render(request, "workorders/log.html", context)


@permission_required(Permission.SEE_RECORDS)
def tag(request: HttpRequest, number: int) -> HttpResponse:
    """The intake tag: half a letter page or A5, with a QR code that leads to the job."""
    found = job_or_404(number)
    path = reverse("workorders:job", args=[found.number])
    address = f"{settings.PUBLIC_URL}{path}" if settings.PUBLIC_URL_IS_GIVEN else request.build_absolute_uri(path)
    lines = list(found.lines.select_related("engine").order_by("position"))
    context = {
        "job": found,
        "lines": lines[:ON_A_TAG],
        "is_crowded": _letters(found, lines[:ON_A_TAG]) > ROOMY,
        "left_out": max(0, len(lines) - ON_A_TAG),
        "looks": _looks(found.vessel),
        "phones": found.customer.phones.all()[:2],
        "address": address,
        "code": _code(address),
    }
    return render(request, "workorders/tag.html", context)


def _looks(vessel: Vessel) -> list[str]:
    """What the boat is known by on the dock: year, maker and model, and its color."""
    make = " ".join(str(word) for word in (vessel.model_year, vessel.maker, vessel.model) if word)
    return [word for word in (make, vessel.color) if word and word != str(vessel)]


def _letters(found: Job, lines: Sequence[JobLine]) -> int:
    """How much there is to read on the tag, beside what is always there."""
    words = [str(found.vessel), found.customer.name, found.keys, found.spot, found.contents, found.condition]
    return sum(len(text) for text in [*words, *(line.concern for line in lines)])


def _code(address: str) -> SafeString:
    """A QR code as SVG without any style, sized by its surroundings."""
    drawn = segno.make(address, error="m", micro=False).svg_inline(
        border=2, omitsize=True, svgclass="tag-code", lineclass=None, dark="#000", light="#fff"
    )
    return filled('<div role="img" aria-label="QR code of {}">{}</div>', address, picture_of_a_library(drawn))
