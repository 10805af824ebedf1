"""Pages of vessels: the list, the overview, adding, changing, and a change of owner."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from commands.envelope import was_done
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.actions import add_vessel, change_owner, change_vessel
from vessels.forms import OwnerForm, VesselForm
from vessels.frames import vessel_frame
from vessels.models import Customer, Vessel
from vessels.queries.lists import BY_NAME, customer_list, vessel_list
from vessels.sections import shown_sections
from web.pager import asked_page, page_of
from web.submission import Submission
from web.typed import sent_id, whole_number

OFFERED = 12


def vessel_or_404(pk: int) -> Vessel:
    """The vessel of a page, with its owner."""
    return get_object_or_404(Vessel.objects.select_related("owner"), pk=pk)


@permission_required(Permission.SEE_RECORDS)
def vessels(request: HttpRequest) -> HttpResponse:
    """All vessels, by name; found by anything that people know of them."""
    text = request.GET.get("q", "")[:100]
    kind = request.GET.get("kind", "")
    kind = kind if kind in dict(Vessel.KINDS) else ""
    page = asked_page(vessel_list(text=text, kind=kind), BY_NAME, request)
    context = {
        "vessels": page.rows,
        "text": text,
        "kind": kind,
        "kinds": Vessel.KINDS,
        **page.addresses(request.path, {"q": text, "kind": kind}),
    }
    return render(request, "vessels/list.html", context)


@permission_required(Permission.SEE_RECORDS)
def vessel(request: HttpRequest, pk: int) -> HttpResponse:
    """A vessel's overview, made of the sections that the apps registered."""
    boat = vessel_or_404(pk)
    context = {
        "vessel": boat,
        "frame": vessel_frame(request.user, boat, "vessels:vessel"),
        "sections": shown_sections(request, boat),
    }
    return render(request, "vessels/vessel.html", context)


@permission_required(Permission.EDIT_RECORDS)
def vessel_add(request: HttpRequest) -> HttpResponse:
    """Add a boat: first whose it is, then what it is."""
    key = whole_number(request.GET.get("owner", ""))
    if key is None:
        return _choose_owner(request)
    owner = get_object_or_404(Customer, pk=key)
    form = VesselForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    added: list[Vessel] = []
    if sending.save(lambda: added.append(add_vessel(by=signed_in(request), owner=owner, **form.answers()))):
        messages.success(request, f"{added[0]} is added. Add its engines next.")
        return redirect("vessels:engines", added[0].pk)
    return sending.page("vessels/vessel_add.html", owner=owner)


def _choose_owner(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "")[:100]
    found: list[Any] = []
    if text.strip():
        found = page_of(customer_list(text=text), BY_NAME, size=OFFERED).rows
    return render(request, "vessels/vessel_owner.html", {"text": text, "found": found})


@permission_required(Permission.EDIT_RECORDS)
def vessel_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what a boat is; the log keeps what stood there before."""
    boat = vessel_or_404(pk)
    form = VesselForm(request.POST if request.method == "POST" else None, record=boat)
    sending = Submission(request, form, record=boat)

    def act() -> None:
        change_vessel(
            by=signed_in(request),
            vessel=boat,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. What changed is in the log.")
        return redirect("vessels:vessel", boat.pk)
    return sending.page("vessels/vessel_change.html", vessel=boat)


@permission_required(Permission.EDIT_RECORDS)
def vessel_owner(request: HttpRequest, pk: int) -> HttpResponse:
    """Pass a boat to another customer."""
    boat = vessel_or_404(pk)
    text = request.GET.get("q", "")[:100]
    found: list[Customer] = []
    if text.strip():
        is_again = was_done(sent_id(request), "change_owner")  # then the new owner is the owner already
        others = customer_list(text=text)
        found = page_of(others if is_again else others.exclude(pk=boat.owner_id), BY_NAME, size=OFFERED).rows
    form = OwnerForm(request.POST if request.method == "POST" else None, offered=found)
    sending = Submission(request, form)
    former = boat.owner
    if sending.save(lambda: change_owner(by=signed_in(request), vessel=boat, **form.answers())):
        messages.success(request, f"{boat} passed from {former} to {boat.owner}. Its history stays with it.")
        return redirect("vessels:vessel", boat.pk)
    return sending.page("vessels/vessel_new_owner.html", vessel=boat, text=text, found=found)
