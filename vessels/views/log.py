"""Pages of the vessel log: the log itself, an entry, a note, a correction, an entry voided."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from staff.policy import Permission, may, permission_required
from staff.requests import signed_in
from vessels.actions import amend_text, retract, write_note
from vessels.actions.log import can_be_voided
from vessels.forms import AmendForm, NoteForm, RetractForm
from vessels.frames import vessel_frame, vessel_in_frame
from vessels.log.chain import GENESIS
from vessels.log.entries import ShownEntry, of_vessel, shown_entries, single_entry
from vessels.log.pages import log_page
from vessels.log.registry import needed_to_void
from vessels.models import LogEntry
from vessels.queries import engine_choices, job_choices
from vessels.views.hulls import vessel_or_404
from web.submission import Submission


@permission_required(Permission.SEE_RECORDS)
def log(request: HttpRequest, pk: int) -> HttpResponse:
    """A vessel's log, newest first."""
    boat = vessel_in_frame(pk)
    page = log_page(request, of_vessel(boat), engines=engine_choices(boat), jobs=job_choices(boat))
    context = {"vessel": boat, "frame": vessel_frame(request.user, boat, "vessels:log"), "log": page}
    return render(request, "vessels/log.html", context)


def _entry_or_404(pk: UUID) -> LogEntry:
    return get_object_or_404(LogEntry.objects.select_related("vessel", "vessel__owner"), pk=pk)


def _shown(entry: LogEntry) -> ShownEntry:
    return shown_entries(single_entry(entry.pk), most=1)[0]


@permission_required(Permission.SEE_RECORDS)
def entry(request: HttpRequest, pk: UUID) -> HttpResponse:
    """One entry with its place in the chain."""
    one = _entry_or_404(pk)
    shown = _shown(one)
    around = {
        neighbor.position: neighbor
        for neighbor in LogEntry.objects.filter(vessel=one.vessel, position__in=[one.position - 1, one.position + 1])
    }
    before = around.get(one.position - 1)
    by = signed_in(request)
    context = {
        "shown": shown,
        "vessel": one.vessel,
        "digest": one.digest,
        "before": before,
        "after": around.get(one.position + 1),
        "previous_digest": before.digest if before else GENESIS,
        "is_first": one.position == 1,
        "may_amend": shown.counts and may(request.user, Permission.WRITE_NOTES),
        "may_void": shown.counts and can_be_voided(one) and may(by, needed_to_void(by, one)),
    }
    return render(request, "vessels/entry.html", context)


@permission_required(Permission.WRITE_NOTES)
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a note in a vessel's log."""
    boat = vessel_or_404(pk)
    form = NoteForm(request.POST if request.method == "POST" else None, vessel=boat)
    sending = Submission(request, form)
    if sending.save(lambda: write_note(by=signed_in(request), vessel=boat, **form.answers())):
        messages.success(request, "The note is in the log.")
        return redirect("vessels:log", boat.pk)
    return sending.page("vessels/note.html", vessel=boat)


@permission_required(Permission.WRITE_NOTES)
def amend(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Add a correction to an entry."""
    one = _entry_or_404(pk)
    form = AmendForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: amend_text(by=signed_in(request), entry=one, **form.answers())):
        messages.success(request, "The correction is now shown beside the entry.")
        return redirect(reverse("vessels:entry", args=[one.pk]))
    return sending.page("vessels/amend.html", shown=_shown(one), vessel=one.vessel)


@permission_required(Permission.WRITE_NOTES)
def void(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Void an entry as evidence."""
    one = _entry_or_404(pk)
    needed = needed_to_void(signed_in(request), one)
    if not may(request.user, needed):
        raise PermissionDenied(f"Your role does not allow you to {needed.value}.")
    form = RetractForm(request.POST if request.method == "POST" else None)
    sending = Submission(request, form)
    if sending.save(lambda: retract(by=signed_in(request), entry=one, **form.answers())):
        messages.success(request, "The entry is voided. It can still be read.")
        return redirect(reverse("vessels:entry", args=[one.pk]))
    return sending.page("vessels/void.html", shown=_shown(one), vessel=one.vessel)
