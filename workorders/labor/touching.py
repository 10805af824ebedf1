"""The buttons of a clock: touched on a page, or kept on a device without a connection and sent later.

A script sends the touch with its own time, and asks for JSON: it has to know what became of the touch before it lets
go of it. Without scripts the button is a form, and the page that follows says the same.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.typed import moment_of, sent_id
from workorders.labor.actions import pause_clock, start_clock, stop_clock, take_over
from workorders.labor.checking import moment_words, shop_zone
from workorders.labor.models import Stretch
from workorders.labor.queries import hours_words
from workorders.labor.strip import remember
from workorders.models import Job, JobLine

Act = Callable[..., Stretch]
TOUCHED_BY_ANOTHER = "Somebody else is logged in here now. It is sent when who touched it is logged in again."


def clock_rights(person: Person, job: Job) -> dict[str, bool]:
    """What the buttons of a job's clocks go by: a clock that runs is stopped also on a job that has ended."""
    may = person.may(Permission.CLOCK_HOURS)
    return {
        "may_clock": job.is_open and may,
        "may_stop": may,
        "may_correct_others": person.may(Permission.CORRECT_HOURS),
    }


def stretch_or_404(pk: UUID) -> Stretch:
    """A stretch with what a page about it shows."""
    return get_object_or_404(
        Stretch.objects.select_related("person", "line__job__vessel", "line__job__customer"), pk=pk
    )


def where_words(stretch: Stretch) -> str:
    """Where somebody worked: "job 1032, line 1"."""
    return f"job {stretch.line.job.number}, line {stretch.line.position}"


@permission_required(Permission.CLOCK_HOURS)
@require_POST
def start(request: HttpRequest, number: int, position: int) -> HttpResponse:
    """Clock on to a line."""
    line = get_object_or_404(JobLine.objects.select_related("job__vessel"), job__number=number, position=position)
    me, said = signed_in(request), _said(request)
    own = Stretch.objects.filter(person=me, source="clock").select_related("line__job")
    ran = own.filter(is_open=True).first()
    before = own.filter(started_at__lt=said["happened_at"] or timezone.now()).order_by("-started_at", "-pk").first()

    def act() -> str:
        made = start_clock(by=me, line=line, **said)
        made.refresh_from_db()
        return f"{_runs_or_ran(made)}{_stopped(ran, made)}{_cut(before, made)}"

    return _answered(request, number, act)


@permission_required(Permission.CLOCK_HOURS)
@require_POST
def stop(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Clock off."""
    return _touch(request, pk, stop_clock, lambda one: f"The clock on {where_words(one)} is off{_length(one)}.")


@permission_required(Permission.CLOCK_HOURS)
@require_POST
def pause(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Interrupt the work on a line."""
    reason = request.POST.get("reason", "")
    return _touch(
        request, pk, pause_clock, lambda one: f"The clock on {where_words(one)} is paused{_length(one)}.", reason=reason
    )


@permission_required(Permission.CLOCK_HOURS)
@require_POST
def take(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Take a line over from another technician."""
    return _touch(
        request,
        pk,
        take_over,
        lambda one: f"You took {where_words(one)} over from {one.person}{_length(one)}.",
        says_more=lambda made: "Your clock runs." if made.is_open else _runs_or_ran(made),
    )


def _touch(
    request: HttpRequest,
    pk: UUID,
    act: Act,
    say: Callable[[Stretch], str],
    *,
    says_more: Callable[[Stretch], str] | None = None,
    **more: Any,
) -> HttpResponse:
    """One button of a clock that runs."""
    stretch = stretch_or_404(pk)

    def done() -> str:
        made = act(by=signed_in(request), stretch=stretch, **_said(request), **more)
        stretch.refresh_from_db()
        if says_more is None:
            return say(stretch)
        made.refresh_from_db()
        return f"{say(stretch)} {says_more(made)}"

    return _answered(request, stretch.line.job.number, done)


def _said(request: HttpRequest) -> dict[str, Any]:
    return {"happened_at": moment_of(request.POST.get("happened_at", "")), "entry_id": sent_id(request)}


def _answered(request: HttpRequest, number: int, act: Callable[[], str]) -> HttpResponse:
    """What became of a touch: to the script that sent it, to the page that follows, or to both."""
    by_script = request.headers.get("Accept") == "application/json"
    touched_by = request.POST.get("touched_by", "")
    if touched_by and touched_by != str(signed_in(request).pk):
        return JsonResponse({"said": TOUCHED_BY_ANOTHER}, status=409)
    tells_page = not by_script or request.POST.get("follows") == "page"
    try:
        said, status = act(), 200
    except Refused as refusal:
        said, status = refusal.sentence, 422
    remember(request, has_clocks=True)
    if tells_page:
        (messages.success if status == 200 else messages.error)(request, said)
    return JsonResponse({"said": said}, status=status) if by_script else _back(request, number)


def _back(request: HttpRequest, number: int) -> HttpResponse:
    """Where a button was touched, or the job's hours."""
    back = request.POST.get("back", "")
    if back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None):
        return redirect(back)
    return redirect("labor:job", number)


def _runs_or_ran(made: Stretch) -> str:
    """What a clock that was started does now: one that was sent late may have ended already."""
    where = where_words(made)
    if made.is_open:
        return f"Your clock runs on {where}."
    if made.minutes is None:
        return f"Until when you worked on {where} has still to be said."
    return f"Your clock ran on {where}{_length(made).replace(' after', ' for')}."


def _stopped(ran: Stretch | None, made: Stretch) -> str:
    """What became of the clock that ran before."""
    if ran is None or ran.pk == made.pk:
        return ""
    ran.refresh_from_db()
    where = where_words(ran)
    if ran.is_left_open:
        return f" Until when you worked on {where} has still to be said."
    if ran.is_open or ran.minutes is None or ran.ended_at is None:
        return ""
    at = moment_words(ran.ended_at, shop_zone())
    return f" The one on {where} stopped at that moment, {at}: {hours_words(ran.minutes)}."


def _cut(before: Stretch | None, made: Stretch) -> str:
    """What became of hours that were known, and that a clock which was sent late begins within."""
    was = before.minutes if before is not None and before.pk != made.pk else None
    if before is None or was is None:
        return ""
    before.refresh_from_db()
    if before.minutes is None or before.minutes == was:
        return ""
    end = f"Your hours on {where_words(before)} end at that moment now"
    return f" {end}: {hours_words(before.minutes)} instead of {hours_words(was)}."


def _length(stretch: Stretch) -> str:
    if stretch.minutes is None:
        return ""
    return f" after {hours_words(stretch.minutes) if stretch.minutes else 'less than a minute'}"
