"""Logging a scan by touch: the list of codes grows in the form, on the server, with or without JavaScript."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.template.response import TemplateResponse

from engineering.codes import CodeStatus, CodeSystem
from findings.faults.actions import log_scan
from findings.faults.capture import (
    ListedCode,
    add_to_list,
    code_key,
    code_of_key,
    codes_typed,
    read_count,
    read_list,
    with_row_answers,
    write_list,
)
from findings.faults.forms import ScanForm
from findings.faults.hours import hours_on_job, shown_for, shown_hours, true_hours
from findings.faults.queries import FaultSeen, faults_of_unit, now_of, unit_choices
from findings.faults.views.requests import (
    first_unit,
    job_of,
    no_unit,
    person_of,
    show_refusal,
    unit_buttons,
    usual_phase,
)
from findings.models import Scan
from staff.policy import Permission, permission_required
from staff.refusals import Refused
from vessels.models import ControlUnit
from workorders.frames import job_frame
from workorders.models import Job

FEW = 8


@dataclass(frozen=True)
class Chip:
    """A code this unit had before, as a button that puts it on the list or takes it off."""

    seen: FaultSeen
    last_time: str
    key: str
    is_listed: bool


@dataclass(frozen=True)
class Row:
    """One code on the list, with what is known of it."""

    index: int
    listed: ListedCode
    last_time: str
    returned: bool


@dataclass
class Capture:
    """A scan being put together."""

    unit: ControlUnit
    listed: list[ListedCode]
    typed: dict[str, str] = field(default_factory=dict)
    code_problem: str = ""
    focus: str = ""
    said: str = ""


@permission_required(Permission.LOG_FINDINGS)
def scan(request: HttpRequest, number: int) -> HttpResponse:
    """Put a scan together and log it."""
    job = job_of(number)
    units = unit_choices(job.vessel)
    if not units:
        return no_unit(request, job)
    if request.method != "POST":
        unit = first_unit(job, units, request.GET.get("unit", ""))
        form = ScanForm(units_offered=units, initial=_first_answers(job, unit, request.GET))
        return _page(request, job, units, form, Capture(unit, []))
    return _answer(request, job, units)


def _first_answers(job: Job, unit: ControlUnit, asked: QueryDict) -> dict[str, Any]:
    return {
        "unit": unit.pk,
        "phase": usual_phase(job, unit, asked.get("phase", "")),
        "hours": _usual_hours(job, unit),
    }


def _usual_hours(job: Job, unit: ControlUnit) -> str:
    """What the meter showed when hours were last written down on this job."""
    shown = shown_for(unit.engine, hours_on_job(job, unit.engine))
    return "" if shown is None else f"{shown:f}"


def _answer(request: HttpRequest, job: Job, units: Sequence[ControlUnit]) -> HttpResponse:
    """Do what the button says: change the list, or log it."""
    data = request.POST
    unit = first_unit(job, units, data.get("switch", data.get("unit", "")))
    capture = Capture(unit, [], typed={name: data.get(name, "") for name in ("code", "status", "count", "system")})
    try:
        capture.listed, problem = with_row_answers(read_list(data.get("listed", "")), data)
        if problem:
            raise Refused(problem)
        wants_to_log = data.get("do") == "log"
        _change_list(capture, data, keep_typed=not wants_to_log)
    except Refused as refusal:
        capture.code_problem = refusal.fields.get("code") or " ".join([refusal.sentence, *refusal.fields.values()])
        capture.focus = "code"
        wants_to_log = False
        return _page(request, job, units, _form_as_typed(job, units, data, capture), capture, status=422)
    if wants_to_log:
        return _log(request, job, units, capture)
    return _page(request, job, units, _form_as_typed(job, units, data, capture), capture)


def _change_list(capture: Capture, data: QueryDict, *, keep_typed: bool) -> None:
    """Apply the button that was touched to the list."""
    if "switch" in data:
        capture.focus, capture.said = "unit", f"Now the codes of {capture.unit}."
    elif "take" in data:
        code = code_of_key(data.get("take", ""))
        taken = ListedCode(code, CodeStatus.ACTIVE)
        capture.listed = add_to_list(capture.listed, [taken])
        capture.focus, capture.said = "list", f"{taken.label} added as active."
    elif "drop" in data:
        code = code_of_key(data.get("drop", ""))
        capture.listed = [one for one in capture.listed if one.code != code]
        capture.focus, capture.said = "list", f"{code} taken off the list."
    elif "remove" in data:
        for index, one in enumerate(capture.listed):
            if str(index) == data.get("remove"):
                capture.listed.remove(one)
                capture.said = f"{one.label} taken off the list."
                break
        capture.focus = "list"
    elif data.get("do") == "add" or (data.get("do") == "log" and capture.typed["code"].strip()):
        _add_typed(capture)
        capture.focus = "code" if keep_typed else ""


def _add_typed(capture: Capture) -> None:
    typed = capture.typed
    if not typed["code"].strip():
        raise Refused("Write the code first.", fields={"code": "Write a code first, such as 110-0 or P0217."})
    system = CodeSystem(typed["system"]) if typed["system"] in set(CodeSystem) else None
    status = CodeStatus(typed["status"]) if typed["status"] in set(CodeStatus) else CodeStatus.ACTIVE
    new = codes_typed(
        typed["code"],
        status=status,
        count=read_count(typed["count"]),
        system=system,
        preferred=CodeSystem(capture.unit.code_system),
    )
    capture.listed = add_to_list(capture.listed, new)
    capture.said = ", ".join(f"{one.label} {one.status}" for one in new) + " added."
    typed["code"], typed["count"], typed["system"] = "", "", ""


def _form_as_typed(job: Job, units: Sequence[ControlUnit], data: QueryDict, capture: Capture) -> ScanForm:
    """The form with everything as it was typed, not yet judged."""
    answers = {name: data.get(name) for name in ScanForm.base_fields if name in data}
    answers["unit"] = str(capture.unit.pk)
    if "switch" in data:
        answers["hours"] = _usual_hours(job, capture.unit)
        answers["phase"] = usual_phase(job, capture.unit, "")
    return ScanForm(units_offered=units, initial=answers)


def _log(request: HttpRequest, job: Job, units: Sequence[ControlUnit], capture: Capture) -> HttpResponse:
    """Log the scan; what is wrong comes back beside its field with the list as it was."""
    form = ScanForm(request.POST, units_offered=units)
    if form.is_valid():
        answers = form.cleaned_data
        try:
            made = log_scan(
                by=person_of(request),
                unit=capture.unit,
                phase=answers["phase"],
                is_complete=answers["extent"] == "all",
                codes=[one.as_seen for one in capture.listed],
                job=job,
                engine_hours=true_hours(capture.unit.engine, shown_hours(answers["hours"]), answers["happened_at"]),
                instrument=answers["instrument"],
                text=answers["text"],
                entry_id=answers["entry_id"],
                happened_at=answers["happened_at"],
            )
        except Refused as refusal:
            show_refusal(form, refusal)
        else:
            messages.success(request, logged_words(made))
            return redirect("findings:job", number=job.number)
    return _page(request, job, units, form, capture, status=422)


def logged_words(made: Scan) -> str:
    """What was logged, and at once what came back."""
    sightings = list(made.sightings.select_related("fault"))
    count = len({row.fault_id for row in sightings})
    if not count:
        return f"Scan of {made.unit} logged: no codes."
    words = f"{count} code{'' if count == 1 else 's'} of {made.unit} logged."
    back = {row.fault.pk: FaultSeen(row.fault) for row in sightings if row.fault.state == "returned"}
    for seen in back.values():
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
    context = {
        "job": job,
        "form": form,
        "capture": capture,
        "units": unit_buttons(units, capture.unit),
        "listed": write_list(capture.listed),
        "statuses": list(CodeStatus),
        "systems": form.fields["system"].choices,  # type: ignore[attr-defined]
        **_known(capture),
    }
    if request.headers.get("HX-Request"):
        return TemplateResponse(request, "findings/scan.html#capture", context, status=status)
    context["frame"] = job_frame(request.user, job, "findings:job")
    return TemplateResponse(request, "findings/scan.html", context, status=status)


def _known(capture: Capture) -> dict[str, Any]:
    """What this unit's codes were before: for the buttons and for the rows."""
    faults = {seen.fault.as_code: seen for seen in faults_of_unit(capture.unit)}
    now = now_of(capture.unit)
    words = {code: seen.last_time(now) for code, seen in faults.items()}
    on_list = {one.code for one in capture.listed}
    chips = [Chip(seen, words[code], code_key(code), code in on_list) for code, seen in faults.items()]
    rows = [
        Row(
            index,
            one,
            words.get(one.code, ""),
            one.code in faults and not faults[one.code].fault.is_open,
        )
        for index, one in enumerate(capture.listed)
    ]
    return {"chips": chips[:FEW], "more_chips": chips[FEW:], "rows": rows}
