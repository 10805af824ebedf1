"""The call list, and noting a call."""

from __future__ import annotations

from typing import ClassVar
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.forms.fields import EntryForm
from vessels.wording import date_words
from web.submission import Submission
from workorders.calls.actions import note_call
from workorders.calls.asking import MOST
from workorders.calls.listing import first_calls, page_of_calls
from workorders.calls.models import Call
from workorders.forms.fields import DayField
from workorders.frames import job_or_404

FEW = 10


class CallForm(EntryForm):
    """A call that was made."""

    who = forms.CharField(label="Who was called", max_length=80)
    said = forms.CharField(label="What was said", max_length=500)
    again_on = DayField(label="Call again on", required=False)

    look: ClassVar[dict[str, str]] = {"who": "half", "again_on": "half"}


@permission_required(Permission.NOTE_CALLS)
def calls(request: HttpRequest) -> HttpResponse:
    """Whom to call, about what, and what was said last."""
    currency = request.shop.currency  # type: ignore[attr-defined]
    if request.htmx:  # type: ignore[attr-defined]
        context = {
            "calls": first_calls(currency=currency),
            "may_note": True,
            "back": "today",
            "is_part": True,
            "most": MOST,
        }
        return render(request, "workorders/calls/sections.html", context)
    calls = page_of_calls(request.GET.get("after", ""), currency=currency)
    context = {
        "calls": calls,
        "may_note": True,
        "most": MOST,
        "previous_url": "" if calls.is_first else request.path,
        "next_url": f"{request.path}?{urlencode({'after': calls.after})}" if calls.after else "",
    }
    return render(request, "workorders/calls/list.html", context)


@permission_required(Permission.NOTE_CALLS)
def note(request: HttpRequest, number: int) -> HttpResponse:
    """Note a call about a job."""
    job = job_or_404(number)
    initial = {"who": job.customer.contact or job.customer.name}
    form = CallForm(request.POST if request.method == "POST" else None, initial=initial)
    sending = Submission(request, form)
    if sending.save(lambda: note_call(by=signed_in(request), job=job, **form.answers())):
        again = form.cleaned_data["again_on"]
        later = f" It comes back on {date_words(again)}." if again else ""
        messages.success(request, f"Noted for job {job.number}.{later}")
        return redirect("today" if request.POST.get("back") == "today" else "calls:list")
    earlier = Call.objects.filter(job=job).select_related("by")[:FEW]
    return sending.page("workorders/calls/note.html", job=job, earlier=earlier, back=request.POST.get("back", ""))
