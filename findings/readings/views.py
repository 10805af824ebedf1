"""Pages of readings and spec cards."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from commands.envelope import together
from commands.refusals import Refused
from engineering.measures import UNITS
from findings.instruments.forms import instrument_of
from findings.readings import queries
from findings.readings.actions import add_card, add_parameter, change_card, log_reading
from findings.readings.checking import unusual
from findings.readings.forms import CardForm, Choice, LimitFormSet, RowForm, limit_initial
from findings.readings.judging import compare
from findings.readings.models import Parameter, Reading, SpecCard, SpecLimit
from findings.readings.series import readings_page, series, series_page
from findings.readings.sheet import NO_ENGINE, SWITCH, Sheet, asked_sheet, switched_sheet
from findings.readings.trending import no_longer_counting, trend_seen
from staff.models import Person
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.models import Engine, Vessel
from vessels.shown_hours import true_hours
from web.submission import Submission, show_refusal
from web.typed import sent_id, whole_number
from workorders.frames import job_frame, job_or_404
from workorders.models import Job
from workorders.queries.about import engine_of


@permission_required(Permission.LOG_FINDINGS)
def job_readings(request: HttpRequest, number: int) -> HttpResponse:
    """Log readings of one engine on a job, or of the boat itself."""
    job = job_or_404(number)
    engines = list(job.vessel.engines.filter(removed_on=None).select_related("family"))
    chosen = request.POST.get(SWITCH, "")
    wanted = chosen or request.GET.get("engine") or request.POST.get("engine", "")
    engine = next((one for one in engines if str(one.pk) == wanted), None)
    if wanted and engine is None and wanted != NO_ENGINE:
        raise Http404("this engine is not on this boat")
    engine = engine or (None if wanted else engine_of(job, engines))
    is_open = engine is None and wanted != NO_ENGINE and bool(engines)
    sheet = switched_sheet(request, job, engine) if chosen else asked_sheet(request, job, engine)
    if is_open:
        sheet.common.ask_engine([(str(one.pk), str(one)) for one in engines])
    status = 200
    if request.method == "POST" and not chosen:
        if sheet.is_valid(engine):
            try:
                logged = _log_sheet(signed_in(request), job, engine, sheet)
            except Refused as refusal:
                _show(refusal, sheet)
            else:
                messages.success(request, logged_words(logged))
                for question in dict.fromkeys(filter(None, map(queries.instrument_remark, logged))):
                    messages.warning(request, f"{question} Correct the reading if so.")
                return redirect("findings:job", number=job.number)
        status = 422
    context = {
        "frame": job_frame(request.user, job, "findings:job"),
        "job": job,
        "engine": engine,
        "is_open": is_open,
        "address": request.path if is_open else f"{request.path}?engine={engine.pk if engine else NO_ENGINE}",
        "is_carried": bool(chosen),
        "engines": _engine_choices(request.path, engines, engine, is_boat=wanted == NO_ENGINE),
        "sheet": sheet,
        "bands": {
            row.limit.pk: queries.band_words(row.limit.low, row.limit.high, row.limit.unit)
            for row in sheet.rows
            if not row.is_foreign
        },
    }
    return render(request, "findings/readings/sheet.html", context, status=status)


def _engine_choices(path: str, engines: list[Engine], chosen: Engine | None, *, is_boat: bool) -> list[Choice]:
    """Every engine, and the boat itself."""
    places = [one.get_position_display() for one in engines]
    is_plain = len(set(places)) == len(places)
    found = [
        Choice(str(one.pk), place if is_plain else str(one), f"{path}?engine={one.pk}", one == chosen)
        for one, place in zip(engines, places, strict=True)
    ]
    boat = Choice(NO_ENGINE, "The boat", f"{path}?engine={NO_ENGINE}", is_boat)
    return [*found, boat] if engines else []


_TOLD_AT_ONCE = 3
_WORST_FIRST = ["out", "near", "in range", "no limits"]


def logged_words(logged: list[Reading]) -> str:
    """What was logged with its verdict, the worst first: it stands on top of the page, whatever is below the fold."""
    worst_first = sorted(logged, key=lambda one: _WORST_FIRST.index(one.verdict))
    said = [f"{one.parameter.name}: {queries.reading_row(one).sentence}." for one in worst_first[:_TOLD_AT_ONCE]]
    more = len(logged) - len(said)
    rest = [f"{more} more below."] if more else []
    return " ".join([f"{len(logged)} reading{'s' if len(logged) != 1 else ''} logged.", *said, *rest])


@together()
def _log_sheet(by: Person, job: Job, engine: Engine | None, sheet: Sheet) -> list[Reading]:
    """Log every filled row, all or none. Each has an id derived from the form's, so that a repeat is known."""
    common = sheet.common.cleaned_data
    form_id = common["entry_id"] or uuid.uuid4()
    hours = true_hours(engine, common["hours"], common["happened_at"])
    shared: dict[str, Any] = {
        "by": by,
        "vessel": job.vessel,
        "engine": engine,
        "job": job,
        "phase": common["phase"],
        **instrument_of(common),
        "happened_at": common["happened_at"],
        "engine_hours": hours,
        "text": common["text"],
    }
    logged = []
    for row in sheet.rows:
        if row.was_filled:
            sheet.logging, data = row, row.cleaned_data
            made = log_reading(
                **shared,
                parameter=row.parameter,
                limit=None if row.is_foreign else row.limit,
                condition=row.limit.condition if row.is_foreign else "",
                value=data["number"],
                unit=data["unit"],
                minimum=data["low_seen"],
                maximum=data["high_seen"],
                entry_id=uuid.uuid5(form_id, row.prefix or ""),
            )
            logged.append(made)
    sheet.logging = sheet.other
    return logged + _log_other(form_id, sheet.other.cleaned_data, shared)


def _log_other(form_id: uuid.UUID, data: dict[str, Any], shared: dict[str, Any]) -> list[Reading]:
    """Log the reading that no card lists, if one was filled in."""
    if data.get("number") is None:
        return []
    parameter = data["parameter"] or add_parameter(
        by=shared["by"],
        name=data["parameter_name"],
        kind=UNITS[data["unit"]].kind.value,
        entry_id=uuid.uuid5(form_id, "parameter"),
    )
    made = log_reading(
        **shared,
        parameter=parameter,
        value=data["number"],
        unit=data["unit"],
        condition=data["condition"],
        minimum=data["low_seen"],
        maximum=data["high_seen"],
        entry_id=uuid.uuid5(form_id, "other"),
    )
    return [made]


def _show(refusal: Refused, sheet: Sheet) -> None:
    """Put a refusal where the person can mend it: in the row that was being logged, or what all rows share."""
    row = sheet.logging
    if row is None or not set(refusal.fields) & set(row.fields):
        show_refusal(sheet.common, refusal)
    else:
        show_refusal(row, refusal)


@permission_required(Permission.SEE_RECORDS)
def judged(request: HttpRequest, pk: int) -> HttpResponse:
    """What a limit says of a value while it is typed: a fragment with the sentence and the range strip."""
    limit = get_object_or_404(SpecLimit.objects.select_related("card", "parameter"), pk=pk)
    prefix = f"limit-{limit.pk}"
    row = RowForm(request.GET, limit=limit, system="us", prefix=prefix)
    context: dict[str, Any] = {"limit": limit, "problem": "", "strip": None, "odd": []}
    if row.is_valid() and row.cleaned_data["number"] is not None:
        data = row.cleaned_data
        comparison = compare(data["number"], data["unit"], limit, minimum=data["low_seen"], maximum=data["high_seen"])
        figures = {"value": data["number"], "minimum": data["low_seen"], "maximum": data["high_seen"]}
        context["odd"] = list(unusual(limit.parameter.name, data["unit"], figures).values())
        context["strip"] = queries.strip_of(
            f"j{limit.pk}",
            limit.parameter.name,
            data["number"],
            data["unit"],
            comparison,
            condition=limit.condition,
            minimum=data["low_seen"],
            maximum=data["high_seen"],
        )
    elif row.errors:
        context["problem"] = " ".join(str(sentence) for sentences in row.errors.values() for sentence in sentences)
    return render(request, "findings/readings/judged.html", context)


@permission_required(Permission.SEE_RECORDS)
def vessel_readings(request: HttpRequest, pk: int) -> HttpResponse:
    """The latest of everything measured on a vessel, in pages."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    page = series_page(vessel, request.GET.get("after", ""))
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_readings"),
        "vessel": vessel,
        "series": page.series,
        "after": page.after,
        "is_first": not request.GET.get("after"),
    }
    return render(request, "findings/readings/vessel.html", context)


@permission_required(Permission.SEE_RECORDS)
def parameter_history(request: HttpRequest, pk: int, parameter: int) -> HttpResponse:
    """Every reading of one parameter of one engine, newest first."""
    vessel = get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)
    of = get_object_or_404(Parameter, pk=parameter)
    engine = None
    if (key := whole_number(request.GET.get("engine", ""))) is not None:
        engine = get_object_or_404(Engine, pk=key, vessel=vessel)
    condition = request.GET.get("condition")
    found = series(vessel, engine.pk if engine else None, of, condition)
    shown = series(vessel, engine.pk if engine else None, of, condition, all_of_them=True)
    page = readings_page(shown, request.GET.get("before", ""))
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_readings"),
        "vessel": vessel,
        "parameter": of,
        "engine": engine,
        "condition": condition,
        "rows": list(zip(queries.rows(page.readings), page.changes, strict=True)),
        "older": page.older,
        "trend": trend_seen(found, engine, name=of.name),
        "left_out": no_longer_counting(shown),
        "may_correct": may(request.user, Permission.AMEND_FINDINGS),
    }
    return render(request, "findings/readings/history.html", context)


@permission_required(Permission.SEE_RECORDS)
def card_list(request: HttpRequest) -> HttpResponse:
    """All spec cards."""
    text = request.GET.get("q", "").replace("\0", "").strip()
    found = queries.cards_matching(text) if text else queries.cards()
    return render(
        request,
        "findings/readings/cards.html",
        {
            "cards": found.order_by("family", "title"),
            "q": text,
            "may_edit_cards": may(request.user, Permission.EDIT_SPEC_CARDS),
        },
    )


@permission_required(Permission.EDIT_SPEC_CARDS)
def card_add(request: HttpRequest) -> HttpResponse:
    """Add a spec card."""
    return _card_form(request, None)


@permission_required(Permission.EDIT_SPEC_CARDS)
def card_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a spec card."""
    return _card_form(request, get_object_or_404(SpecCard.objects.select_related("family"), pk=pk))


def _card_form(request: HttpRequest, card: SpecCard | None) -> HttpResponse:
    system = request.shop.units  # type: ignore[attr-defined]
    data = request.POST if request.method == "POST" else None
    words = {name: getattr(card, name) for name in ("family", "title", "document", "notes")} if card else {}
    if not card and (family := whole_number(request.GET.get("family", ""))) is not None:
        words["family"] = family
    form = CardForm(data, initial=words)
    rows = LimitFormSet(
        data,
        prefix="limits",
        initial=limit_initial(card.limits.select_related("parameter")) if card else None,
        form_kwargs={"system": system},
    )
    sending = Submission(request, form)

    def act() -> None:
        _save_card(signed_in(request), card, form, rows, entry_id=sent_id(request))

    if sending.save(act, is_valid=form.is_valid() & rows.is_valid()):
        messages.success(request, f"Spec card “{form.cleaned_data['title']}” saved.")
        return redirect(reverse("findings:cards"))
    return sending.page("findings/readings/card_form.html", rows=rows, card=card)


def _save_card(by: Person, card: SpecCard | None, form: CardForm, rows: Any, *, entry_id: uuid.UUID | None) -> None:
    words = form.cleaned_data
    if card is None:
        add_card(by=by, limits=rows.new_limits(), entry_id=entry_id, **words)
    else:
        change_card(by=by, card=card, changes=words, limits=rows.new_limits(), entry_id=entry_id)
