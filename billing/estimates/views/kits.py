"""The shop's kits."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from billing.estimates.actions import add_kit, add_kit_line, change_kit, change_kit_line, remove_kit_line
from billing.estimates.forms import KitFilterForm, KitForm, PricedLineForm
from billing.estimates.lines import how_words
from billing.estimates.models import Kit, KitLine
from billing.estimates.queries import find_kits
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, accepted, attempted
from web.typed import sent_id, whole_number


@permission_required(Permission.SEE_PRICES, to_post=Permission.EDIT_PARTS)
def kits(request: HttpRequest) -> HttpResponse:
    """All kits, and one more."""
    form = KitForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        made = accepted(
            form,
            lambda: add_kit(by=signed_in(request), **form.told(), entry_id=form.cleaned_data["entry_id"]),
        )
        if made is not None:
            messages.success(request, f"“{made}” is added. Put its lines into it.")
            return redirect("estimates:kit", made.pk)
    sought = KitFilterForm(request.GET, auto_id="filter_%s")
    text = sought.text()
    context = {
        "kits": find_kits(text),
        "sought": sought,
        "text": text,
        "form": form,
        "may_write": signed_in(request).may(Permission.EDIT_PARTS),
    }
    return render(request, "billing/estimates/kits.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SEE_PRICES, to_post=Permission.EDIT_PARTS)
def kit(request: HttpRequest, pk: int) -> HttpResponse:
    """A kit: what it is called, and its lines."""
    found = get_object_or_404(Kit, pk=pk)
    form = KitForm(request.POST if request.method == "POST" else None, record=found)
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_kit(
            by=signed_in(request),
            kit=found,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, f"“{found}” is saved.")
        return redirect("estimates:kit", found.pk)
    currency = request.shop.currency  # type: ignore[attr-defined]
    return sending.page(
        "billing/estimates/kit.html",
        kit=found,
        lines=[(one, how_words(one, currency)) for one in found.lines.select_related("part")],
        may_write=signed_in(request).may(Permission.EDIT_PARTS),
    )


@permission_required(Permission.EDIT_PARTS)
def line_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One more line of a kit."""
    found = get_object_or_404(Kit, pk=pk)
    shop = request.shop  # type: ignore[attr-defined]
    form = PricedLineForm(request.POST if request.method == "POST" else None, shop=shop)
    if request.method == "POST":
        made = accepted(
            form,
            lambda: add_kit_line(
                by=signed_in(request), kit=found, told=form.told(), entry_id=form.cleaned_data["entry_id"]
            ),
        )
        if made is not None:
            return redirect("estimates:kit", found.pk)
    context = {
        "form": form, "kit": found, "title": f"Add a line to “{found}”", "does": "Add the line",
        "back": reverse("estimates:kit", args=[found.pk]),
    }  # fmt: skip
    return render(request, "billing/estimates/form.html", context, status=422 if form.errors else 200)


@permission_required(Permission.EDIT_PARTS)
def line(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a line of a kit."""
    found = get_object_or_404(KitLine.objects.select_related("kit", "part"), pk=pk)
    shop = request.shop  # type: ignore[attr-defined]
    form = PricedLineForm(request.POST if request.method == "POST" else None, shop=shop, record=found)
    sending = Submission(request, form, record=found)

    def act() -> None:
        change_kit_line(
            by=signed_in(request),
            line=found,
            seen_version=form.cleaned_data["seen_version"] or 0,
            changes=form.told(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        return redirect("estimates:kit", found.kit_id)
    return sending.page(
        "billing/estimates/form.html", kit=found.kit, title=f"Line of “{found.kit}”",
        back=reverse("estimates:kit", args=[found.kit_id]), does="Save the line",
    )  # fmt: skip


@permission_required(Permission.EDIT_PARTS)
@require_POST
def line_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a line from a kit."""
    found = get_object_or_404(Kit, pk=pk)
    position = whole_number(request.POST.get("position", ""), digits=4) or 0
    attempted(
        request,
        lambda: remove_kit_line(by=signed_in(request), kit=found, position=position, entry_id=sent_id(request)),
    )
    return redirect("estimates:kit", found.pk)
