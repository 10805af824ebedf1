"""The pages of the sheet: filling it in, changing its rows and columns, judging a value while it is typed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any
from uuid import uuid5

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from commands.questions import nobody_to_ask
from commands.refusals import Refused
from engineering.plurals import counted
from findings.readings import queries
from findings.readings.actions.saving import NewRow, save_sheet, save_sheet_version
from findings.readings.carrying import carried, put_under, without_condition
from findings.readings.cells import ON_OFF_UNIT, CellForm, Line, cell_name
from findings.readings.changing import (
    Change,
    is_judged_under_conditions_only,
    put_in,
    row_for,
    take_file,
    without_condition_words,
)
from findings.readings.finding import found_of, wanted_of
from findings.readings.forms import Choice
from findings.readings.layout import NO_ENGINE, USUAL_CONDITIONS, Column, Layout, asked_layout, one_condition
from findings.readings.models import Parameter, Reading, SpecLimit
from findings.readings.recording import log_sheet, show_in_sheet
from findings.readings.revising import limit_words, what_for
from findings.readings.saved import offered_sheets, version_by_key
from findings.readings.sheet import SWITCH, Sheet, asked_sheet, is_filled_in, redrawn_sheet
from findings.readings.typed import said_of
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Engine
from web.texts import odd_signs
from web.typed import sent_id, whole_number
from workorders.frames import job_frame, job_or_404
from workorders.models import Job
from workorders.queries.about import engine_of

NEW_CONDITION, SHEET_NAME = "new-condition", "sheet-name"
SAVING = {"save-sheet", "save-version"}


@permission_required(Permission.LOG_FINDINGS)
def job_readings(request: HttpRequest, number: int) -> HttpResponse:
    """Log readings of a job's engines, or of the boat itself."""
    job = job_or_404(number)
    layout = _layout(request, job)
    unread = take_file(request) if request.method == "POST" else ""
    change = _change(request, layout) if request.method == "POST" else None
    if request.method == "POST" and SAVING & set(request.POST):
        change = _save(request, job, layout)
    elif request.method == "POST" and {"paste-in", "forget-name"} & set(request.POST):
        change = put_in(request, layout)
    if change and unread:
        change.said = f"{change.said} {unread}".strip()
    sheet = (
        redrawn_sheet(request, job, layout, change.layout, change.typed)
        if change
        else asked_sheet(request, job, layout)
    )
    for cell in sheet.cells:
        if change and cell.prefix == change.focus:
            cell.fields["value"].widget.attrs["data-focus"] = ""
    is_open = layout.engine is None and not layout.is_boat and bool(layout.engines)
    if is_open and not change:
        sheet.common.ask_engine([(str(one.pk), str(one)) for one in layout.engines])
    if request.method != "POST" or change:
        return _page(request, job, sheet, change, is_open=is_open and not change, status=200)
    if unread:
        sheet.common.add_error(None, unread)
    return _logged(request, job, sheet) or _page(request, job, sheet, change, is_open=is_open, status=422)


def _logged(request: HttpRequest, job: Job, sheet: Sheet) -> HttpResponse | None:
    """Where to go once the sheet is logged, with what is said of it; None where it says itself why it is not."""
    if not sheet.is_valid():
        return None
    try:
        logged = log_sheet(signed_in(request), job, sheet)
    except Refused as refusal:
        show_in_sheet(refusal, sheet)
        return None
    messages.success(request, logged_words(logged))
    for changed in other_limits(sheet, logged):
        messages.warning(request, changed)
    for question in dict.fromkeys(filter(None, map(queries.instrument_remark, logged))):
        messages.warning(request, f"{question} Correct the reading if so.")
    return redirect("findings:job", number=job.number)


def _layout(request: HttpRequest, job: Job) -> Layout:
    """The layout that the address asks for, of the engine that it, the form or the job names."""
    engines = list(job.vessel.engines.filter(removed_on=None).select_related("family"))
    wanted = request.GET.get("engine") or ("" if request.POST.get(SWITCH) else request.POST.get("engine", ""))
    engine = _engine(wanted, engines) or (None if wanted else engine_of(job, engines))
    is_boat, version = wanted == NO_ENGINE or not engines, version_by_key(request.GET.get("sheet", ""))
    return asked_layout(request.GET, engine, is_boat=is_boat, engines=engines, version=version)


def _engine(key: str, engines: list[Engine]) -> Engine | None:
    engine = next((one for one in engines if str(one.pk) == key), None)
    if key and engine is None and key != NO_ENGINE:
        raise Http404("this engine is not on this boat")
    return engine


def _change(request: HttpRequest, layout: Layout) -> Change | None:
    """What a button of the sheet asks for; None where the sheet itself is sent."""
    asked, typed = request.POST, request.POST.copy()
    return _change_of_columns(asked, layout, typed) or _change_of_rows(asked, layout, typed)


def _change_of_columns(asked: QueryDict, layout: Layout, typed: QueryDict) -> Change | None:
    """Another engine, one more beside it, or a condition."""
    if key := asked.get(SWITCH, ""):
        engine = _engine(key, list(layout.engines))
        return Change(replace(layout, engine=engine, is_boat=engine is None, beside=()), typed)
    if key := asked.get("beside", ""):
        beside = _engine(key, list(layout.engines))
        return Change(layout, typed) if beside is None else _without_loss(layout, layout.toggled(beside), typed)
    if key := asked.get("use-sheet", ""):
        return _without_loss(layout, layout.on_sheet(version_by_key(key)), typed)
    return _change_of_conditions(asked, layout, typed)


def _change_of_conditions(asked: QueryDict, layout: Layout, typed: QueryDict) -> Change | None:
    """One more condition or one less. What stands there without one goes under it where the person says so."""
    if text := asked.get("drop-condition", ""):
        return _without_loss(layout, layout.without_condition(text), typed)
    added = next((name for name in ("under-typed", "under", "add-condition") if name in asked), "")
    if not added:
        return None
    text = asked.get("under-typed") or asked.get("under") or asked.get(NEW_CONDITION, "")
    focus = NEW_CONDITION if added == "add-condition" else ""
    if said := odd_signs(text):
        return Change(layout, typed, focus=NEW_CONDITION, said=said)
    more = layout.with_condition(text)
    if added == "under-typed" and more != layout:
        return _without_loss(layout, more, put_under(layout, more, typed, one_condition(text)))
    if more != layout and not layout.conditions and without_condition(layout, typed):
        first = more.conditions[0]
        said = f"Some values have no condition yet. Were they read under “{first}”? Else log them first, or empty them."
        return Change(layout, typed, said=said, focus=focus, offered=first)
    return _without_loss(layout, more, typed, focus=focus)


def _change_of_rows(asked: QueryDict, layout: Layout, typed: QueryDict) -> Change | None:
    """One more row, by its key or by the words that were typed to find it."""
    text = asked.get("find", "")
    if key := asked.get("add-line", ""):
        known = list(Parameter.objects.filter(pk=whole_number(key) or 0))
        return _with_line(layout, typed, known, wanted_of(text).value, text)
    if "take" in asked or ("enter" in asked and text.strip()):
        return _with_line(layout, typed, *found_of(text), text)
    return None


def _with_line(layout: Layout, typed: QueryDict, found: list[Parameter], value: str, text: str) -> Change:
    """A row for the first that was found, with the value that was typed behind its name."""
    if not found:
        said = f"Nothing here is called “{text.strip()[:60]}”. Give it its name and unit under “Something new”."
        return Change(layout, typed, focus="find", said=said if text.strip() else "", find=text)
    parameter = found[0]
    layout, row = row_for(layout, parameter, has_value=bool(value))
    cell = cell_name(row, layout.columns[0])
    if not value or typed.get(f"{cell}-value", "").strip():
        return Change(layout, typed, focus=cell, said=f"{parameter.name}: enter its value.")
    typed[f"{cell}-value"] = value
    said = f"{parameter.name}: {value}"
    if is_judged_under_conditions_only(parameter, layout.columns[0]):
        said = f"{said}. {without_condition_words([parameter])}"
    return Change(layout, typed, focus="find", said=said)


def _save(request: HttpRequest, job: Job, layout: Layout) -> Change:
    """The rows of the sheet saved under a name, or as the next version of the sheet that they are of."""
    typed = request.POST.copy()
    family = layout.engine.family if layout.engine else None
    if family is None:
        return Change(layout, typed, said="A sheet is saved for an engine family, and none is set here.")
    version = layout.version if "save-version" in request.POST else None
    name = version.sheet.name if version else request.POST.get(SHEET_NAME, "")
    if version is None and (said := odd_signs(name)):
        return Change(layout, typed, focus=SHEET_NAME, said=said)
    rows = _rows_to_save(request, job, layout)
    sent = sent_id(request)
    shared: dict[str, Any] = {
        "by": signed_in(request),
        "name": name,
        "rows": rows,
        "conditions": layout.conditions,
        "entry_id": uuid5(sent, f"sheet {name} {layout.query}") if sent else None,
    }
    try:
        if version is not None:
            saved = save_sheet_version(sheet=version.sheet, seen_number=version.number, **shared)
        else:
            saved = save_sheet(family=family, **shared)
    except Refused as refusal:
        return Change(layout, typed, focus=SHEET_NAME, said=refusal.sentence)
    typed[SHEET_NAME] = ""
    newest = saved.versions.values_list("pk", flat=True)[0]
    who = "everybody" if saved.is_shared else f"{saved.made_by} until a manager shares it"
    said = f"“{saved}” is saved for {saved.family}. It is offered to {who}."
    if version is not None and newest == version.pk:
        said = f"“{saved}” has these rows already: it stays at version {version.number}."
    return Change(replace(layout, version=version_by_key(str(newest)), lines=()), typed, said=said)


def _rows_to_save(request: HttpRequest, job: Job, layout: Layout) -> list[NewRow]:
    """The parameters of the sheet in their order, each once, in the units that stand there."""
    units: dict[Parameter, str] = {}
    for row in redrawn_sheet(request, job, layout, layout, request.POST).rows:
        parameter = row.line.parameter
        chosen = ON_OFF_UNIT if row.is_switch else str(row.unit["unit"].value() or row.line.unit)
        units.setdefault(parameter, chosen)
    return [NewRow(parameter, unit) for parameter, unit in units.items()]


def _without_loss(layout: Layout, smaller: Layout, typed: QueryDict, *, focus: str = "") -> Change:
    """The smaller layout, unless something was typed in a column that it does not have."""
    typed = carried(layout, smaller, typed)
    kept = {column.key for column in smaller.columns}
    full = [one.label for one in layout.columns if one.key not in kept and is_filled_in(typed, one)]
    if full:
        where = f"under “{full[0]}”" if full[0] else "without a condition"
        said = f"Something is filled in {where}. Log it or empty it first, so that nothing is lost."
        return Change(layout, typed, said=said)
    return Change(smaller, typed, focus=focus)


def _page(
    request: HttpRequest, job: Job, sheet: Sheet, change: Change | None, *, is_open: bool, status: int
) -> HttpResponse:
    layout = sheet.layout
    address = f"{request.path}?{layout.query}" if layout.query else request.path
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "engine": layout.engine,
        "layout": layout,
        "is_open": is_open,
        "address": address,
        "find_at": f"{reverse('findings:find_parameter', args=[job.number])}?{layout.query}",
        "is_carried": change is not None,
        "change": change,
        "engines": _engine_choices(request.path, layout),
        "besides": [Choice(str(one.pk), layout.place(one), "", one in layout.beside) for one in layout.engines
                    if layout.engine and one != layout.engine],
        "usual_conditions": [one for one in USUAL_CONDITIONS if one not in layout.conditions],
        "columns": layout.columns,
        **_offered(request, layout),
        "paste_text": change.typed.get("paste", "") if change else request.POST.get("paste", ""),
        "paste_column": whole_number(request.POST.get("paste-column", "")) or 0,
        "pasted": change.pasted if change else None,
        "new_condition": change.typed.get(NEW_CONDITION, "") if change and change.focus == NEW_CONDITION else "",
        "sheet_name": change.typed.get(SHEET_NAME, "") if change else request.POST.get(SHEET_NAME, ""),
        "sheet": sheet,
    }  # fmt: skip
    answer = render(request, "findings/readings/sheet.html", context, status=status)
    if change is not None and request.headers.get("HX-Request"):
        answer["HX-Replace-Url"] = address
    return answer


def _offered(request: HttpRequest, layout: Layout) -> dict[str, object]:
    """The saved sheets of the engine's family, and whether the one that is used gets its next version here."""
    family = layout.engine.family if layout.engine else None
    offered = offered_sheets(request.user, family) if family else []
    used = layout.version
    newest = next((one for one in offered if used and one.sheet.pk == used.sheet_id), None)
    return {
        "family": family,
        "offered": offered,
        "may_save_version": newest is not None and newest.may_change,
        "is_older": newest is not None and used is not None and newest.version.pk != used.pk,
    }


def _engine_choices(path: str, layout: Layout) -> list[Choice]:
    """Every engine, and the boat itself."""
    places = [one.get_position_display() for one in layout.engines]
    is_plain = len(set(places)) == len(places)
    found = [
        Choice(str(one.pk), place if is_plain else str(one), f"{path}?engine={one.pk}", one == layout.engine)
        for one, place in zip(layout.engines, places, strict=True)
    ]
    boat = Choice(NO_ENGINE, "The boat", f"{path}?engine={NO_ENGINE}", layout.is_boat)
    return [*found, boat] if layout.engines else []


_TOLD_AT_ONCE = 3
_WORST_FIRST = ["out", "near", "in range", "no limits"]


def logged_words(logged: list[Reading]) -> str:
    """What was logged with its verdict, the worst first: it stands on top of the page, whatever is below the fold."""
    worst_first = sorted(logged, key=lambda one: _WORST_FIRST.index(one.verdict))
    said = [f"{one.parameter.name}: {queries.reading_row(one).sentence}." for one in worst_first[:_TOLD_AT_ONCE]]
    more = len(logged) - len(said)
    rest = [f"{more} more below."] if more else []
    return " ".join([f"{counted(len(logged), 'reading')} logged.", *said, *rest])


def other_limits(sheet: Sheet, logged: list[Reading]) -> list[str]:
    """What was judged by other limits than those that its row is of, a sentence each."""
    said = []
    filled = [cell for cell in sheet.cells if cell.was_filled]
    for cell, reading in zip(filled, logged, strict=False):
        shown = cell.line.limit
        if shown is None or not cell.line.is_foreign or reading.judged_by_id == shown.pk:
            continue
        what = what_for(reading.parameter, reading.condition)
        now = f"It was judged by {limit_words(reading.judged_by)}." if reading.judged_by else "Nothing judged it."
        said.append(f"{what}: the limits of its row ({limit_words(shown)}) do not judge it now. {now}")
    return said


@permission_required(Permission.LOG_FINDINGS)
def find(request: HttpRequest, number: int) -> HttpResponse:
    """The parameters that a few typed letters may mean: a fragment of buttons that each add a row."""
    job = job_or_404(number)
    layout = _layout(request, job)
    text = request.GET.get("find", "")
    found, value = found_of(text)
    at = f"{reverse('findings:job_readings', args=[job.number])}?{layout.query}"
    context = {"found": found, "value": value, "address": at, "is_asked": bool(text.strip())}
    return render(request, "findings/readings/found.html", context)


def _of_now(limit: SpecLimit, engine_key: str, under: str) -> tuple[SpecLimit | None, str]:
    """The limit that judges what a sheet shows a limit for, as the log will do, and what to say where it is another."""
    key = whole_number(engine_key)
    engine = Engine.objects.select_related("family").filter(pk=key).first() if key is not None else None
    if engine is None:
        return (limit, "") if limit.ended_at is None else (None, "")
    here = queries.limits_of(engine)
    if any(one.pk == limit.pk for one in here):
        return limit, ""
    of_now = queries.match_of(here, limit.parameter, under or limit.condition)
    return of_now, f"{_CHANGED} {limit_words(of_now)}." if of_now else _NO_LONGER


_CHANGED = "Since this sheet was opened other limits judge it:"
_NO_LONGER = "What judged it when this sheet was opened does so no longer, and nothing else does."


@permission_required(Permission.SEE_RECORDS)
def judged(request: HttpRequest, pk: int) -> HttpResponse:
    """What a limit says of a value while it is typed: a fragment with the sentence and the range strip."""
    shown = get_object_or_404(SpecLimit.objects.select_related("card", "parameter"), pk=pk)
    prefix = request.GET.get("cell", "") or f"limit-{shown.pk}"
    parts = prefix.split("-")
    row, key = "-".join(parts[:2]), "-".join(parts[2:])
    under = request.GET.get("under", "")
    limit, said_first = _of_now(shown, request.GET.get("engine", ""), under)
    if limit is None:
        return render(request, "findings/readings/judged.html", {"problem": "", "changed": said_first})
    line = Line(row, limit.parameter, limit.unit, limit=limit)
    column = Column(None, under, key, "", is_first_of_engine=True)
    unit = request.GET.get(f"{row}-unit", "")
    with nobody_to_ask():
        known = {key for key, _ in CellForm.units_of(line)}
        cell = CellForm(request.GET, line=line, column=column, limit=limit, unit=unit if unit in known else limit.unit)
        is_right = cell.is_valid()
        said = said_of(cell) if is_right else None
    context = {
        "said": said,
        "is_words": bool(request.GET.get("words")),
        "changed": said_first if said else "",
        "problem": " ".join(str(one) for several in cell.errors.values() for one in several),
    }
    return render(request, "findings/readings/judged.html", context)
