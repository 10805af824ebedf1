"""The pages of hours: a job's, a person's, the clocks that run, and what is said, corrected and charged of them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from staff.models import Person
from staff.policy import Permission, permission_required
from staff.queries import technicians
from staff.requests import signed_in
from vessels.wording import date_words
from web.submission import accepted, attempted
from web.typed import day_asked, sent_id, whole_number
from workorders.frames import job_frame, job_or_404
from workorders.labor.actions import (
    answer_clock,
    charge_hours,
    correct_hours,
    note_hours,
    start_clock_since,
    void_hours,
)
from workorders.labor.checking import moment_words, shop_zone
from workorders.labor.days import days_of
from workorders.labor.forms import CorrectForm, NoteForm, SinceForm, UntilForm, VoidForm
from workorders.labor.models import Stretch
from workorders.labor.queries import hours_of, hours_words, job_labor, open_clocks
from workorders.labor.strip import remember
from workorders.labor.table import as_table
from workorders.labor.touching import clock_rights, stretch_or_404, where_words
from workorders.models import JobLine

LONGEST = timedelta(days=370)


@permission_required(Permission.SEE_RECORDS)
def job_hours(request: HttpRequest, number: int) -> HttpResponse:
    """Every stretch on a job, what of it is charged, and what would be."""
    found, person = job_or_404(number), signed_in(request)
    labor = job_labor(found, shop=request.shop, reader=person)  # type: ignore[attr-defined]
    context = {
        "frame": job_frame(person, found, "labor:job"),
        "job": found,
        "labor": labor,
        **clock_rights(person, found),
        "may_price": found.is_open and person.may(Permission.SET_PRICES),
        "may_correct": person.may(Permission.CLOCK_HOURS),
        "shows_since": True,
    }
    return render(request, "workorders/labor/job.html", context)


@permission_required(Permission.SEE_RECORDS)
@require_safe
def job_csv(request: HttpRequest, number: int) -> HttpResponseBase:
    """A job's hours as a table to keep."""
    found = job_or_404(number)
    labor = job_labor(found, shop=request.shop)  # type: ignore[attr-defined]
    return as_table(f"job-{number}-hours.csv", labor.stretches)


@permission_required(Permission.SEE_RECORDS)
def running(request: HttpRequest) -> HttpResponse:
    """The clocks that run across the shop, and those of which it is asked until when they were."""
    clocks = open_clocks()
    context = {
        "clocks": clocks,
        "people": technicians().order_by("name"),
        "may_correct_others": signed_in(request).may(Permission.CORRECT_HOURS),
    }
    return render(request, "workorders/labor/running.html", context)


@permission_required(Permission.SEE_RECORDS)
def person_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """A person's hours of a week, day by day."""
    person, me = get_object_or_404(Person, pk=pk), signed_in(request)
    first, last, not_taken = _days(request)
    length = (last - first).days + 1
    days, clocks = days_of(hours_of(person, first, last)), open_clocks(person)
    context = {
        "person": person,
        "first": first,
        "last": last,
        "before": first - timedelta(days=length),
        "before_last": first - timedelta(days=1),
        "after": last + timedelta(days=1) if last < timezone.localdate() else None,
        "after_last": last + timedelta(days=length),
        "days": days,
        "not_taken": not_taken,
        "asked": clocks.asked,
        "total": sum(day.minutes for day in days),
        "may_correct": me.may(Permission.CLOCK_HOURS),
        "may_correct_others": me.may(Permission.CORRECT_HOURS),
    }
    return render(request, "workorders/labor/person.html", context)


@permission_required(Permission.SEE_RECORDS)
@require_safe
def person_csv(request: HttpRequest, pk: int) -> HttpResponseBase:
    """A person's hours as a table to keep."""
    person = get_object_or_404(Person, pk=pk)
    first, last, not_taken = _days(request)
    if not_taken:  # a file of other days than those asked for would be taken for them
        return redirect(f"{reverse('labor:person', args=[pk])}?{request.GET.urlencode()}")
    return as_table(f"{person.username}-{first}-{last}.csv", hours_of(person, first, last))


def _days(request: HttpRequest) -> tuple[date, date, str]:
    """The days that an address asks for; this week where it asks for none that can be, with why."""
    today = timezone.localdate()
    monday = today - timedelta(days=today.weekday())
    week = (monday, monday + timedelta(days=6))
    (first, first_unread), (last, last_unread) = (day_asked(request.GET.get(name, "")) for name in ("from", "to"))
    if unread := first_unread or last_unread:
        return *week, unread
    first = first or min(monday, last or monday)
    last = last or first + timedelta(days=6)
    if first > last:
        return *week, f"{date_words(first)} is after {date_words(last)}."
    if last - first > LONGEST:
        return *week, f"{date_words(first)} to {date_words(last)} is longer than {LONGEST.days} days."
    return first, last, ""


def _refuse_others(me: Person, stretch: Stretch) -> None:
    if stretch.person_id != me.pk and not me.may(Permission.CORRECT_HOURS):
        raise PermissionDenied


@permission_required(Permission.CLOCK_HOURS)
def until(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Say until when a clock that was left running was worked."""
    stretch, me = stretch_or_404(pk), signed_in(request)
    _refuse_others(me, stretch)
    form = UntilForm(request.POST if request.method == "POST" else None, stretch=stretch)
    if request.method == "POST" and _done(form, lambda: answer_clock(by=me, stretch=stretch, **form.answers())):
        stretch.refresh_from_db()
        messages.success(request, f"{hours_words(stretch.minutes or 0)} on {where_words(stretch)}. Thank you.")
        return redirect("labor:job", stretch.line.job.number)
    return _form_page(request, "until", form, stretch)


@permission_required(Permission.CLOCK_HOURS)
def correct(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Put other hours in the place of some."""
    stretch, me = stretch_or_404(pk), signed_in(request)
    _refuse_others(me, stretch)
    form = CorrectForm(request.POST if request.method == "POST" else None, stretch=stretch)
    if request.method == "POST":
        made = accepted(form, lambda: correct_hours(by=me, stretch=stretch, **form.answers()))
        if made is not None:
            messages.success(request, "The hours are corrected. What stood there before stays visible.")
            return redirect("labor:job", made.line.job.number)
    return _form_page(request, "correct", form, stretch)


@permission_required(Permission.CLOCK_HOURS)
def void(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take hours back."""
    stretch, me = stretch_or_404(pk), signed_in(request)
    _refuse_others(me, stretch)
    form = VoidForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and _done(form, lambda: void_hours(by=me, stretch=stretch, **form.answers())):
        messages.success(request, "The hours are voided. They stay visible and count for nothing.")
        return redirect("labor:job", stretch.line.job.number)
    return _form_page(request, "void", form, stretch)


def _done(form: Any, act: Callable[[], Stretch]) -> bool:
    return accepted(form, act) is not None


def _form_page(request: HttpRequest, name: str, form: Any, stretch: Stretch) -> HttpResponse:
    context = {"form": form, "stretch": stretch, "job": stretch.line.job}
    return render(request, f"workorders/labor/{name}.html", context, status=422 if form.errors else 200)


@permission_required(Permission.CLOCK_HOURS)
def since(request: HttpRequest, number: int, position: int) -> HttpResponse:
    """Clock on to a line on which one has worked for a while."""
    line = get_object_or_404(JobLine.objects.select_related("job__vessel"), job__number=number, position=position)
    form = SinceForm(request.POST if request.method == "POST" else None)
    me = signed_in(request)
    if request.method == "POST":
        made = accepted(form, lambda: start_clock_since(by=me, line=line, **form.answers()))
        if made is not None and made.started_at is not None:
            remember(request, has_clocks=True)
            at = moment_words(made.started_at, shop_zone())
            messages.success(request, f"Your clock runs on {where_words(made)}, since {at}.")
            return redirect("labor:job", number)
    context = {"form": form, "job": line.job, "line": line}
    return render(request, "workorders/labor/since.html", context, status=422 if form.errors else 200)


@permission_required(Permission.CLOCK_HOURS)
def note(request: HttpRequest, number: int) -> HttpResponse:
    """Note hours that nobody clocked."""
    found, me = job_or_404(number), signed_in(request)
    line = whole_number(request.GET.get("line", ""))
    initial = {} if line is None else {"line": found.lines.filter(position=line).values_list("pk", flat=True).first()}
    form = NoteForm(request.POST if request.method == "POST" else None, job=found, person=me, initial=initial)
    if request.method == "POST":
        made = accepted(form, lambda: note_hours(by=me, **form.answers()))
        if made is not None:
            messages.success(
                request, f"{hours_words(made.minutes or 0)} for {made.person} on line {made.line.position}."
            )
            return redirect("labor:job", number)
    context = {"form": form, "job": found}
    return render(request, "workorders/labor/note.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_PRICES)
@require_POST
def charge(request: HttpRequest, number: int) -> HttpResponse:
    """Charge what is clocked and stands in no charge yet."""
    found = job_or_404(number)
    seen = whole_number(request.POST.get("seen_minutes", "")) or 0
    position = whole_number(request.POST.get("line", ""))
    line = None if position is None else get_object_or_404(found.lines, position=position)
    if attempted(
        request,
        lambda: charge_hours(by=signed_in(request), job=found, line=line, seen_minutes=seen, entry_id=sent_id(request)),
    ):
        of_line = "" if line is None else f" on line {line.position}"
        messages.success(request, f"{hours_words(seen)} of work{of_line} are charged.")
    return redirect(f"{reverse('labor:job', args=[number])}#to-charge")
