"""Charging fitted parts in one touch."""

from __future__ import annotations

from uuid import UUID, uuid4, uuid5

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from commands.envelope import together
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import accepted
from web.typed import uuid_of
from workorders.frames import job_or_404
from workorders.jobparts.actions import charge_fitted, match_charge
from workorders.jobparts.forms.charging import ChargeFittedForm, Wanted
from workorders.jobparts.models import PartFitted
from workorders.jobparts.queries.fitted import parts_on
from workorders.jobparts.views.fitting import at_parts
from workorders.models import Charge, Job
from workorders.money import ChargeKind


@permission_required(Permission.SET_PRICES)
def charge(request: HttpRequest, number: int) -> HttpResponse:
    """Turn fitted parts into charges: all that are selected, or none."""
    job = job_or_404(number)
    form = _form(request, job)
    if request.method == "POST":
        made = accepted(form, lambda: _charge(signed_in(request), form.cleaned_data["entry_id"], form.wanted()))
        if made is not None:
            parts = "1 part is" if made == 1 else f"{made} parts are"
            messages.success(request, f"{parts} charged.")
            return redirect(at_parts(job, "charges"))
    context = {"job": job, "form": form, "back": at_parts(job)}
    return render(request, "workorders/jobparts/charge.html", context, status=422 if form.errors else 200)


def _form(request: HttpRequest, job: Job) -> ChargeFittedForm:
    """The form over what is not charged yet, or over what was sent."""
    currency = request.shop.currency  # type: ignore[attr-defined]
    if request.method != "POST":
        known = parts_on(job)
        return ChargeFittedForm(
            parts=[one.fitted for one in known.uncharged], charges=known.unmatched, currency=currency
        )
    keys = [key for key in map(uuid_of, request.POST.getlist("key")) if key is not None]
    parts = PartFitted.objects.filter(entry__job=job, pk__in=keys).select_related("entry", "part", "line")
    charges: list[Charge] = []
    if any(name.startswith("charge-") for name in request.POST):
        charges = list(job.charges.filter(kind=ChargeKind.PART.value).order_by("pk"))
    in_order = sorted(parts, key=lambda one: keys.index(one.pk))
    return ChargeFittedForm(request.POST, parts=in_order, charges=charges, currency=currency)


@together()
def _charge(by: Person, form_id: UUID | None, wanted: list[Wanted]) -> int:
    """Each has an id derived from the form's, so that a repeat is known."""
    form_id = form_id or uuid4()
    for one in wanted:
        try:
            _charge_one(by, one, uuid5(form_id, str(one.fitted.pk)))
        except Refused as refusal:
            refusal.fields = {_field_of(one, name): words for name, words in refusal.fields.items()}
            raise
    return len(wanted)


def _charge_one(by: Person, one: Wanted, entry_id: UUID) -> None:
    if one.charge is not None:
        match_charge(by=by, fitted=one.fitted, charge=one.charge, entry_id=entry_id)
    else:
        charge_fitted(by=by, fitted=one.fitted, unit_price=one.unit_price, entry_id=entry_id)


def _field_of(one: Wanted, name: str) -> str:
    """The field of the page, where each part has its own, that a refusal is about."""
    mine = {"unit_price": f"price-{one.fitted.pk}", "charge": f"charge-{one.fitted.pk}"}
    return mine.get(name, name)
