"""Pages of readings and spec cards."""

from __future__ import annotations

import uuid
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from findings.readings import queries
from findings.readings.actions import add_card, change_card
from findings.readings.forms import CardForm, LimitFormSet, limit_initial
from findings.readings.models import Parameter, SpecCard
from findings.readings.series import readings_page, series, series_page
from findings.readings.trending import no_longer_counting, trend_seen
from staff.models import Person
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.models import Engine, Vessel
from web.submission import Submission
from web.typed import sent_id, whole_number


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
            "may_log": may(request.user, Permission.LOG_FINDINGS),
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
    words = {name: getattr(card, name) for name in CardForm.base_fields} if card else {}
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
