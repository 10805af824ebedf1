"""The Bench of a job: all tools, and one tool with its result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from engineering.units import System
from findings.bench.actions import log_result
from findings.bench.answer import Answer, work_out
from findings.bench.catalog import all_tools, grouped_tools
from findings.bench.context import ToolContext
from findings.bench.forms import BenchForm, LogForm
from findings.bench.texts import Texts, as_texts, prefilled, with_units_apart
from findings.bench.tool import Tool
from findings.cautions import MANUAL_FIRST
from findings.faults.phases import usual_phase
from findings.instruments.forms import instrument_of
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from vessels.models import Engine
from vessels.shown_hours import shown_hours, true_hours
from web.submission import accepted
from web.typed import whole_number
from workorders.frames import job_frame, job_or_404
from workorders.models import Job
from workorders.queries.about import engine_of

ENGINE, WORK, MORE, EXAMPLE, PRESET = "for-engine", "work-out", "more-rows", "fill-example", "fill-preset"
SWITCH = "switch-engine"
_ASKED = {ENGINE, WORK, MORE, EXAMPLE, PRESET, SWITCH}
"""What the page itself says in an address. The hyphens keep them apart from the names of a tool's fields."""
NO_ENGINE = "0"
WHICH_ENGINE = "Choose above which engine this is of, or the boat, before you log it. Nothing is logged yet."


@dataclass(frozen=True)
class EngineChoice:
    """One engine, or the boat itself, to work on."""

    label: str
    key: str
    current: bool


@permission_required(Permission.SEE_RECORDS)
def bench(request: HttpRequest, number: int) -> HttpResponse:
    """Every tool under its subject, or those that fit the words typed."""
    job = job_or_404(number)
    engine = request.GET.get(ENGINE, "")
    text = request.GET.get("q", "").strip()[:80]
    context = {
        "frame": job_frame(request.user, job, "findings:bench"),
        "job": job,
        "groups": grouped_tools(text),
        "text": text,
        "engine": "" if whole_number(engine) is None else engine,
        "may_log": may(request.user, Permission.LOG_FINDINGS),
    }
    return render(request, "findings/bench/bench.html", context)


@permission_required(Permission.SEE_RECORDS, to_post=Permission.LOG_FINDINGS)
def tool(request: HttpRequest, number: int, slug: str) -> HttpResponse:
    """One tool: a GET asks and works out, so that the address is the calculation; a POST logs the result."""
    job = job_or_404(number)
    try:
        chosen = all_tools()[slug]
    except KeyError as error:
        raise Http404(f"There is no tool called {slug}.") from error
    engines = list(job.vessel.engines.filter(removed_on=None).select_related("family"))
    sent = request.POST if request.method == "POST" else request.GET
    wanted = sent.get(SWITCH, sent.get(ENGINE, ""))
    subject = _engine(job, chosen, engines, sent.get(ENGINE, ""))
    before = ToolContext(job, subject, _system(request), timezone.localdate())
    at = replace(before, engine=_engine(job, chosen, engines, wanted)) if SWITCH in sent else before
    is_open = at.engine is None and bool(engines) and wanted != NO_ENGINE and not chosen.is_of_boat
    is_worked = request.method == "POST" or (WORK in sent and not {MORE, PRESET, SWITCH} & sent.keys())
    form = _form(chosen, at, sent, is_worked=is_worked, before=before)
    answer = work_out(chosen, form, at) if form.is_bound else None
    if answer is not None:
        form.data = with_units_apart(chosen, form.data, at.system)
    log_form = _log_form(request, at)
    status = 422 if form.errors else 200
    if request.method == "POST":
        status = 422
        log_form.full_clean()
        if is_open:
            log_form.add_error(None, WHICH_ENGINE)
        elif answer is not None:
            logged = accepted(log_form, partial(_log, request, chosen, at, answer, log_form))
            if logged is not None:
                return logged
    subjects = _engine_choices(engines, at.engine, is_open=is_open)
    key = "" if is_open else str(at.engine.pk) if at.engine else NO_ENGINE
    return _page(
        request, chosen, at, subjects, engine_key=key, form=form, answer=answer, log_form=log_form, status=status
    )


def _system(request: HttpRequest) -> System:
    return "us" if request.shop.units == "us" else "metric"  # type: ignore[attr-defined]


def _engine(job: Job, chosen: Tool, engines: Sequence[Engine], wanted: str) -> Engine | None:
    """The engine in the address; else the one that the job leaves no choice about, unless the tool is about the boat.

    Of several that may be meant none is taken.
    """
    if wanted == NO_ENGINE:
        return None
    known = next((one for one in engines if str(one.pk) == wanted), None)
    return known or (None if chosen.is_of_boat else engine_of(job, engines))


def _form(chosen: Tool, at: ToolContext, sent: Mapping[str, str], *, is_worked: bool, before: ToolContext) -> BenchForm:
    """The tool's form: with what was sent, or with what is known of the engine, an example or a preset over it.

    What a person typed stays where a preset says nothing of it. With another engine what was known of the one before
    goes, and what was typed stays.
    """
    texts, notes = prefilled(chosen, at)
    if is_worked:
        return BenchForm(chosen, at, sent, notes=notes)
    filled = _filled_in(chosen, sent)
    given = with_units_apart(chosen, filled, at.system).keys() if filled else set()
    known = with_units_apart(chosen, prefilled(chosen, before)[0], at.system) if SWITCH in sent else {}
    typed = {
        name: text
        for name, text in sent.items()
        if name not in _ASKED and name not in given and text != known.get(name, None if SWITCH not in sent else "")
    }
    initial = with_units_apart(chosen, texts | filled, at.system)
    return BenchForm(chosen, at, initial=initial | typed, notes=notes, more=sent.get(MORE, ""))


def _filled_in(chosen: Tool, sent: Mapping[str, str]) -> Texts:
    """The inputs of the example, or of the preset asked for."""
    if EXAMPLE in sent:
        return as_texts(chosen, chosen.example.inputs)
    wanted = whole_number(sent.get(PRESET, ""))
    if wanted is not None and wanted < len(chosen.presets):
        return as_texts(chosen, chosen.presets[wanted].inputs)
    return {}


def _log_form(request: HttpRequest, at: ToolContext) -> LogForm:
    if request.method == "POST":
        return LogForm(request.POST, prefix="log")
    # Asked when the form is drawn, which it is with a result alone.
    return LogForm(prefix="log", initial={"phase": lambda: usual_phase(at.job, engine=at.engine)})


def _log(request: HttpRequest, chosen: Tool, at: ToolContext, answer: Answer, log_form: LogForm) -> HttpResponse:
    """Log the answer that was worked out anew from what was sent."""
    said = log_form.cleaned_data
    engine = at.engine
    log_result(
        by=signed_in(request),
        job=at.job,
        engine=engine,
        tool=chosen,
        answer=answer,
        phase=said["phase"],
        **instrument_of(said),
        engine_hours=true_hours(engine, shown_hours(said["hours"]), said["happened_at"]),
        text=said["text"],
        entry_id=said["entry_id"],
        happened_at=said["happened_at"],
    )
    what = f"{answer.logs_as} {answer.main[1]}" if answer.main and answer.logs_as else chosen.title
    messages.success(request, f"{what} logged on job {at.job.number}.")
    return redirect("findings:job", number=at.job.number)


def _page(
    request: HttpRequest,
    chosen: Tool,
    at: ToolContext,
    subjects: Sequence[EngineChoice],
    *,
    engine_key: str,
    form: BenchForm,
    answer: Answer | None,
    log_form: LogForm,
    status: int,
) -> HttpResponse:
    if answer is not None:
        log_form.ask_hours(at.engine)
    context: dict[str, Any] = {
        "frame": job_frame(request.user, at.job, "findings:bench"),
        "job": at.job,
        "tool": chosen,
        "cautions": [*chosen.cautions, MANUAL_FIRST],
        "engine": at.engine,
        "engine_key": engine_key,
        "engines": subjects,
        "which_engine": "" if engine_key else WHICH_ENGINE,
        "presets": [(preset, index) for index, preset in enumerate(chosen.presets)],
        "example_url": f"{request.path}?{urlencode({ENGINE: engine_key, EXAMPLE: 1})}",
        "form": form,
        "answer": answer,
        "log_form": log_form,
        "may_log": chosen.is_logged
        and (answer is None or answer.may_be_logged)
        and may(request.user, Permission.LOG_FINDINGS),
        "bench_url": reverse("findings:bench", args=[at.job.number]),
    }
    return render(request, "findings/bench/tool.html", context, status=status)


def _engine_choices(engines: Sequence[Engine], current: Engine | None, *, is_open: bool) -> list[EngineChoice]:
    """Every engine of the boat and the boat itself; nothing to choose where there is no engine."""
    positions = [one.get_position_display() for one in engines]
    is_plain = len(set(positions)) == len(positions)
    choices = [
        EngineChoice(one.get_position_display() if is_plain else str(one), str(one.pk), one == current)
        for one in engines
    ]
    return [*choices, EngineChoice("The boat", NO_ENGINE, current is None and not is_open)] if choices else []
