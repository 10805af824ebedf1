"""The page of one's own login: where one is logged in, and what happened."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from engineering.plurals import plural
from staff.doors.factors import has_factor
from staff.doors.sessions import end_sessions, open_sessions
from staff.policy import Permission, permission_required
from staff.queries import account_events
from staff.requests import signed_in


@permission_required(Permission.SEE_RECORDS)
def own_login(request: HttpRequest) -> HttpResponse:
    """Password, open sessions, and what happened to one's login lately."""
    person = signed_in(request)
    context = {
        "sessions": [(session, session.pk == request.session.session_key) for session in open_sessions(person)],
        "has_factor": has_factor(person),
        "events": account_events(person),
    }
    return render(request, "staff/own_login.html", context)


@require_POST
@permission_required(Permission.SEE_RECORDS)
def end_session(request: HttpRequest, number: UUID) -> HttpResponse:
    """End one of one's own sessions."""
    person = signed_in(request)
    if end_sessions(person, by=person, number=number):
        messages.success(request, "That session is ended. To use it again, that person has to log in.")
    else:
        messages.info(request, "That session had already ended.")
    return redirect("staff:own_login")


@require_POST
@permission_required(Permission.SEE_RECORDS)
def end_other_sessions(request: HttpRequest) -> HttpResponse:
    """End all of one's own sessions but this one."""
    person = signed_in(request)
    ended = end_sessions(person, by=person, but=request.session.session_key)
    messages.success(request, f"{ended} {plural(ended, 'other session')} ended. You are logged in only here now.")
    return redirect("staff:own_login")
