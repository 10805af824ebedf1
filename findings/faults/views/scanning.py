"""Logging a scan by touch: the list of codes grows in the form, on the server, with or without JavaScript."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.template.response import TemplateResponse
from django.utils import timezone

from commands.refusals import Refused
from engineering.codes import CodeStatus, CodeSystem, same_words
from engineering.plurals import plural
from findings.faults.actions import log_scan
from findings.faults.back_then import histories_before, words_before
from findings.faults.capture import Capture, change_list
from findings.faults.forms import ScanForm
from findings.faults.listed import ListedCode, code_key, codes_of, read_list, with_row_answers, write_list
from findings.faults.models import Scan
from findings.faults.of_the_job import unit_of
from findings.faults.phases import phase_on_another_unit, usual_phase
from findings.faults.queries import FaultSeen, faults_of_unit, now_of, unit_choices
from findings.faults.remarks import of_another_kind, of_row
from findings.faults.same_minute import ask_about_the_minute
from findings.faults.second_arrival import ask_about_a_second_arrival
from findings.faults.views.requests import choose_unit, no_unit, scan_to_correct, unit_buttons
from findings.faults.wording import as_listed
from findings.instruments.forms import instrument_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.log.afterwards import afterwards_of_entry
from vessels.models import ControlUnit
from vessels.shown_hours import hours_text, shown_hours, true_hours
from web.submission import accepted
from workorders.frames import job_frame, job_or_404
from workorders.models import Job

FEW = 8


@dataclass(frozen=True)
class Chip:
    """A code this unit had before, as a button that puts it on the list or takes it off."""

    seen: FaultSeen
    last_time: str
    key: str
    is_listed: bool
    has_returned: bool


@dataclass(frozen=True)
class Row:
    """One code on the list, with what is known of it."""

    index: int
    listed: ListedCode
    last_time: str
    returned: bool
    other_kind: str
    same: str
    remarks: Sequence[str]


@permission_required(Permission.LOG_FINDINGS)
def scan(request: HttpRequest, number: int) -> HttpResponse:
    """Put a scan together and log it."""
    job = job_or_404(number)
    units = unit_choices(job.vessel)
    if not units:
        return no_unit(request, job)
    if request.method == "POST":
        return _answer(request, job, units)
    wrong = scan_to_correct(job, request.GET.get("corrects", ""))
    if wrong is not None and afterwards_of_entry(wrong.entry).can_be_corrected:
        unit = unit_of(job, units, str(wrong.unit_id))
        if unit is None:
            return choose_unit(request, job, units, "Correct a scan")
        form = ScanForm(units_offered=units, initial=_answers_of(wrong))
        return _page(request, job, units, form, Capture(unit, codes_of(wrong), wrong=wrong))
    unit = unit_of(job, units, request.GET.get("unit", ""))
    if unit is None:
        return choose_unit(request, job, units, "Log a scan")
    form = ScanForm(units_offered=units, initial=_first_answers(job, unit, request.GET))
    return _page(request, job, units, form, Capture(unit, []))


def _answers_of(wrong: Scan) -> dict[str, Any]:
    """The answers of a scan that is about to be corrected, or logged again."""
    return {
        "unit": wrong.unit_id,
        "corrects": wrong.pk,
        "phase": wrong.phase,
        "extent": "all" if wrong.is_complete else "some",
        "hours": hours_text(wrong.unit.engine, wrong.entry.engine_hours, wrong.entry.happened_at),
        "registered": wrong.registered_id or "",
        "instrument": wrong.instrument,
        "text": wrong.entry.text,
        "happened_at": timezone.localtime(wrong.entry.happened_at).strftime("%Y-%m-%dT%H:%M"),
    }


def _first_answers(job: Job, unit: ControlUnit, asked: QueryDict) -> dict[str, Any]:
    return {
        "unit": unit.pk,
        "phase": usual_phase(job, unit=unit, wanted=asked.get("phase", "")),
    }


def _answer(request: HttpRequest, job: Job, units: Sequence[ControlUnit]) -> HttpResponse:
    """Do what the button says: change the list, or log it."""
    data = request.POST
    unit = unit_of(job, units, data.get("switch", data.get("unit", "")))
    if unit is None:
        return choose_unit(request, job, units, "Log a scan")
    wrong = scan_to_correct(job, data.get("corrects", ""))
    capture = Capture(
        unit,
        [],
        wrong=wrong,
        typed={name: data.get(name, "") for name in ("code", "status", "count", "system")},
    )
    try:
        capture.listed, problem = with_row_answers(read_list(data.get("listed", "")), data)
        if problem:
            raise Refused(problem)
        wants_to_log = data.get("do") in {"log", "none"}
        if data.get("do") == "none":
            _refuse_none_beside_some(capture)
        change_list(capture, data, keep_typed=not wants_to_log)
    except Refused as refusal:
        capture.code_problem = refusal.fields.get("code") or " ".join([refusal.sentence, *refusal.fields.values()])
        capture.focus = "code"
        wants_to_log = False
        return _page(request, job, units, _form_as_typed(job, units, data, capture), capture, status=422)
    if wants_to_log:
        return _log(request, job, units, capture)
    return _page(request, job, units, _form_as_typed(job, units, data, capture), capture)


def _refuse_none_beside_some(capture: Capture) -> None:
    """“No codes found” does not swallow a code that is typed or listed."""
    if capture.typed["code"].strip():
        hint = "This code is not on the list yet. Add it, or empty the field."
        raise Refused("A code is typed.", fields={"code": hint})
    if capture.listed:
        raise Refused("Codes are on the list.", fields={"code": "Remove the codes from the list first, or log them."})


def _form_as_typed(job: Job, units: Sequence[ControlUnit], data: QueryDict, capture: Capture) -> ScanForm:
    """The form with everything as it was typed, not yet judged."""
    answers = {name: data.get(name) for name in ScanForm.base_fields if name in data}
    answers["unit"] = str(capture.unit.pk)
    if "switch" in data:
        answers["hours"] = ""
        if capture.wrong is None:  # a correction is of the same moment, whichever unit it was
            before = next((one for one in units if str(one.pk) == data.get("unit")), None)
            answers["phase"] = phase_on_another_unit(job, data.get("phase", ""), before=before, now=capture.unit)
    return ScanForm(units_offered=units, initial=answers)


def _log(request: HttpRequest, job: Job, units: Sequence[ControlUnit], capture: Capture) -> HttpResponse:
    """Log the scan; what is wrong comes back beside its field with the list as it was."""
    form = ScanForm(request.POST, units_offered=units)
    made = accepted(form, lambda: _log_scan(request, job, capture, form))
    if made is None:
        return _page(request, job, units, form, capture, status=422)
    messages.success(request, logged_words(made))
    return redirect("findings:job", number=job.number)


def _log_scan(request: HttpRequest, job: Job, capture: Capture, form: ScanForm) -> Scan:
    answers = form.cleaned_data
    _ask_before_none(capture, form)
    _ask_about_zero(capture, form)
    codes, at = [one.as_seen for one in capture.listed], _moment(capture, answers["happened_at"])
    if capture.wrong is None:
        ask_about_the_minute(capture.unit, codes, at, answers["entry_id"])
        if codes and answers["phase"] == "arrival":
            ask_about_a_second_arrival(capture.unit, job, at, answers["entry_id"])
    return log_scan(
        by=signed_in(request),
        unit=capture.unit,
        phase=answers["phase"],
        is_complete=answers["extent"] == "all",
        codes=codes,
        job=job,
        engine_hours=true_hours(capture.unit.engine, shown_hours(answers["hours"]), answers["happened_at"]),
        **instrument_of(answers),
        **capture.read_out,
        text=answers["text"],
        entry_id=answers["entry_id"],
        happened_at=at,
        amends=capture.corrected,
    )


def _moment(capture: Capture, typed: datetime | None) -> datetime | None:
    """Date and time; a correction keeps the very moment of what it corrects, which the field shows to the minute."""
    before = capture.corrected.happened_at if capture.corrected else None
    if before is not None and (typed is None or typed == before.replace(second=0, microsecond=0)):
        return before
    return typed


def _ask_before_none(capture: Capture, form: ScanForm) -> None:
    """An empty list ends every open fault of the unit with no clear on record: one touch must not do that unasked."""
    answers = form.cleaned_data
    if capture.listed or answers["extent"] != "all" or answers["really_none"]:
        return
    known = [one.fault for one in faults_of_unit(capture.unit)]
    open_now = [one.label for one in known if one.is_open and one.system != CodeSystem.STATUS]
    if not open_now:
        return
    form.fields["really_none"].widget = forms.CheckboxInput()
    names = ", ".join(open_now[:3]) + (f" and {len(open_now) - 3} more" if len(open_now) > 3 else "")
    are = "is" if len(open_now) == 1 else "are"
    raise Refused(
        f"{names} {are} still open.",
        fields={
            "really_none": f"Without a code, this scan says that {names} {are} gone with no clear on record. "
            "If the unit lists none, select this and log again. If codes were cleared, log the clear first."
        },
    )


def _ask_about_zero(capture: Capture, form: ScanForm) -> None:
    """A code that is there now was there at least once. Some units do say so all the same, so it is only asked."""
    names = list(dict.fromkeys(one.label for one in capture.listed if one.is_active_at_zero))
    if not names or form.cleaned_data["really_zero"]:
        return
    form.fields["really_zero"].widget = forms.CheckboxInput()
    said = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
    are, counts = ("is", "its count is") if len(names) == 1 else ("are", "their counts are")
    raise Refused(
        f"{said} {are} active, and {counts} 0.",
        fields={
            "really_zero": f"{said} {are} active, and {counts} 0. Correct the status or the count, or leave the count "
            "empty. If the unit gives it so, select this and log again."
        },
    )


def logged_words(made: Scan) -> str:
    """What was logged, and at once what came back."""
    sightings = list(made.sightings.select_related("fault"))
    count = len({row.fault_id for row in sightings})
    if not count:
        return f"Scan of {made.unit} logged: no codes."
    words = f"{count} {plural(count, 'code')} of {made.unit} logged."
    faults = {row.fault.pk: FaultSeen(row.fault) for row in sightings}
    for seen in (one for one in faults.values() if one.is_back):
        words += f" {seen.fault.label}: {seen.sentence}"
    return words


def _page(
    request: HttpRequest,
    job: Job,
    units: Sequence[ControlUnit],
    form: ScanForm,
    capture: Capture,
    *,
    status: int = 200,
) -> HttpResponse:
    """The page, or for htmx the inside of its form."""
    form.ask_hours(capture.unit.engine)
    context = {
        "job": job,
        "form": form,
        "capture": capture,
        "corrected": capture.corrected,
        "units": unit_buttons(units, capture.unit),
        "listed": write_list(capture.listed),
        "statuses": list(CodeStatus),
        "systems": form.fields["system"].choices,  # type: ignore[attr-defined]
        **_known(capture, _moment_typed(form)),
    }
    if request.headers.get("HX-Request"):
        return TemplateResponse(request, "findings/faults/scan.html#capture", context, status=status)
    context["frame"] = job_frame(request.user, job, "findings:job")
    return TemplateResponse(request, "findings/faults/scan.html", context, status=status)


def _moment_typed(form: ScanForm) -> datetime | None:
    """The time in the form, while it is put together; None where it is empty, no time yet, or still to come."""
    try:
        moment: datetime | None = form.fields["happened_at"].to_python(form["happened_at"].value())
    except forms.ValidationError:
        return None
    return moment if moment is None or moment <= timezone.now() else None


def _known(capture: Capture, typed: datetime | None) -> dict[str, Any]:
    """What this unit's codes were before the scan: for the buttons and for the rows."""
    faults = {seen.fault.as_code: seen for seen in faults_of_unit(capture.unit)}
    at = _moment(capture, typed)
    if at is None:
        now = now_of(capture.unit)
        words = {code: seen.last_time(now) for code, seen in faults.items()}
        histories = {code: seen.history for code, seen in faults.items()}
    else:
        wrong = capture.corrected
        hours = wrong.engine_hours if wrong is not None and wrong.happened_at == at else None
        histories = histories_before(capture.unit, faults, at, instead_of=wrong)
        words = {code: words_before(history, at, hours) for code, history in histories.items()}
    on_list = {one.code for one in capture.listed}
    chips = [
        Chip(
            seen,
            as_listed(words[code]) if code in on_list else words[code],
            code_key(code),
            code in on_list,
            histories[code].returns > 0,
        )
        for code, seen in faults.items()
    ]
    rows = [
        Row(
            index,
            one,
            as_listed(words.get(one.code, "")),
            bool(words.get(one.code)) and not histories[one.code].is_open,
            "" if one.code in faults else of_another_kind(one.code, capture.unit),
            same_words(one.code, faults),
            of_row(capture.listed, index),
        )
        for index, one in enumerate(capture.listed)
    ]
    return {"chips": chips[:FEW], "more_chips": chips[FEW:], "rows": rows, "of_then": at is not None}
