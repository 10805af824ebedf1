"""Appointments: planned, looked at, changed, and what became of them.

Finding and choosing a boat are steps of the one form: each shows it again with everything that was typed, and writes
nothing.
"""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Vessel
from web.submission import Submission, attempted
from web.typed import sent_id, whole_number
from workorders.appointments.actions import change_appointment, plan_appointment, settle_appointment
from workorders.appointments.forms import AppointmentForm
from workorders.appointments.kinds import STATE_WORDS, State
from workorders.appointments.models import Appointment, Bay
from workorders.models import Job
from workorders.queries.finding import found_boats

MOST_FOUND = 6


@permission_required(Permission.PLAN_APPOINTMENTS)
def add(request: HttpRequest) -> HttpResponse:
    """Plan an appointment."""
    typed = _step(request)
    if request.method != "POST":
        typed = _asked_for(request)
    is_sent = request.method == "POST" and typed is None
    form = AppointmentForm(request.POST if is_sent else None, typed=typed)
    sending = Submission(request, form)
    made: list[Appointment] = []
    if is_sent and sending.save(lambda: made.append(plan_appointment(by=signed_in(request), **form.answers()))):
        messages.success(request, f"Planned: {made[0]}, {_on(made[0])}.")
        return redirect("appointments:one", made[0].pk)
    return _page(sending, form, typed, is_sent=is_sent)


@permission_required(Permission.SEE_RECORDS)
def one(request: HttpRequest, pk: int) -> HttpResponse:
    """An appointment, with its history and what can be done with it."""
    found = _appointment(pk)
    person = signed_in(request)
    sending = Submission(request, AppointmentForm(None, record=found))
    return sending.page(
        "workorders/appointments/one.html",
        appointment=found,
        history=found.history.select_related("by"),
        may_plan=person.may(Permission.PLAN_APPOINTMENTS),
        may_open=person.may(Permission.OPEN_JOBS),
        is_due=found.day <= timezone.localdate(),
        week_url=week_url(found.day.isoformat()),
    )


@permission_required(Permission.PLAN_APPOINTMENTS)
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Move or change an appointment."""
    found = _appointment(pk)
    typed = _step(request)
    is_sent = request.method == "POST" and typed is None
    form = AppointmentForm(request.POST if is_sent else None, record=found, typed=typed)
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_appointment(
            by=signed_in(request),
            appointment=found,
            seen_version=form.version,
            changes=form.changes(),
            reason=form.cleaned_data["reason"],
            entry_id=form.cleaned_data["entry_id"],
        )

    if is_sent and sending.save(act):
        messages.success(request, f"Saved: {found}, {_on(found)}.")
        return redirect("appointments:one", found.pk)
    return _page(sending, form, typed, is_sent=is_sent, appointment=found)


@require_POST
@permission_required(Permission.PLAN_APPOINTMENTS)
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what became of an appointment, or that this was a slip."""
    found = _appointment(pk)
    state = request.POST.get("state", "")

    def act() -> None:
        reason = request.POST.get("reason", "").replace("\0", "")
        settle_appointment(
            by=signed_in(request), appointment=found, state=state, reason=reason, entry_id=sent_id(request)
        )

    if attempted(request, act):
        messages.success(request, f"Noted: {STATE_WORDS[State(found.state)].lower()}. {found}, {_on(found)}.")
    return redirect("appointments:one", found.pk)


def week_url(day: str) -> str:
    """The week of a day."""
    return f"{reverse('week')}?week={day}"


def _appointment(pk: int) -> Appointment:
    everything = Appointment.objects.select_related("vessel__owner", "bay", "technician", "job", "added_by")
    return get_object_or_404(everything, pk=pk)


def _on(found: Appointment) -> str:
    return f"{found.day:%a, %b} {found.day.day}, {found.words}"


def _asked_for(request: HttpRequest) -> dict[str, Any]:
    """What a link from elsewhere names: a boat or a job, a day, a bay or a technician."""
    typed: dict[str, Any] = {}
    number = whole_number(request.GET.get("job", ""))
    job = Job.objects.filter(number=number).first() if number is not None else None
    if job is not None:
        typed |= {"job": job.pk, "vessel": job.vessel_id}
    for name in ("vessel", "bay", "technician"):
        key = whole_number(request.GET.get(name, ""))
        if key is not None and name not in typed:
            typed[name] = key
    for name in ("day", "kind"):
        if request.GET.get(name):
            typed[name] = request.GET[name][:10]
    return typed


def _step(request: HttpRequest) -> dict[str, Any] | None:
    """What was typed, where a step of finding the boat was asked for; None where the form is to be saved."""
    if request.method != "POST":
        return None
    step, typed = request.POST.get("step", "save"), request.POST.dict()
    if step == "usual":  # the Enter key: what it means depends on where the person is
        step = "find" if request.POST.get("find", "").strip() and not request.POST.get("vessel") else "save"
    if step.startswith("boat:"):
        return {**typed, "vessel": whole_number(step.removeprefix("boat:")), "job": "", "find": ""}
    if step == "again":
        return {**typed, "vessel": "", "job": ""}
    return typed if step == "find" else None


def _page(
    sending: Submission,
    form: AppointmentForm,
    typed: dict[str, Any] | None,
    *,
    is_sent: bool,
    appointment: Appointment | None = None,
) -> HttpResponse:
    text = str((typed or {}).get("find", ""))[:100]
    chosen = whole_number(str(form["vessel"].value() or ""))
    job = whole_number(str(form["job"].value() or ""))
    if not is_sent:
        sending.status = 200
    return sending.page(
        "workorders/appointments/form.html",
        appointment=appointment,
        vessel=Vessel.objects.select_related("owner").filter(pk=chosen).first() if chosen is not None else None,
        job=Job.objects.filter(pk=job).first() if job is not None else None,
        text=text,
        found=found_boats(text, at_most=MOST_FOUND) if text.strip() and chosen is None else None,
        has_bays=Bay.objects.filter(ended_at=None).exists(),
    )
