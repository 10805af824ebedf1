"""A CAN log's own page: how far it is read, then what was understood, then logging it."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from commands.envelope import together
from commands.questions import all_at_once, ask_once
from commands.refusals import Refused
from engineering.canlog import LogProblem, from_json
from findings.canlogs.choosing import (
    counted_kinds,
    doubt_about_log,
    left_out_words,
    refuse_ticks_left_out,
    units_chosen,
    values_chosen,
)
from findings.canlogs.forms import LogItForm
from findings.canlogs.importing import Chosen, Logged, log_findings
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.moments import long_before_words
from findings.canlogs.preview import understand
from findings.canlogs.queries import reading_task
from findings.canlogs.reading import may_be_read_next_time
from findings.canlogs.views.bringing import log_or_404
from findings.canlogs.views.preview_page import PreviewPage
from findings.instruments.forms import instrument_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Engine
from vessels.shown_hours import true_hours
from web.submission import show_refusal
from workorders.frames import job_frame


@permission_required(Permission.LOG_FINDINGS)
def can_log(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Progress while the log is read; then the preview, and logging it."""
    log = log_or_404(number, pk)
    if log.state != CanLogState.READ or log.summary is None:
        return _progress_page(request, log)
    try:
        summary = from_json(log.summary)
    except LogProblem as problem:
        return _progress_page(request, log, problem=problem.sentence)
    page = PreviewPage(request, log, understand(summary, request.shop.units))  # type: ignore[attr-defined]
    if request.method == "POST":
        return _log_it(page)
    return page.answer(page.form())


@permission_required(Permission.LOG_FINDINGS)
def can_log_progress(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """How far the reading is, for a page that asks again and again."""
    log = log_or_404(number, pk)
    if not log.is_under_way:
        answer = HttpResponse(status=204)
        answer["HX-Refresh"] = "true"
        return answer
    context = {"log": log, "job": log.job, "task": reading_task(log)}
    return render(request, "findings/canlogs/progress.html", context)


def _progress_page(request: HttpRequest, log: CanLog, *, problem: str = "") -> HttpResponse:
    context = {
        "frame": job_frame(request.user, log.job, "findings:job"),
        "job": log.job,
        "log": log,
        "problem": problem or log.problem,
        "is_under_way": log.is_under_way,
        "task": reading_task(log),
        "is_no_log": not problem and log.state == CanLogState.FAILED and not may_be_read_next_time(log.problem),
    }
    return render(request, "findings/canlogs/reading.html", context, status=422 if request.method == "POST" else 200)


def _log_it(page: PreviewPage) -> HttpResponse:
    form = page.form()
    if form.is_valid():
        try:
            logged = _log_chosen(page, form)
        except Refused as refusal:
            _show(form, refusal, page)
        else:
            messages.success(page.request, _logged_words(logged, page))
            return redirect("findings:job", number=page.log.job.number)
    return page.answer(form, status=422)


def _log_chosen(page: PreviewPage, form: LogItForm) -> Logged:
    answers, places = form.cleaned_data, page.places(form)
    at = form.moment_chosen
    conditions = {one.pk: " ".join(answers[f"condition_{one.pk}"].split()) for one in page.engines}
    rows = [*page.codes, *page.statuses]
    refuse_ticks_left_out(page.understood.senders, rows, page.values, places)
    units = units_chosen(page.understood, rows, places, extent=answers["extent"])
    doubt = doubt_about_log(page.understood, rows, units)
    chosen = Chosen(
        units=units,
        values=values_chosen(page.values, places, conditions),
        which=answers["which"],
        phase=answers["phase"],
        happened_at=at,
        hours={one.pk: _hours_of(one, answers[f"hours_{one.pk}"], at) for one in page.engines},
        **instrument_of(answers),
        text=answers["text"],
        mapping={sender.key: places[sender].value for sender in page.senders},
    )

    def log() -> Logged:
        return log_findings(
            by=signed_in(page.request),
            log=page.log,
            understood=page.understood,
            chosen=chosen,
            entry_id=answers["entry_id"] or uuid.uuid4(),
        )

    with together(), all_at_once() as questions:
        ask_once(f"extent {page.log.sha256}: {doubt}", doubt, field="extent", tick="the read-out was complete")
        early = long_before_words(at, page.log.job.opened_at, timezone.get_current_timezone())
        ask_once(f"moment {page.log.sha256}: {early}", early, field="happened_at", tick="the log was recorded then")
        logged = questions.made(log)
    return logged[0]


def _hours_of(engine: Engine, shown: Decimal | None, at: datetime) -> Decimal | None:
    try:
        return true_hours(engine, shown, at)
    except Refused as refusal:
        raise Refused(refusal.sentence, fields={f"hours_{engine.pk}": refusal.fields["hours"]}) from refusal


def _show(form: LogItForm, refusal: Refused, page: PreviewPage) -> None:
    """A refusal beside its field; one about a row of a table on top, in words that name the row."""
    if {row.heard.key for row in page.values} & set(refusal.fields):
        form.add_error(None, refusal.sentence)
    else:
        show_refusal(form, refusal)


def _logged_words(logged: Logged, page: PreviewPage) -> str:
    codes = sum(scan.sightings.count() for scan in logged.scans)
    said = ", ".join(counted_kinds({"scan": len(logged.scans), "code": codes, "reading": len(logged.readings)}))
    left_out = left_out_words(page.understood, [*page.codes, *page.statuses], page.values)
    return f"Logged from “{page.log.name}”: {said}. {left_out}".strip()
