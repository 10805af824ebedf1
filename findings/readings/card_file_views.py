"""Spec cards as CSV: one card, or all of a family, out and in. What comes in is looked at before it is saved."""

from __future__ import annotations

import hashlib
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from commands.refusals import Conflict, Refused
from findings.readings.actions import CardRows, revise_limits
from findings.readings.card_file import COMMA, HEADINGS, MOST_BYTES, NEEDED, POINT, UNSAID, read_file, rows_of, text_of
from findings.readings.card_forms import parameters_by_name
from findings.readings.card_plan import Plan, plan_of
from findings.readings.models import SpecCard, SpecLimit
from findings.readings.revising import in_force
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import EngineFamily
from web.tables import table
from web.typed import sent_id, whole_number

_ORDER = ("parameter__position", "parameter__name", "condition", "pk")


class CardFileForm(forms.Form):
    """A table of limits: a file, or its text, and how its decimals are written where it does not say."""

    file = forms.FileField(
        required=False,
        label="File",
        help_text=f"A CSV in UTF-8, {MOST_BYTES // 1000} kB at most.",
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,text/csv"}),
    )
    text = forms.CharField(
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        label="Or its text",
        help_text="Correct it here. Nothing is saved before you have seen what it would change.",
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
    )
    decimal = forms.ChoiceField(
        required=False,
        label="Decimals have",
        initial=UNSAID,
        choices=[(UNSAID, "Not said"), (POINT, "A point, as 12.5"), (COMMA, "A comma, as 12,5")],
        widget=forms.RadioSelect,
    )

    look = {"text": "raw"}

    def clean(self) -> dict[str, Any]:
        """Take the text of the file, unless there is a text already: then neither is lost."""
        data: dict[str, Any] = super().clean() or {}
        file, text = data.get("file"), data.get("text") or ""
        if file is None:
            return data
        if text.strip():
            self.add_error("file", "There is a text already, and it was kept. Empty it first, then choose the file.")
            return data
        content, why = ("", text_of(b"x" * (MOST_BYTES + 1))[1]) if file.size > MOST_BYTES else text_of(file.read())
        if why:
            self.add_error("file", why)
        data["text"] = content
        return data


@permission_required(Permission.SEE_RECORDS)
def card_csv(request: HttpRequest, pk: int) -> HttpResponse:
    """The limits in force of one card."""
    card = get_object_or_404(_cards(), pk=pk)
    return table(f"spec-card-{pk}.csv", HEADINGS, rows_of([card]))


@permission_required(Permission.SEE_RECORDS)
def family_csv(request: HttpRequest, pk: int) -> HttpResponse:
    """The limits in force of all cards of a family."""
    family = get_object_or_404(EngineFamily, pk=pk)
    return table(f"spec-cards-of-family-{pk}.csv", HEADINGS, rows_of(_cards().filter(family=family)))


@permission_required(Permission.EDIT_SPEC_CARDS)
def card_bring(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at a CSV of one card's limits, and save it."""
    card = get_object_or_404(_cards(), pk=pk)
    return _bring(request, card.family, card)


@permission_required(Permission.EDIT_SPEC_CARDS)
def family_bring(request: HttpRequest, pk: int) -> HttpResponse:
    """Look at a CSV of the limits of a family's cards, and save it."""
    return _bring(request, get_object_or_404(EngineFamily, pk=pk), None)


def _cards() -> Any:
    """Cards with the limits in force, in the order of their rows."""
    limits = SpecLimit.objects.filter(in_force()).select_related("parameter", "card").order_by(*_ORDER)
    return (
        SpecCard.objects.select_related("family").prefetch_related(Prefetch("limits", limits)).order_by("title", "pk")
    )


def _bring(request: HttpRequest, family: EngineFamily, card: SpecCard | None) -> HttpResponse:
    is_sent = request.method == "POST"
    form = CardFileForm(request.POST, request.FILES) if is_sent else CardFileForm()
    status, said, plan = 200, "", None
    if is_sent and form.is_valid():
        text, decimal = form.cleaned_data["text"] or "", form.cleaned_data["decimal"] or UNSAID
        plan = _plan(request, family, card, text, decimal)
        if "apply" in request.POST:
            if request.POST.get("looked_at") != looked_at(text, decimal):
                status, said = (
                    422,
                    "This text was not looked at yet, and nothing was saved. See below what it would change.",
                )
            else:
                try:
                    _save(request, family, plan)
                except Conflict as conflict:
                    status, said = 409, _changed_meanwhile(conflict)
                    plan = _plan(request, family, card, text, decimal)
                except Refused as refusal:
                    status, said = 422, refusal.sentence
                else:
                    messages.success(request, "The limits of the file are saved.")
                    return redirect("findings:card", card.pk) if card else redirect("findings:cards")
        status = status if status != 200 or not plan.problem else 422
        form = CardFileForm(initial={"text": text, "decimal": decimal})
    elif is_sent:
        status = 422
    context = {
        "form": form,
        "plan": plan,
        "said": said,
        "family": family,
        "card": card,
        "headings": NEEDED,
        "looked_at": looked_at(str(form.initial.get("text", "")), str(form.initial.get("decimal", UNSAID))),
        "out_at": reverse(f"findings:{'card' if card else 'family'}_csv", args=[(card or family).pk]),
    }  # fmt: skip
    return render(request, "findings/readings/card_file.html", context, status=status)


def _plan(request: HttpRequest, family: EngineFamily, card: SpecCard | None, text: str, decimal: str) -> Plan:
    cards = [_cards().get(pk=card.pk)] if card else list(_cards().filter(family=family))
    system = request.shop.units  # type: ignore[attr-defined]
    return plan_of(
        read_file(text, decimal), cards, system=system, parameters=parameters_by_name(), only=card is not None
    )


def _save(request: HttpRequest, family: EngineFamily, plan: Plan) -> None:
    """Save what was looked at: the rows of the text, each card in the version that the page named.

    Raises:
        Refused: a row cannot be taken, or as ``revise_limits``.
    """
    if plan.problem or plan.refused:
        raise Refused(plan.problem or "Nothing was saved: correct the rows that cannot be taken, or delete them.")
    seen = dict(one.split(":", 1) for one in request.POST.get("seen", "").split() if ":" in one)
    cards = [CardRows(one.card, whole_number(seen.get(str(one.card.pk), "")) or 0, one.limits) for one in plan.cards]
    revise_limits(by=signed_in(request), family=family, cards=cards, entry_id=sent_id(request))


def looked_at(text: str, decimal: str) -> str:
    """What a text and its decimals are known by, once its changes were shown; line ends make no difference."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return hashlib.sha256(f"{decimal}\n{lines}".encode()).hexdigest()


def _changed_meanwhile(conflict: Conflict) -> str:
    who = conflict.by[:1].upper() + conflict.by[1:]
    return f"{who} saved a card after you looked, so nothing was saved. See below what the file would change now."
