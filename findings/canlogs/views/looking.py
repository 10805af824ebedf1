"""A CAN log's own page: how far it is read, then what was understood, then logging it."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import cached_property

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone

from commands.envelope import together
from commands.questions import all_at_once, ask_once
from commands.refusals import Refused
from engineering.canlog import LogProblem, from_json
from engineering.codes import CodeStatus
from findings.canlogs.choosing import (
    CodeRow,
    ValueRow,
    code_rows,
    counted_kinds,
    doubt_about_log,
    left_out_words,
    refuse_ticks_left_out,
    units_chosen,
    value_rows,
    values_chosen,
)
from findings.canlogs.forms import HoursAsked, LogItForm
from findings.canlogs.importing import Chosen, Logged, log_findings
from findings.canlogs.models import CanLog, CanLogState
from findings.canlogs.moments import Moment, moment_of
from findings.canlogs.preview import MOST_ROWS, CodeHeard, Understood, understand
from findings.canlogs.queries import LoggedFrom, logged_from, other_job_words, reading_task, remembered_mapping
from findings.canlogs.reading import may_be_read_next_time
from findings.canlogs.senders import MOST_SENDERS, Sender, Target, targets_of, usual_targets
from findings.canlogs.unread import hides_codes, was_not_counted
from findings.canlogs.views.bringing import log_or_404
from findings.canlogs.wording import lasts_words, oddities_of
from findings.faults.phases import common_phase, usual_phase
from findings.faults.queries import unit_choices
from findings.instruments.forms import instrument_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import ControlUnit, Engine
from vessels.shown_hours import doubt_about, true_hours
from web.submission import show_refusal
from workorders.frames import job_frame
from workorders.models import Job


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
    looking = Looking(request, log, understand(summary, request.shop.units))  # type: ignore[attr-defined]
    if request.method == "POST":
        return _log_it(looking)
    return looking.page(looking.form())


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


@dataclass
class Looking:
    """One visit to the preview of a log."""

    request: HttpRequest
    log: CanLog
    understood: Understood

    @property
    def data(self) -> QueryDict | None:
        """What was sent."""
        return self.request.POST if self.request.method == "POST" else None

    @cached_property
    def units(self) -> Sequence[ControlUnit]:
        """The boat's units."""
        return unit_choices(self.log.job.vessel)

    @cached_property
    def engines(self) -> Sequence[Engine]:
        """The boat's engines."""
        return list(self.log.job.vessel.engines.filter(removed_on=None).order_by("pk"))

    @cached_property
    def senders(self) -> Sequence[Sender]:
        """Those that are asked about."""
        return self.understood.senders[:MOST_SENDERS]

    @cached_property
    def targets(self) -> list[Target]:
        """Where senders can belong."""
        return targets_of(self.units, self.engines)

    @cached_property
    def usual(self) -> dict[Sender, Target]:
        """Where they usually do."""
        asked = usual_targets(self.senders, self.targets, remembered_mapping(self.log.job.vessel))
        return {sender: asked.get(sender, self.targets[-1]) for sender in self.understood.senders}

    @cached_property
    def logged(self) -> LoggedFrom:
        """What is logged of it already."""
        return logged_from(self.log)

    @cached_property
    def on_other_jobs(self) -> list[tuple[Job | None, LoggedFrom]]:
        """What is logged of it on other jobs of the boat."""
        return [(job, logged) for job, logged in self.logged.by_job() if job != self.log.job]

    @cached_property
    def not_ticked(self) -> str:
        """Why nothing is ticked beforehand."""
        for _, logged in self.on_other_jobs:
            return f"This file is logged{other_job_words(logged.first.entry, self.log)}: select only what is missing."
        return ""

    @cached_property
    def moment(self) -> Moment:
        """Date and time recorded."""
        now, zone = timezone.now(), timezone.get_current_timezone()
        return moment_of(self.understood.summary, now=now, opened=self.log.job.opened_at, zone=zone)

    @cached_property
    def codes(self) -> list[CodeRow]:
        """The rows of codes."""
        return self._code_rows(self.understood.codes[:MOST_ROWS])

    @cached_property
    def statuses(self) -> list[CodeRow]:
        """The rows of status bits."""
        return self._code_rows(self.understood.statuses[:MOST_ROWS])

    @cached_property
    def values(self) -> list[ValueRow]:
        """The rows of values."""
        values, why = self.understood.values[:MOST_ROWS], self.not_ticked
        return value_rows(values, self.data, usual=self.usual, logged=self.logged, on_other_job=why)

    def _code_rows(self, codes: Sequence[CodeHeard]) -> list[CodeRow]:
        why = self.not_ticked
        return code_rows(codes, self.data, usual=self.usual, logged=self.logged, on_other_job=why)

    def form(self) -> LogItForm:
        """The form, as it was sent or as it usually is."""
        job = self.log.job
        counted = {
            target.engine.pk: hours
            for sender, hours in self.understood.hours.items()
            if (target := self.usual[sender]).engine
        }
        wanted, at = self.request.GET.get("phase", ""), self.moment.at or timezone.now()
        phase = common_phase(
            usual_phase(job, engine=target.engine, unit=target.unit, wanted=wanted, at=at)
            for target in set(self.usual.values())
            if target.unit or target.engine
        )
        return LogItForm(
            self.data,
            initial={"phase": phase},
            moment=self.moment,
            senders=self.senders,
            targets=self.targets,
            usual=self.usual,
            engines=[
                HoursAsked(one, counted.get(one.pk), doubt_about(one, counted.get(one.pk), at)) for one in self.engines
            ],
        )

    def places(self, form: LogItForm) -> dict[Sender, Target]:
        """Where each sender belongs by the form."""
        by_value = {target.value: target for target in self.targets}
        places = dict.fromkeys(self.understood.senders, self.targets[-1])
        return places | {
            sender: by_value[form.cleaned_data[f"to_{index}"]] for index, sender in enumerate(self.senders)
        }

    def page(self, form: LogItForm, *, status: int = 200) -> HttpResponse:
        """The preview."""
        understood, job = self.understood, self.log.job
        context = {
            "frame": job_frame(self.request.user, job, "findings:job"),
            "job": job,
            "log": self.log,
            "form": form,
            "understood": understood,
            "summary": understood.summary,
            "codes": self.codes,
            "statuses_heard": self.statuses,
            "values": self.values,
            "statuses": list(CodeStatus),
            "senders": [(form[f"to_{index}"], sender, self._says(sender)) for index, sender in enumerate(self.senders)],
            "engine_fields": [(form[f"hours_{one.pk}"], form[f"condition_{one.pk}"]) for one in self.engines],
            "logged": self.logged.on_job(job),
            "on_other_jobs": self.on_other_jobs,
            "has_units": bool(self.units),
            "left_out": _left_out(understood),
            "lasts": lasts_words(understood.summary),
            "oddities": oddities_of(understood.summary),
            "was_not_counted": was_not_counted(understood.summary),
        }
        return render(self.request, "findings/canlogs/preview.html", context, status=status)

    def _says(self, sender: Sender) -> str:
        """What a sender says, counted."""
        said = counted_kinds(
            {
                "code": sum(one.sender == sender for one in self.understood.codes),
                "status bit": sum(one.sender == sender for one in self.understood.statuses),
                "value": sum(one.sender == sender for one in self.understood.values),
            }
        )
        if said:
            return ", ".join(said)
        if was_not_counted(self.understood.summary) or hides_codes(self.understood.summary, [sender]):
            return "no codes that could be read"
        return "no codes" if sender in self.understood.tell_codes else "nothing to log"


def _left_out(understood: Understood) -> list[str]:
    """What is too much for the page, in words."""
    counted = [
        (len(understood.senders) - MOST_SENDERS, "senders"),
        (len(understood.codes) - MOST_ROWS, "codes"),
        (len(understood.statuses) - MOST_ROWS, "status bits"),
        (len(understood.values) - MOST_ROWS, "values"),
    ]
    return [f"{count:,} more {what}" for count, what in counted if count > 0]


def _log_it(looking: Looking) -> HttpResponse:
    form = looking.form()
    if form.is_valid():
        try:
            logged = _log_chosen(looking, form)
        except Refused as refusal:
            _show(form, refusal, looking)
        else:
            messages.success(looking.request, _logged_words(logged, looking))
            return redirect("findings:job", number=looking.log.job.number)
    return looking.page(form, status=422)


def _log_chosen(looking: Looking, form: LogItForm) -> Logged:
    answers, places = form.cleaned_data, looking.places(form)
    at = form.moment_chosen
    conditions = {one.pk: " ".join(answers[f"condition_{one.pk}"].split()) for one in looking.engines}
    rows = [*looking.codes, *looking.statuses]
    refuse_ticks_left_out(looking.understood.senders, rows, looking.values, places)
    units = units_chosen(looking.understood, rows, places, extent=answers["extent"])
    doubt = doubt_about_log(looking.understood, rows, units)
    chosen = Chosen(
        units=units,
        values=values_chosen(looking.values, places, conditions),
        which=answers["which"],
        phase=answers["phase"],
        happened_at=at,
        hours={one.pk: _hours_of(one, answers[f"hours_{one.pk}"], at) for one in looking.engines},
        **instrument_of(answers),
        text=answers["text"],
        mapping={sender.key: places[sender].value for sender in looking.senders},
    )

    def log() -> Logged:
        return log_findings(
            by=signed_in(looking.request),
            log=looking.log,
            understood=looking.understood,
            chosen=chosen,
            entry_id=answers["entry_id"] or uuid.uuid4(),
        )

    with together(), all_at_once() as questions:
        ask_once(f"extent {looking.log.sha256}: {doubt}", doubt, field="extent", tick="the read-out was complete")
        logged = questions.made(log)
    return logged[0]


def _hours_of(engine: Engine, shown: Decimal | None, at: datetime) -> Decimal | None:
    try:
        return true_hours(engine, shown, at)
    except Refused as refusal:
        raise Refused(refusal.sentence, fields={f"hours_{engine.pk}": refusal.fields["hours"]}) from refusal


def _show(form: LogItForm, refusal: Refused, looking: Looking) -> None:
    """A refusal beside its field; one about a row of a table on top, in words that name the row."""
    if {row.heard.key for row in looking.values} & set(refusal.fields):
        form.add_error(None, refusal.sentence)
    else:
        show_refusal(form, refusal)


def _logged_words(logged: Logged, looking: Looking) -> str:
    codes = sum(scan.sightings.count() for scan in logged.scans)
    said = ", ".join(counted_kinds({"scan": len(logged.scans), "code": codes, "reading": len(logged.readings)}))
    left_out = left_out_words(looking.understood, [*looking.codes, *looking.statuses], looking.values)
    return f"Logged from “{looking.log.name}”: {said}. {left_out}".strip()
