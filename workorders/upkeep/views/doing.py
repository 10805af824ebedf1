"""Logging that a service was done: by a form, from a done line in one touch, and correcting such an entry."""

from __future__ import annotations

from datetime import datetime, time
from typing import Any
from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from commands.envelope import together
from commands.questions import Questions
from commands.refusals import Refused
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.log.chain import following_id
from vessels.log.evidence import is_effective
from vessels.models import Engine
from vessels.shown_hours import hours_text, shown_hours, true_hours
from vessels.views.engines import engine_or_404
from web.submission import Submission, attempted
from web.typed import sent_id, whole_number
from workorders.actions import add_line
from workorders.frames import job_or_404
from workorders.models import Job, JobLine
from workorders.upkeep.actions import log_service, plan_line
from workorders.upkeep.forms.doing import DoneForm
from workorders.upkeep.models import Adoption, PlannedLine, ServiceDone, ServicePlan
from workorders.upkeep.offering import concern_of
from workorders.upkeep.queries.done import read_on
from workorders.upkeep.queries.due import due_of

MINUTE = "%Y-%m-%dT%H:%M"


def at_services(job: Job) -> str:
    """The address of a job's services on its Lines tab."""
    return f"{reverse('workorders:lines', args=[job.number])}#services"


def _plans_of(engine: Engine) -> list[ServicePlan]:
    """What the engine follows now."""
    followed = Adoption.objects.filter(engine=engine, ended_at=None, plan__ended_at=None).select_related("plan")
    return [one.plan for one in followed.order_by("plan__name")]


def _asked_line(request: HttpRequest, engine: Engine) -> JobLine | None:
    """The line that a link or the form names, of a job of this boat."""
    sent = request.POST if request.method == "POST" else request.GET
    number, position = (whole_number(sent.get(name, ""), digits=9) for name in ("job", "line"))
    if number is None or position is None:
        return None
    lines = JobLine.objects.select_related("job__vessel", "engine").filter(job__vessel=engine.vessel_id)
    return lines.filter(job__number=number, position=position).first()


@permission_required(Permission.LOG_FINDINGS)
def log(request: HttpRequest, pk: int) -> HttpResponse:
    """Log services that were done on an engine."""
    engine = engine_or_404(pk)
    line = _asked_line(request, engine)
    planned = PlannedLine.objects.filter(line=line).select_related("adoption").first() if line else None
    plans = _plans_of(engine)
    asked = whole_number(request.GET.get("plan", ""))
    chosen = planned.adoption.plan_id if planned else asked
    form = DoneForm(
        request.POST if request.method == "POST" else None,
        engine=engine,
        plans=plans,
        line=line,
        read=read_on(line.job if line else None, engine),
        initial={"plans": [chosen] if chosen is not None else [], "hours": request.GET.get("hours", "")[:20]},
    )
    sending = Submission(request, form)
    if sending.save(lambda: log_service(by=signed_in(request), **form.answers())):
        messages.success(request, "The service is in the log. The next one counts from it.")
        return redirect(at_services(line.job)) if line else redirect("upkeep:vessel", engine.vessel_id)
    back = at_services(line.job) if line else reverse("upkeep:vessel", args=[engine.vessel_id])
    return sending.page(
        "workorders/upkeep/done.html", engine=engine, plans=plans, line=line, back=back, wrong=None, counts=True
    )


@permission_required(Permission.AMEND_FINDINGS)
def correct(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct such an entry: both stay visible, and only the new one counts."""
    wrong = get_object_or_404(
        ServiceDone.objects.select_related("entry__engine__vessel__owner", "entry__job", "line__job", "read_in"), pk=pk
    )
    entry = wrong.entry
    if entry.engine is None:  # the column allows it, the action does not
        return redirect("vessels:entry", pk)
    named = [one.plan_version.plan for one in wrong.services.select_related("plan_version__plan")]
    plans = sorted({plan.pk: plan for plan in [*_plans_of(entry.engine), *named]}.values(), key=lambda plan: plan.name)
    job = wrong.line.job if wrong.line else entry.job
    read = wrong.read_in if wrong.read_in and is_effective(wrong.read_in) else read_on(job, entry.engine)
    form = DoneForm(
        request.POST if request.method == "POST" else None,
        engine=entry.engine,
        plans=plans,
        line=wrong.line,
        read=read,
        wrong=entry,
        initial=_as_it_was(wrong, named),
    )
    sending = Submission(request, form)
    if sending.save(lambda: log_service(by=signed_in(request), job=job, amends=entry, **form.answers())):
        messages.success(request, "The correction is what counts now. Both stay visible.")
        return redirect("upkeep:vessel", entry.vessel_id)
    back = reverse("vessels:entry", args=[pk])
    return sending.page(
        "workorders/upkeep/done.html",
        engine=entry.engine, plans=plans, line=wrong.line, back=back, wrong=wrong, counts=is_effective(entry),
    )  # fmt: skip


def _as_it_was(wrong: ServiceDone, named: list[ServicePlan]) -> dict[str, Any]:
    entry = wrong.entry
    return {
        "plans": [plan.pk for plan in named],
        "hours": hours_text(entry.engine, entry.engine_hours, entry.happened_at),
        "happened_at": timezone.localtime(entry.happened_at).strftime(MINUTE),
    }


@require_POST
@permission_required(Permission.LOG_FINDINGS)
def line_done(request: HttpRequest, number: int, position: int) -> HttpResponse:
    """Log the service of a done line in one touch: on the day that the line says, at the hours read on the job."""
    job = job_or_404(number)
    line = get_object_or_404(job.lines.select_related("engine", "job__vessel"), position=position)
    planned = get_object_or_404(
        PlannedLine.objects.select_related("adoption__engine__vessel", "adoption__plan"), line=line
    )
    engine = planned.adoption.engine
    moment = _moment_of(line)

    def act() -> None:
        hours = true_hours(engine, shown_hours(request.POST.get("hours", "")[:20]), moment)
        log_service(
            by=signed_in(request),
            engine=engine,
            plans=[planned.adoption.plan],
            line=line,
            engine_hours=hours,
            read_in=read_on(job, engine) if hours is None else None,
            entry_id=sent_id(request),
            happened_at=moment,
        )

    try:
        act()
    except Questions:  # a touch answers none: its form asks, with a tick
        messages.warning(request, "These hours are asked about first. Log the service here.")
        said = urlencode({"job": number, "line": position, "hours": request.POST.get("hours", "")[:20]})
        return redirect(f"{reverse('upkeep:done', args=[engine.pk])}?{said}")
    except Refused as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"“{planned.adoption.plan}” is in the log. The next one counts from it.")
    return redirect(at_services(job))


def _moment_of(line: JobLine) -> datetime | None:
    """The day on which the line was done, where it says another than today."""
    if line.done_on is None or line.done_on >= timezone.localdate():
        return None
    return timezone.make_aware(datetime.combine(line.done_on, time.min))


@require_POST
@permission_required(Permission.OPEN_JOBS)
def add_to_job(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Make a service that is due a line of a job."""
    job = job_or_404(number)
    adoption = get_object_or_404(Adoption.objects.select_related("engine", "plan"), pk=pk, engine__vessel=job.vessel_id)
    due = next((one for one in due_of(job.vessel_id) if one.followed.pk == adoption.pk), None)
    concern = concern_of(due) if due is not None else f"Service due: {adoption.plan}"
    entry_id = sent_id(request)

    @together()
    def act() -> None:
        line = add_line(by=signed_in(request), job=job, concern=concern, engine=adoption.engine, entry_id=entry_id)
        key = following_id(entry_id, f"service-{adoption.pk}")
        plan_line(by=signed_in(request), line=line, adoption=adoption, entry_id=key)

    if attempted(request, act):
        messages.success(request, f"“{adoption.plan}” is a line of job {job.number} now.")
    return redirect(at_services(job))
