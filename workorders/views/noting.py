"""A note on a job, from the job: it stands in the boat's log and in the job's."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.actions import write_note
from vessels.forms import NoteForm
from web.submission import Submission
from workorders.frames import job_frame, job_or_404


@permission_required(Permission.WRITE_NOTES)
def note(request: HttpRequest, number: int) -> HttpResponse:
    """Write a note on a job, whatever state it is in."""
    found = job_or_404(number)
    form = NoteForm(request.POST if request.method == "POST" else None, vessel=found.vessel)
    sending = Submission(request, form)
    if sending.save(lambda: write_note(by=signed_in(request), vessel=found.vessel, job_id=found.pk, **form.answers())):
        messages.success(request, "The note is in the log of the job and of the boat.")
        return redirect("workorders:log", number)
    return sending.page("workorders/note.html", frame=job_frame(request.user, found, "workorders:log"), job=found)
