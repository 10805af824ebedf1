"""Pages of the register of instruments."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from findings.instruments.actions import add_calibration, add_instrument, change_instrument, strike_calibration
from findings.instruments.forms import CalibrationForm, InstrumentForm
from findings.instruments.models import Calibration, Instrument
from findings.instruments.queries import LAST, calibration_on, register, state_on
from findings.instruments.wording import is_out_of_calibration
from findings.readings.queries import last_made_with, rows, with_marks
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from web.submission import Submission, attempted
from web.typed import sent_id


def _stand(one: Instrument) -> dict[str, Any]:
    """How an instrument stands today."""
    today = timezone.localdate()
    found = calibration_on(one, today)
    is_out = found is not None and is_out_of_calibration(found.due_on, today)
    return {"instrument": one, "state": state_on(one, today), "is_out": is_out}


@permission_required(Permission.SEE_RECORDS)
def instruments(request: HttpRequest) -> HttpResponse:
    """The register: what is in use first, then what is out of service."""
    every = [_stand(one) for one in register()]
    context = {
        "in_use": [one for one in every if one["instrument"].out_of_service_on is None],
        "out_of_service": [one for one in every if one["instrument"].out_of_service_on is not None],
        "may_edit": may(request.user, Permission.EDIT_INSTRUMENTS),
    }
    return render(request, "findings/instruments/register.html", context)


@permission_required(Permission.SEE_RECORDS, to_post=Permission.EDIT_INSTRUMENTS)
def instrument(request: HttpRequest, pk: int) -> HttpResponse:
    """One instrument with its calibrations and what was measured with it; a POST adds a calibration."""
    shown = get_object_or_404(register(), pk=pk)
    form = CalibrationForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: add_calibration(by=signed_in(request), instrument=shown, **form.cleaned_data)):
        messages.success(request, f"Calibration of {shown} is in the register.")
        return redirect("findings:instrument", pk=pk)
    context = {
        **_stand(shown),
        "calibrations": shown.calibrations.select_related("added_by", "struck_by"),
        "readings": rows(with_marks(last_made_with(shown))[:LAST]),
        "measured": last_made_with(shown).count(),
        "may_edit": may(request.user, Permission.EDIT_INSTRUMENTS),
    }
    return sending.page("findings/instruments/instrument.html", **context)


@permission_required(Permission.EDIT_INSTRUMENTS)
def instrument_add(request: HttpRequest) -> HttpResponse:
    """Put an instrument into the register."""
    form = InstrumentForm(request.POST if request.method == "POST" else None, instrument=None)
    sending = Submission(request, form)
    made: list[Instrument] = []

    def act() -> None:
        made.append(add_instrument(by=signed_in(request), entry_id=form.cleaned_data["entry_id"], **form.answers))

    if sending.save(act):
        messages.success(request, f"{made[0]} is in the register.")
        return redirect("findings:instrument", pk=made[0].pk)
    return sending.page("findings/instruments/form.html")


@permission_required(Permission.EDIT_INSTRUMENTS)
def instrument_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what the register says of an instrument."""
    changed = get_object_or_404(Instrument, pk=pk)
    form = InstrumentForm(request.POST if request.method == "POST" else None, instrument=changed)
    sending = Submission(request, form, record=changed)

    def act() -> None:
        change_instrument(
            by=signed_in(request),
            instrument=changed,
            seen_version=form.cleaned_data["seen_version"] or changed.version,
            changes=form.answers,
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, f"{changed} is saved.")
        return redirect("findings:instrument", pk=pk)
    leave = reverse("findings:instrument", args=[pk])
    return sending.page("findings/instruments/form.html", instrument=changed, leave_url=leave)


@permission_required(Permission.EDIT_INSTRUMENTS)
@require_POST
def calibration_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Void a calibration that was written down by mistake."""
    wrong = get_object_or_404(Calibration.objects.select_related("instrument"), pk=pk)
    key = sent_id(request)
    if attempted(request, lambda: strike_calibration(by=signed_in(request), calibration=wrong, entry_id=key)):
        messages.success(request, "Voided. It stays visible and no longer counts.")
    return redirect("findings:instrument", pk=wrong.instrument_id)
