"""The list of what a job waits for."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from engineering.canonical import plain_decimal
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, accepted, attempted
from web.typed import sent_id, whole_number
from workorders.frames import job_or_404
from workorders.jobparts.actions import await_part, cancel_awaited, change_awaited, part_arrived, void_arrival
from workorders.jobparts.forms.waiting import AwaitForm, PartlyForm
from workorders.jobparts.models import AwaitedPart
from workorders.jobparts.queries.waiting import awaited_on
from workorders.jobparts.views import choosing
from workorders.jobparts.views.fitting import at_parts
from workorders.models import Job
from workorders.states import JobState


@permission_required(Permission.AWAIT_PARTS)
def add(request: HttpRequest, number: int) -> HttpResponse:
    """Put a part on the list of what a job waits for."""
    job = job_or_404(number)
    text = choosing.sought(request)
    if choosing.is_only_looking(request):
        return render(request, "workorders/jobparts/found.html", {"parts": choosing.found(text), "text": text})
    part = choosing.chosen(request)
    if choosing.is_sent(request):
        form = AwaitForm(request.POST, job=job, part=part)
        made = accepted(form, lambda: await_part(by=signed_in(request), job=job, **form.answers()))
        if made is not None:
            messages.success(request, f"“{made}” is on the list.")
            return redirect(at_parts(job, f"awaited-{made.pk}"))
    else:
        form = AwaitForm(job=job, part=part, initial=_first_answers(request, job) | choosing.as_typed(request, part))
    context = {
        "job": job,
        "form": form,
        "part": part,
        "text": text,
        "parts": choosing.found(text),
        "back": at_parts(job, "waiting"),
        "here": request.path,
    }
    return render(request, "workorders/jobparts/await.html", context, status=422 if form.errors else 200)


def _first_answers(request: HttpRequest, job: Job) -> dict[str, int]:
    position = whole_number(request.GET.get("line", ""), digits=4)
    line = None if position is None else job.lines.filter(position=position).first()
    return {"line": line.pk} if line else {}


def _awaited_or_404(number: int, pk: int) -> AwaitedPart:
    return get_object_or_404(AwaitedPart.objects.select_related("job__vessel", "part"), pk=pk, job__number=number)


@permission_required(Permission.AWAIT_PARTS)
def change(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Change what is known of a part that is waited for."""
    awaited = _awaited_or_404(number, pk)
    form = AwaitForm(request.POST if request.method == "POST" else None, job=awaited.job, record=awaited)
    sending = Submission(request, form, record=awaited)

    def act() -> None:
        change_awaited(
            by=signed_in(request),
            awaited=awaited,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, f"“{awaited}” is saved.")
        return redirect(at_parts(awaited.job, f"awaited-{awaited.pk}"))
    return sending.page(
        "workorders/jobparts/change.html", job=awaited.job, awaited=awaited, back=at_parts(awaited.job, "waiting")
    )


def _mark(
    request: HttpRequest, awaited: AwaitedPart, act: Callable[..., object], said: str, **more: object
) -> HttpResponse:
    """Do what a button says, and go back to where it was pressed."""
    done = attempted(request, lambda: act(by=signed_in(request), awaited=awaited, entry_id=sent_id(request), **more))
    if done:
        messages.success(request, said)
        job = awaited.job
        if act is part_arrived and job.state == JobState.WAITING_PARTS and not any(o.is_open for o in awaited_on(job)):
            messages.success(request, f"Every part of job {job.number} is here. The work can go on.")
            return redirect(f"{reverse('workorders:job', args=[job.number])}#waiting")
    return redirect(at_parts(awaited.job, f"awaited-{awaited.pk}"))


@permission_required(Permission.AWAIT_PARTS)
@require_POST
def arrived(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Note that a part is here, or so many of it. Was it the last one, the job's page says so and offers to go on."""
    awaited = _awaited_or_404(number, pk)
    if not request.POST.get("quantity", "").strip():
        return _mark(request, awaited, part_arrived, f"“{awaited}” is here.")
    form = PartlyForm(request.POST)
    if not form.is_valid():
        messages.error(request, f"{awaited.words}: {' '.join(map(str, form.errors['quantity']))} Nothing is noted.")
        return redirect(at_parts(awaited.job, f"awaited-{awaited.pk}"))
    came, seen = form.cleaned_data["quantity"], form.cleaned_data["seen_quantity"]
    rest = awaited.quantity - came
    still = f" {_so_many(rest)} still to come." if rest > 0 else ""
    said = f"“{awaited.words}”: {_so_many(came)} here.{still}"
    return _mark(request, awaited, part_arrived, said, quantity=came, seen_quantity=seen)


def _so_many(quantity: Decimal) -> str:
    return f"{plain_decimal(quantity)} {'is' if quantity == 1 else 'are'}"


@permission_required(Permission.AWAIT_PARTS)
@require_POST
def not_arrived(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Note that a part is not here after all."""
    awaited = _awaited_or_404(number, pk)
    return _mark(request, awaited, void_arrival, f"“{awaited}” is waited for again.")


@permission_required(Permission.AWAIT_PARTS)
@require_POST
def cancel(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Wait for a part no longer."""
    awaited = _awaited_or_404(number, pk)
    return _mark(request, awaited, cancel_awaited, f"“{awaited}” is no longer waited for.")
