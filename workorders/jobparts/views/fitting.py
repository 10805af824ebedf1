"""Logging a fitted part, correcting such an entry, and what was fitted into a boat."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from engineering.canonical import plain_decimal
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.log.afterwards import NOTHING_AFTERWARDS, afterwards_of_entry
from vessels.models import Engine, Vessel
from vessels.queries import engine_choices
from vessels.shown_hours import hours_text
from web.submission import accepted
from web.tables import table
from web.typed import whole_number
from workorders.frames import job_or_404
from workorders.jobparts.actions import fit_part
from workorders.jobparts.forms.fitting import THE_BOAT, FitForm
from workorders.jobparts.models import PartFitted
from workorders.jobparts.queries.aboard import PartAboard, newest_aboard, parts_aboard
from workorders.jobparts.views import choosing
from workorders.models import Job, JobLine
from workorders.queries.about import engine_of

MINUTE = "%Y-%m-%dT%H:%M"


def at_parts(job: Job, place: str = "parts") -> str:
    """The address of a job's parts on its Lines tab."""
    return f"{reverse('workorders:lines', args=[job.number])}#{place}"


@permission_required(Permission.FIT_PARTS)
def fit(request: HttpRequest, number: int) -> HttpResponse:
    """Log a part that was fitted on a job."""
    job = job_or_404(number)
    text = choosing.sought(request)
    if choosing.is_only_looking(request):
        return _found(request, text)
    part, engines = choosing.chosen(request), list(job.vessel.engines.filter(removed_on=None))
    if choosing.is_sent(request):
        form = FitForm(request.POST, job=job, part=part, engines=engines)
        made = accepted(form, lambda: fit_part(by=signed_in(request), job=job, **form.answers()))
        if made is not None:
            messages.success(request, f"“{made}” is in the log.")
            return redirect(at_parts(job, f"fitted-{made.pk}"))
    else:
        shown = _first_answers(request, job, engines) | choosing.as_typed(request, part)
        form = FitForm(job=job, part=part, engines=engines, initial=shown)
    return _page(request, job, form, text)


def _first_answers(request: HttpRequest, job: Job, engines: list[Engine]) -> dict[str, Any]:
    """The line that the link names, with its engine; else only what leaves no choice."""
    line = _asked_line(request, job)
    engine = line.engine if line is not None and line.engine in engines else engine_of(job, engines)
    if engine is None and not engines:
        return {"engine": THE_BOAT, **({"line": line.pk} if line else {})}
    return {**({"engine": engine.pk} if engine else {}), **({"line": line.pk} if line else {})}


def _asked_line(request: HttpRequest, job: Job) -> JobLine | None:
    position = whole_number(request.GET.get("line", ""), digits=4)
    return None if position is None else job.lines.select_related("engine").filter(position=position).first()


def _found(request: HttpRequest, text: str) -> HttpResponse:
    return render(request, "workorders/jobparts/found.html", {"parts": choosing.found(text), "text": text})


def _page(request: HttpRequest, job: Job, form: FitForm, text: str, *, wrong: PartFitted | None = None) -> HttpResponse:
    later = NOTHING_AFTERWARDS if wrong is None else afterwards_of_entry(wrong.entry)
    context = {
        "job": job,
        "form": form,
        "part": form.chosen,
        "text": text,
        "parts": choosing.found(text),
        "wrong": wrong,
        "counts": not later.words,
        "later": later,
        "back": at_parts(job),
        "here": request.path,
    }
    return render(request, "workorders/jobparts/fit.html", context, status=422 if form.errors else 200)


@permission_required(Permission.AMEND_FINDINGS)
def correct(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct an entry of a fitted part: the new one amends the old, both stay visible, and only the new one counts."""
    wrong = get_object_or_404(PartFitted.objects.select_related("entry__engine", "entry__job", "part", "line"), pk=pk)
    entry = wrong.entry
    if entry.job is None:  # the log refuses it, and the column allows it
        return redirect("vessels:entry", pk)
    job = job_or_404(entry.job.number)
    text = choosing.sought(request)
    if choosing.is_only_looking(request):
        return _found(request, text)
    engines = [one for one in job.vessel.engines.all() if one.removed_on is None or one.pk == entry.engine_id]
    part = choosing.chosen(request) if request.method == "POST" else wrong.part
    if choosing.is_sent(request):
        form = FitForm(request.POST, job=job, part=part, engines=engines, wrong=entry)
        made = accepted(form, lambda: fit_part(by=signed_in(request), job=job, amends=entry, **form.answers()))
        if made is not None:
            messages.success(request, f"“{made}” is what counts now. Both stay visible.")
            return redirect(at_parts(job, f"fitted-{made.pk}"))
    else:
        shown = _as_it_was(wrong) | (choosing.as_typed(request, part) if request.method == "POST" else {})
        form = FitForm(job=job, part=part, engines=engines, wrong=entry, initial=shown)
    return _page(request, job, form, text, wrong=wrong)


def _as_it_was(wrong: PartFitted) -> dict[str, Any]:
    entry = wrong.entry
    names = ("number", "description", "maker", "serial", "condition", "old_serial", "old_fate")
    return {
        **{name: getattr(wrong, name) for name in names},
        "quantity": plain_decimal(wrong.quantity),
        "line": wrong.line_id or "",
        "engine": entry.engine_id or THE_BOAT,
        "hours": hours_text(entry.engine, entry.engine_hours, entry.happened_at),
        "happened_at": timezone.localtime(entry.happened_at).strftime(MINUTE),
    }


@permission_required(Permission.SEE_RECORDS)
def vessel_parts(request: HttpRequest, pk: int) -> HttpResponse:
    """What was fitted into a boat, or into one of its engines, with the hours."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    engine = whole_number(request.GET.get("engine", ""))
    found = newest_aboard(vessel, engine=engine)
    context = {
        "frame": vessel_frame(request.user, vessel, "workorders:vessel_parts"),
        "vessel": vessel,
        "found": found,
        "in_all": found[0].in_all if found else 0,
        "engines": engine_choices(vessel),
        "engine": "" if engine is None else str(engine),
        "may_correct": signed_in(request).may(Permission.AMEND_FINDINGS),
    }
    return render(request, "workorders/jobparts/vessel.html", context)


HEADINGS = (
    "fitted at", "engine", "engine serial", "engine hours", "hours since", "part number", "description", "maker",
    "quantity", "condition", "serial", "old part", "removed on", "job", "logged by", "remark", "corrected",
    "notes that correct it",
)  # fmt: skip


@permission_required(Permission.SEE_RECORDS)
def vessel_parts_csv(request: HttpRequest, pk: int) -> HttpResponse:
    """The same as a table to keep, all of it."""
    vessel = get_object_or_404(Vessel, pk=pk)
    engine = whole_number(request.GET.get("engine", ""))
    rows = [_cells(one) for one in parts_aboard(vessel, engine=engine)]
    return table(f"parts-fitted-{vessel.pk}.csv", HEADINGS, rows)


def _cells(one: PartAboard) -> list[str]:
    return [
        timezone.localtime(one.happened_at).isoformat(),
        one.engine or "the boat itself",
        one.engine_serial,
        "" if one.engine_hours is None else plain_decimal(one.engine_hours),
        "" if one.hours_since is None else plain_decimal(one.hours_since),
        one.number,
        one.description,
        one.maker,
        one.quantity_words,
        one.condition,
        one.serial,
        one.old_part,
        "" if one.out_at is None else timezone.localtime(one.out_at).date().isoformat(),
        str(one.job_number or ""),
        one.author,
        one.text,
        "yes" if one.is_correction else "",
        "; ".join(f"{note.words}: {note.text}" for note in one.notes),
    ]
