"""Pages of the parts catalog."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.template.loader import render_to_string
from django.urls import reverse

from parts.actions import add_part, change_part
from parts.forms import CatalogFilter, PartForm
from parts.models import Part
from parts.queries import BY_NUMBER, PAGE
from parts.queries import catalog as fitting
from parts.sections import sections
from staff.policy import Permission, may, permission_required
from staff.queries import shop_profile
from staff.requests import signed_in
from web.pager import asked_page
from web.submission import Submission
from web.typed import sent_id


@permission_required(Permission.SEE_RECORDS)
def catalog(request: HttpRequest) -> HttpResponse:
    """The catalog by part number, in pages."""
    form = CatalogFilter(request.GET)
    wanted: dict[str, Any] = form.cleaned_data if form.is_valid() else {}
    text, everything = wanted.get("q", "").strip(), wanted.get("all", False)
    page = asked_page(fitting(text=text, sold_only=not everything), BY_NUMBER, request, size=PAGE)
    kept = {name: value for name, value in [("q", text), ("all", "on" if everything else "")] if value}
    context = {
        "form": form,
        "page": page,
        "text": text,
        **page.addresses("", kept),
        "everything_url": f"?{urlencode({**kept, 'all': 'on'})}",
        "may_edit": may(request.user, Permission.EDIT_PARTS),
        "is_new_catalog": not page.rows and not Part.objects.exists(),
    }
    return render(request, "parts/catalog.html", context)


@permission_required(Permission.SEE_RECORDS)
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """What is known of a part, here and on the floors above."""
    shown = get_object_or_404(Part, pk=pk)
    context = {
        "part": shown,
        "may_edit": may(request.user, Permission.EDIT_PARTS),
        "sections": [
            render_to_string(section.template, {"part": shown, **section.facts(shown)}, request)
            for section in sections()
            if may(request.user, section.permission)
        ],
    }
    return render(request, "parts/part.html", context)


@permission_required(Permission.EDIT_PARTS)
def part_add(request: HttpRequest) -> HttpResponse:
    """Add a part to the catalog."""
    number = request.GET.get("number", "")[:40]
    form = PartForm(request.POST or None, part=None, currency=shop_profile().currency, initial={"number": number})
    sending = Submission(request, form)
    added: list[Part] = []

    def act() -> None:
        added.append(add_part(by=signed_in(request), entry_id=sent_id(request), **form.changes))

    if sending.save(act):
        messages.success(request, f"{added[0].number} is in the catalog.")
        return redirect("parts:part", pk=added[0].pk)
    return sending.page("parts/part_form.html")


@permission_required(Permission.EDIT_PARTS)
def part_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what the catalog says of a part."""
    changed = get_object_or_404(Part, pk=pk)
    form = PartForm(request.POST or None, part=changed, currency=shop_profile().currency)
    sending = Submission(request, form, record=changed)

    def act() -> None:
        change_part(
            by=signed_in(request),
            part=changed,
            changes=form.changes,
            seen_version=form.cleaned_data["seen_version"],
            entry_id=sent_id(request),
        )

    if sending.save(act):
        messages.success(request, f"{changed.number} is saved.")
        return redirect("parts:part", pk=pk)
    return sending.page("parts/part_form.html", part=changed, leave_url=reverse("parts:part", args=[pk]))
