"""Logging a scan from an instrument's text: read, looked through, then logged with the whole text kept."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render

from engineering.codes import CodeStatus, CodeSystem
from findings.faults.actions import log_scan
from findings.faults.capture import ListedCode, codes_typed
from findings.faults.forms import PasteForm
from findings.faults.hours import shown_hours, true_hours, usual_hours
from findings.faults.pasting import PasteRead, codes_by_unit, read_pasted, with_answers
from findings.faults.queries import unit_choices
from findings.faults.views.requests import (
    first_unit,
    no_unit,
    show_refusal,
    unit_buttons,
    usual_phase,
)
from findings.faults.views.scanning import logged_words
from findings.models import Scan
from staff.policy import Permission, permission_required
from staff.refusals import Refused
from staff.views import signed_in
from vessels.models import ControlUnit
from workorders.frames import job_frame, job_or_404
from workorders.models import Job

MOST_LINES_SHOWN = 500


@dataclass(frozen=True)
class Pasting:
    """One visit to the page: who pastes on which job, about which unit."""

    request: HttpRequest
    job: Job
    units: Sequence[ControlUnit]
    unit: ControlUnit

    @property
    def data(self) -> QueryDict:
        """What was posted."""
        return self.request.POST


@permission_required(Permission.LOG_FINDINGS)
def paste(request: HttpRequest, number: int) -> HttpResponse:
    """Paste a text, look through what was read of it, log it."""
    job = job_or_404(number)
    units = unit_choices(job.vessel)
    if not units:
        return no_unit(request, job)
    data = request.POST
    unit = first_unit(job, units, data.get("switch", data.get("unit", request.GET.get("unit", ""))))
    pasting = Pasting(request, job, units, unit)
    if request.method != "POST":
        answers = _first_answers(job, unit, request.GET.get("phase", ""))
        return _page(pasting, PasteForm(units_offered=units, initial=answers), None)
    read = _read(pasting) if data.get("pasted", "").strip() else None
    if read is not None and data.get("read_digest") == read.digest and "switch" not in data:
        read = with_answers(read, data, [one.pk for one in units])
        if data.get("do") == "log":
            return _log(pasting, read)
    return _look_through(pasting, read)


def _first_answers(job: Job, unit: ControlUnit, phase: str) -> dict[str, Any]:
    return {
        "unit": unit.pk,
        "phase": usual_phase(job, unit, phase),
        "hours": usual_hours(job, unit.engine),
    }


def _read(pasting: Pasting) -> PasteRead:
    taken = Counter(one.address for one in pasting.units if one.address is not None)
    return read_pasted(
        pasting.data.get("pasted", ""),
        unit_id=pasting.unit.pk,
        preferred=CodeSystem(pasting.unit.code_system),
        unit_by_address={
            one.address: one.pk for one in pasting.units if one.address is not None and taken[one.address] == 1
        },
    )


def _look_through(pasting: Pasting, read: PasteRead | None) -> HttpResponse:
    """Show what was read. Comes back here too where the text was changed after it was read."""
    answers = {name: pasting.data.get(name) for name in PasteForm.base_fields if name in pasting.data}
    answers["unit"] = str(pasting.unit.pk)
    if read is None:
        form = PasteForm(answers, units_offered=pasting.units)
        form.is_valid()
        return _page(pasting, form, None, status=422)
    if "switch" in pasting.data:
        answers |= {**_first_answers(pasting.job, pasting.unit, ""), "unit": str(pasting.unit.pk)}
    if not answers.get("extent"):
        answers["extent"] = read.usual_extent
    form = PasteForm(units_offered=pasting.units, initial={**answers, "read_digest": read.digest})
    form.ask_what_the_text_cannot_say()
    form.fields["status"].required = True
    return _page(pasting, form, read)


def _log(pasting: Pasting, read: PasteRead) -> HttpResponse:
    form = PasteForm(pasting.data, units_offered=pasting.units)
    form.ask_what_the_text_cannot_say()
    if form.is_valid():
        try:
            made = _log_scans(pasting, read, form.cleaned_data)
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            for scan in made:
                messages.success(pasting.request, logged_words(scan))
            return redirect("findings:job", number=pasting.job.number)
    return _page(pasting, form, read, status=422)


@transaction.atomic
def _log_scans(pasting: Pasting, read: PasteRead, answers: dict[str, Any]) -> list[Scan]:
    """One scan for each unit in the text, all or none; each has an id of its own made from the form's."""
    unit = pasting.unit
    more = _more_codes(answers["more_codes"], answers["status"], unit)
    by_unit = codes_by_unit(read, more=more, unit_id=unit.pk, status=answers["status"])
    if not any(by_unit.values()) and not read.readout.no_codes_stated:
        raise Refused("No code was read, and the text does not say that there are none. Add the codes by hand below.")
    form_id = answers["entry_id"] or uuid.uuid4()
    shown = shown_hours(answers["hours"])
    return [
        log_scan(
            by=signed_in(pasting.request),
            unit=one,
            phase=answers["phase"],
            is_complete=answers["extent"] == "all",
            codes=by_unit[one.pk],
            job=pasting.job,
            engine_hours=true_hours(one.engine, shown, answers["happened_at"]) if one.engine == unit.engine else None,
            instrument=answers["instrument"],
            raw=answers["pasted"],
            source="paste",
            not_understood=read.not_understood,
            text=answers["text"],
            entry_id=uuid.uuid5(form_id, f"unit {one.pk}"),
            happened_at=answers["happened_at"],
        )
        for one in pasting.units
        if one.pk in by_unit
    ]


def _more_codes(text: str, status: str, unit: ControlUnit) -> list[ListedCode]:
    """Codes that a person wrote beside the text."""
    if not text.strip():
        return []
    usual = CodeStatus(status) if status in set(CodeStatus) else CodeStatus.ACTIVE
    try:
        return codes_typed(text, status=usual, count=None, system=None, preferred=CodeSystem(unit.code_system))
    except Refused as refusal:
        sentence = refusal.fields.get("code", refusal.sentence)
        raise Refused(refusal.sentence, fields={"more_codes": sentence}) from refusal


def _page(pasting: Pasting, form: PasteForm, read: PasteRead | None, *, status: int = 200) -> HttpResponse:
    lines = read.readout.lines if read else ()
    context = {
        "frame": job_frame(pasting.request.user, pasting.job, "findings:job"),
        "job": pasting.job,
        "form": form,
        "unit": pasting.unit,
        "units": unit_buttons(pasting.units, pasting.unit),
        "all_units": pasting.units,
        "read": read,
        "lines": [line for line in lines[:MOST_LINES_SHOWN] if line.kind != "blank"],
        "lines_left_out": max(0, len(lines) - MOST_LINES_SHOWN),
        "statuses": list(CodeStatus),
    }
    return render(pasting.request, "findings/paste.html", context, status=status)
