"""Logging a scan from an instrument's text: read, looked through, then logged with the whole text kept."""

from __future__ import annotations

import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render

from commands.envelope import together
from commands.questions import all_at_once, ask_once
from commands.refusals import Refused
from engineering.codes import CodeStatus, CodeSystem, lists_other_kinds_only
from findings.faults.actions import CodeSeen, log_scan
from findings.faults.forms import PasteForm, hours_field
from findings.faults.listed import ListedCode
from findings.faults.models import Fault, Scan
from findings.faults.of_the_job import unit_of
from findings.faults.other_boats import other_boats_said
from findings.faults.pasting import PasteRead, codes_by_unit, extent_doubt, read_pasted, with_all_ticks, with_answers
from findings.faults.phases import common_phase, phase_on_another_unit, usual_phase
from findings.faults.queries import unit_choices
from findings.faults.read_hours import hours_words_read, offered_hours
from findings.faults.same_minute import ask_about_the_minute
from findings.faults.second_arrival import ask_about_a_second_arrival
from findings.faults.typed_codes import codes_typed
from findings.faults.views.requests import choose_unit, no_unit, unit_buttons
from findings.faults.views.scanning import logged_words
from findings.instruments.forms import instrument_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import ControlUnit
from vessels.shown_hours import shown_hours, true_hours
from web.submission import accepted
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
    unit = unit_of(job, units, data.get("switch", data.get("unit", request.GET.get("unit", ""))))
    if unit is None:
        return choose_unit(request, job, units, "Paste a read-out")
    pasting = Pasting(request, job, units, unit)
    if request.method != "POST":
        answers = _first_answers(pasting, request.GET.get("phase", ""))
        return _page(pasting, _form(pasting, initial=answers), None)
    read = _read(pasting) if data.get("pasted", "").strip() else None
    if read is not None and data.get("read_digest") == read.digest and "switch" not in data:
        read = with_answers(read, data, [one.pk for one in units])
        read = with_all_ticks(read, data.get("ticks", ""))
        if data.get("do") == "log":
            return _log(pasting, read)
    return _look_through(pasting, read)


def _form(pasting: Pasting, *args: Any, **kwargs: Any) -> PasteForm:
    return PasteForm(*args, units_offered=pasting.units, chosen=pasting.unit, **kwargs)


def _first_answers(pasting: Pasting, phase: str) -> dict[str, Any]:
    job, unit = pasting.job, pasting.unit
    return {
        "unit": unit.pk,
        "phase": usual_phase(job, unit=unit, wanted=phase),
    }


def _hours_kept(pasting: Pasting) -> dict[str, str]:
    """What was typed for the meters, each still beside its engine when another unit was chosen."""
    data = pasting.data
    before = next((one for one in pasting.units if str(one.pk) == data.get("unit")), pasting.unit)
    engines = {one.engine.pk: one.engine for one in pasting.units if one.engine is not None}
    kept = {}
    for engine in engines.values():
        typed = data.get("hours" if engine.pk == before.engine_id else hours_field(engine), "")
        if typed.strip():
            kept["hours" if engine.pk == pasting.unit.engine_id else hours_field(engine)] = typed
    return kept


def _read(pasting: Pasting) -> PasteRead:
    taken = Counter(one.address for one in pasting.units if one.address is not None)
    return read_pasted(
        pasting.data.get("pasted", ""),
        unit_id=pasting.unit.pk,
        preferred=CodeSystem(pasting.unit.code_system),
        unit_by_address={
            one.address: one.pk for one in pasting.units if one.address is not None and taken[one.address] == 1
        },
        positions={one.pk: one.engine.position for one in pasting.units if one.engine is not None},
    )


def _look_through(pasting: Pasting, read: PasteRead | None) -> HttpResponse:
    """Show what was read. Comes back here too where the text was changed after it was read."""
    names = _form(pasting).fields
    answers = {name: pasting.data.get(name) for name in names if name in pasting.data}
    answers["unit"] = str(pasting.unit.pk)
    if read is None:
        form = _form(pasting, answers)
        form.is_valid()
        return _page(pasting, form, None, status=422)
    usual = _first_answers(pasting, "")
    if "switch" in pasting.data:
        hours = dict.fromkeys([name for name in names if name.startswith("hours")], "")
        before = next((one for one in pasting.units if str(one.pk) == pasting.data.get("unit")), None)
        phase = phase_on_another_unit(pasting.job, answers.get("phase") or "", before=before, now=pasting.unit)
        answers |= {**hours, **_hours_kept(pasting), "unit": str(pasting.unit.pk), "phase": phase}
    answers = {**usual, **answers}
    if answers["phase"] == usual["phase"]:
        answers["phase"] = common_phase(usual_phase(pasting.job, unit=one) for one in _units_of(pasting, read))
    if not answers.get("hours"):
        answers["hours"] = offered_hours(read, pasting.units, pasting.unit)
    if not answers.get("extent"):
        answers["extent"] = read.usual_extent
    form = _form(pasting, initial={**answers, "read_digest": read.digest})
    form.ask_what_the_text_cannot_say()
    form.fields["status"].required = True
    return _page(pasting, form, read)


def _units_of(pasting: Pasting, read: PasteRead) -> list[ControlUnit]:
    """The units whose codes the text has; the chosen one where it has none."""
    named = {one.unit_id for one in read.codes}
    return [one for one in pasting.units if one.pk in named] or [pasting.unit]


def _log(pasting: Pasting, read: PasteRead) -> HttpResponse:
    form = _form(pasting, pasting.data)
    form.ask_what_the_text_cannot_say()
    made = accepted(form, lambda: _log_scans(pasting, read, form.cleaned_data))
    if made is None:
        return _page(pasting, form, read, status=422)
    for scan in made:
        messages.success(pasting.request, logged_words(scan))
    return redirect("findings:job", number=pasting.job.number)


@together()
def _log_scans(pasting: Pasting, read: PasteRead, answers: dict[str, Any]) -> list[Scan]:
    """One scan for each unit in the text, all or none; each has an id of its own made from the form's."""
    unit = pasting.unit
    more = _more_codes(answers["more_codes"], answers["status"], unit)
    by_unit = codes_by_unit(read, more=more, unit_id=unit.pk, status=answers["status"])
    if not any(by_unit.values()) and not read.readout.no_codes_stated:
        raise Refused("No code was read, and the text does not say that there are none. Add the codes by hand below.")
    form_id = answers["entry_id"] or uuid.uuid4()

    def log(one: ControlUnit) -> Scan:
        entry_id = uuid.uuid5(form_id, f"unit {one.pk}")
        at = answers["happened_at"]
        ask_about_the_minute(one, by_unit[one.pk], at, entry_id)
        if by_unit[one.pk] and answers["phase"] == "arrival":
            ask_about_a_second_arrival(one, pasting.job, at, entry_id)
        return _log_scan(
            pasting,
            answers,
            unit=one,
            codes=by_unit[one.pk],
            not_understood=read.not_understood,
            entry_id=entry_id,
        )

    with all_at_once() as questions:
        if answers["extent"] == "all":
            _ask_whether_it_is_all(read, by_unit)
        return [scan for one in pasting.units if one.pk in by_unit for scan in questions.made(partial(log, one))]


def _ask_whether_it_is_all(read: PasteRead, by_unit: dict[int, list[CodeSeen]]) -> None:
    """A text that was not wholly understood, or not wholly taken, proves no code gone without being asked about."""
    listed = {(unit, seen.code) for unit, codes in by_unit.items() for seen in codes}
    still_open = Fault.objects.filter(unit_id__in=by_unit, is_open=True).exclude(system=CodeSystem.STATUS)
    kinds = {unit: {seen.code.system for seen in codes} for unit, codes in by_unit.items()}
    gone = [
        str(one)
        for one in still_open.order_by("pk")
        if (one.unit_id, one.as_code) not in listed and not lists_other_kinds_only(kinds[one.unit_id], one.as_code)
    ]
    doubt = extent_doubt(read, gone)
    ask_once(f"extent {read.digest}: {doubt}", doubt, field="extent", tick="the read-out was complete")


def _log_scan(
    pasting: Pasting,
    answers: dict[str, Any],
    *,
    unit: ControlUnit,
    codes: Sequence[CodeSeen],
    not_understood: int,
    entry_id: uuid.UUID,
) -> Scan:
    """The scan of one unit, with the hours of its engine; what is wrong with them is said by their field."""
    engine = unit.engine
    name = hours_field(engine) if engine is not None and engine != pasting.unit.engine else "hours"
    try:
        shown = shown_hours(answers[name])
        return log_scan(
            by=signed_in(pasting.request),
            unit=unit,
            phase=answers["phase"],
            is_complete=answers["extent"] == "all",
            codes=codes,
            job=pasting.job,
            engine_hours=true_hours(engine, shown, answers["happened_at"]),
            **instrument_of(answers),
            raw=answers["pasted"],
            source="paste",
            not_understood=not_understood,
            text=answers["text"],
            entry_id=entry_id,
            happened_at=answers["happened_at"],
        )
    except Refused as refusal:
        raise refusal.renamed({"hours": name}) from refusal


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
    form.ask_for_hours(hours_words_read(read, pasting.units, pasting.unit) if read else "")
    context = {
        "frame": job_frame(pasting.request.user, pasting.job, "findings:job"),
        "job": pasting.job,
        "form": form,
        "unit": pasting.unit,
        "units": unit_buttons(pasting.units, pasting.unit),
        "all_units": pasting.units,
        "read": read,
        "other_boats": other_boats_said(pasting.data.get("pasted", ""), pasting.job.vessel) if read else "",
        "lines": [line for line in lines[:MOST_LINES_SHOWN] if line.kind != "blank"],
        "lines_left_out": max(0, len(lines) - MOST_LINES_SHOWN),
        "statuses": list(CodeStatus),
    }
    return render(pasting.request, "findings/faults/paste.html", context, status=status)
