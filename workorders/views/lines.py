"""The Lines tab: concern, cause, correction, and what is charged."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from parts.models import Part
from parts.queries import find_parts
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.fields import FigureField
from web.moment import at_one_moment
from web.submission import Submission, accepted, attempted
from web.typed import sent_id, whole_number
from workorders import marks
from workorders.actions import (
    add_charge,
    add_line,
    change_job_discount,
    change_line,
    charge_again,
    return_core,
    strike_charge,
)
from workorders.actions.checking import refuse_ended
from workorders.forms import ChargeForm, JobDiscountForm, LineForm, NewLineForm
from workorders.frames import job_frame, job_or_404
from workorders.labor.queries import job_labor
from workorders.labor.touching import clock_rights
from workorders.models import Charge, Job, JobLine
from workorders.queries import job_sum
from workorders.sections import LINES, remember_sum, shown_sections
from workorders.views.editing import SeenSubmission, version_of


@permission_required(Permission.SEE_RECORDS)
@at_one_moment
def lines(request: HttpRequest, number: int) -> HttpResponse:
    """The lines of a job with their charges, and one more concern at the end."""
    found = job_or_404(number)
    form = NewLineForm(request.POST if request.method == "POST" else None, job=found)
    if request.method == "POST":
        line = accepted(form, lambda: add_line(by=signed_in(request), job=found, **form.answers()))
        if line is not None:
            messages.success(request, f"Line {line.position} is added.")
            return redirect(_at(found, f"line-{line.position}"))
    return _lines_page(request, found, form)


def _lines_page(request: HttpRequest, found: Job, form: NewLineForm) -> HttpResponse:
    person = signed_in(request)
    currency = request.shop.currency  # type: ignore[attr-defined]
    summed = job_sum(found, currency=currency, columns=marks.columns(), today=timezone.localdate())
    marks.mark(summed)
    remember_sum(request, found, summed)
    context = {
        "frame": job_frame(person, found, "workorders:lines"),
        "job": found,
        "sum": summed,
        "labor": job_labor(
            found,
            shop=request.shop,  # type: ignore[attr-defined]
            lines=[one.line for one in summed.lines if one.line],
            charges=summed.every,
            reader=person,
            shows_rows=False,
        ),
        **clock_rights(person, found),
        "form": form,
        "may_write": found.is_open,
        "may_price": found.is_open and person.may(Permission.SET_PRICES),
        "writes_corrections": person.may(Permission.WRITE_CORRECTIONS),
        "sections": shown_sections(LINES, request, found),
        "sees_money": person.may(Permission.SEE_MONEY),
        "told": marks.told(person, found, summed, currency),
    }
    return render(request, "workorders/lines.html", context, status=422 if form.errors else 200)


def _at(found: Job, place: str) -> str:
    return f"{reverse('workorders:lines', args=[found.number])}#{place}"


@permission_required(Permission.SEE_RECORDS)
def line(request: HttpRequest, number: int, position: int) -> HttpResponse:
    """Write cause and correction on a line, or change its concern: each role what it writes."""
    found = get_object_or_404(
        JobLine.objects.select_related("job__vessel__owner", "job__customer", "job__technician", "engine"),
        job__number=number,
        position=position,
    )
    person = signed_in(request)
    if not person.may(Permission.WRITE_CORRECTIONS) and not person.may(Permission.OPEN_JOBS):
        raise PermissionDenied
    form = LineForm(request.POST if request.method == "POST" else None, record=found, person=person)
    sending = SeenSubmission(request, form)

    def act(changes: dict[str, Any], seen: dict[str, Any]) -> None:
        change_line(
            by=person,
            line=found,
            seen_version=version_of(form),
            changes=changes,
            seen=seen,
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, f"Line {found.position} is saved. What changed is in the log.")
        return redirect(_at(found.job, f"line-{found.position}"))
    return sending.page("workorders/line.html", job=found.job, line=found, back=_at(found.job, f"line-{position}"))


@permission_required(Permission.SET_PRICES)
def charge_add(request: HttpRequest, number: int) -> HttpResponse:
    """Put a charge on a job, from the catalog or free."""
    found = job_or_404(number)
    if request.method != "POST" and not attempted(request, lambda: refuse_ended(found)):
        return redirect(_at(found, "charges"))
    text = (request.POST if request.method == "POST" else request.GET).get("q", "")[:100]
    if request.htmx and request.htmx.target == "parts-found":  # type: ignore[attr-defined]
        return render(request, "workorders/charges/parts.html", {"parts": _parts(text), "text": text, "job": found})
    shop = request.shop  # type: ignore[attr-defined]
    part = _chosen_part(request)
    if request.method == "POST" and request.POST.get("step", "add") == "add":
        form = ChargeForm(request.POST, job=found, shop=shop)
        charge = accepted(form, lambda: add_charge(by=signed_in(request), job=found, **form.answers()))
        if charge is not None:
            messages.success(request, f"“{charge.description}” is on the job.")
            return redirect(_at(found, f"charge-{charge.pk}"))
    else:
        form = ChargeForm(job=found, shop=shop, initial=_typed(request, part))
    context = {
        "job": found,
        "form": form,
        "part": part,
        "text": text,
        "parts": _parts(text),
        "back": _at(found, "charges"),
    }
    return render(request, "workorders/charges/add.html", context, status=422 if form.errors else 200)


def _parts(text: str) -> list[Part] | None:
    return list(find_parts(text, at_most=8, sold_only=True)) if text.strip() else None


def _chosen_part(request: HttpRequest) -> Part | None:
    """The part that a button of the search chose, or that the form carries."""
    step = request.POST.get("step", "")
    if step == "part:":
        return None
    key = step.removeprefix("part:") if step.startswith("part:") else request.POST.get("part", "")
    key = key or request.GET.get("part", "")
    number = whole_number(key)
    return None if number is None else Part.objects.filter(pk=number).first()


def _typed(request: HttpRequest, part: Part | None) -> dict[str, Any]:
    """What the form shows: what was typed so far, what the address asks for, what the chosen part brings."""
    shown: dict[str, Any] = {}
    for name in ("kind", "line"):
        if request.GET.get(name):
            shown[name] = request.GET[name]
    if request.method == "POST":
        names = (
            "kind",
            "line",
            "description",
            "quantity",
            "unit_price",
            "taxable",
            "discount_percent",
            "discount_amount",
            "is_core",
            "entry_id",
        )
        shown |= {name: request.POST[name] for name in names if name in request.POST}
    if part is not None:
        shown |= {"kind": "part", "part": part.pk, "description": str(part), "unit_price": part.unit_price}
    return shown


@permission_required(Permission.SET_PRICES)
def discount(request: HttpRequest, number: int) -> HttpResponse:
    """Take a percentage or a sum off everything that is charged on a job."""
    found = job_or_404(number)
    if request.method != "POST" and not attempted(request, lambda: refuse_ended(found)):
        return redirect(_at(found, "charges"))
    form = JobDiscountForm(request.POST if request.method == "POST" else None, job=found, shop=request.shop)  # type: ignore[attr-defined]
    sending = Submission(request, form)
    if sending.save(lambda: change_job_discount(by=signed_in(request), job=found, **form.answers())):
        messages.success(request, "Saved. Invoices that were made before stay as they are.")
        return redirect(_at(found, "charges"))
    if "conflict" in sending.context:
        form.look_again(job_or_404(number))
    return sending.page("workorders/charges/discount.html", job=found, back=_at(found, "charges"))


@permission_required(Permission.SET_PRICES)
@require_POST
def charge_strike(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Void a charge of a job."""
    charge = get_object_or_404(Charge.objects.select_related("job"), pk=pk, job__number=number)
    if attempted(request, lambda: strike_charge(by=signed_in(request), charge=charge, entry_id=sent_id(request))):
        messages.success(request, f"“{charge.description}” is voided. It stays visible but is not counted.")
    return redirect(_at(charge.job, f"charge-{charge.pk}"))


@permission_required(Permission.SET_PRICES)
@require_POST
def charge_again_page(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Put a voided charge on its job once more."""
    charge = get_object_or_404(Charge.objects.select_related("job"), pk=pk, job__number=number)
    if attempted(request, lambda: charge_again(by=signed_in(request), charge=charge, entry_id=sent_id(request))):
        messages.success(request, f"“{charge.description}” is on the job again, at the same price.")
    return redirect(_at(charge.job, f"charge-{charge.pk}"))


@permission_required(Permission.SET_PRICES)
@require_POST
def core_return(request: HttpRequest, number: int, pk: int) -> HttpResponse:
    """Give a core charge back, as the old part came back."""
    charge = get_object_or_404(Charge.objects.select_related("job"), pk=pk, job__number=number)

    def act() -> None:
        quantity = FigureField(max_digits=9, decimal_places=2, required=False).clean(request.POST.get("quantity", ""))
        return_core(by=signed_in(request), charge=charge, quantity=quantity, entry_id=sent_id(request))

    try:
        if attempted(request, act):
            messages.success(request, f"“{charge.description}” is given back.")
    except ValidationError as problem:
        messages.error(request, " ".join(problem.messages))
    return redirect(_at(charge.job, f"charge-{charge.pk}"))
