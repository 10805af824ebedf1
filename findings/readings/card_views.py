"""Pages of spec cards."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Conflict
from engineering.measures import UNITS
from findings.readings import queries
from findings.readings.actions import add_card, change_card
from findings.readings.card_forms import CardForm, LimitForm, LimitFormSet, limit_initial, parameters_by_name
from findings.readings.models import SpecCard
from findings.readings.revising import (
    all_limits,
    all_words,
    changes_of,
    changes_of_words,
    in_force,
    in_force_on,
    words_on,
)
from staff.models import Person
from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from web.submission import Submission
from web.typed import day_asked, sent_id, whole_number
from web.versions import Version


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


@permission_required(Permission.SEE_RECORDS)
def card(request: HttpRequest, pk: int) -> HttpResponse:
    """One spec card, as it stands or as it was on a day, and what was changed on it."""
    found = get_object_or_404(SpecCard.objects.select_related("family"), pk=pk)
    limits, today = all_limits(found), timezone.localdate()
    day = _day(request.GET.get("on", ""))
    words = all_words(found)
    first = min((timezone.localtime(one.begun_at).date() for one in limits), default=today)
    context = {
        "card": found,
        "limits": in_force_on(limits, day) if day else [one for one in limits if one.ended_at is None],
        "day": day,
        "first": first,
        "today": today,
        "is_before": day is not None and day < first,
        "then": words_on(words, day) if day else found,
        "changes": sorted([*changes_of_words(words), *changes_of(limits)], key=lambda one: one.at, reverse=True),
        "begun_by": next((one.begun_by for one in limits if timezone.localtime(one.begun_at).date() == first), None),
        "may_edit_cards": may(request.user, Permission.EDIT_SPEC_CARDS),
    }
    return render(request, "findings/readings/card.html", context)


def _day(text: str) -> date | None:
    """The day that an address asks for, where there is such a day and it is over."""
    day, _ = day_asked(text, earliest=date.min)
    return day if day is not None and day < timezone.localdate() else None


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
    words = {name: getattr(card, name) for name in CardForm.words()} | {"seen_version": card.version} if card else {}
    if not card and (family := whole_number(request.GET.get("family", ""))) is not None:
        words["family"] = family
    form = CardForm(data, initial=words)
    rows = LimitFormSet(
        data,
        prefix="limits",
        initial=limit_initial(card.limits.filter(in_force()).select_related("card", "parameter")) if card else None,
        form_kwargs={"system": system, "parameters": (parameters := parameters_by_name())},
    )
    lists = {"parameters": parameters.values(), "units": sorted({one.label for one in UNITS.values() if one.label})}
    if data is not None and "more" in data:
        return _more_rows(request, card, {"system": system, "parameters": parameters}, lists)
    sending = Submission(request, form, record=card)
    both: list[Version] = []

    def act() -> None:
        try:
            _save_card(signed_in(request), card, form, rows, entry_id=sent_id(request))
        except Conflict as conflict:
            both.extend(
                Version(name, str(theirs), str(conflict.mine[name]))
                for name, theirs in conflict.theirs.items()
                if name not in form.fields
            )
            raise

    if sending.save(act, is_valid=form.is_valid() & rows.is_valid()):
        messages.success(request, f"Spec card “{form.cleaned_data['title']}” saved.")
        return redirect(reverse("findings:card", args=[card.pk]) if card else reverse("findings:cards"))
    if "conflict" in sending.context:
        sending.context["conflict"]["rows"].extend(both)
    return sending.page("findings/readings/card_form.html", rows=rows, card=card, **lists)


def _more_rows(
    request: HttpRequest, card: SpecCard | None, given: dict[str, Any], lists: dict[str, Any]
) -> HttpResponse:
    """The same page with all that was typed, and more empty rows; nothing is saved."""
    data = request.POST
    count = min(whole_number(data.get("limits-TOTAL_FORMS", "")) or 0, LimitFormSet.max_num)
    typed = [{name: data.get(f"limits-{at}-{name}", "") for name in LimitForm.base_fields} for at in range(count)]
    rows = LimitFormSet(prefix="limits", initial=typed, form_kwargs=given)
    form = CardForm(initial={name: data.get(name, "") for name in CardForm.base_fields})
    context = {"form": form, "rows": rows, "card": card, "first_new": f"id_limits-{count}-parameter", **lists}
    return render(request, "findings/readings/card_form.html", context)


def _save_card(by: Person, card: SpecCard | None, form: CardForm, rows: Any, *, entry_id: uuid.UUID | None) -> None:
    words, limits = {name: form.cleaned_data[name] for name in CardForm.words()}, rows.new_limits()
    if card is None:
        add_card(by=by, limits=limits, entry_id=entry_id, **words)
    else:
        seen = form.cleaned_data["seen_version"]
        change_card(by=by, card=card, changes=words, limits=limits, seen_version=seen, entry_id=entry_id)
