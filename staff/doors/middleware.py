"""What is looked at on every request of somebody who is logged in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib.auth import logout
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django_htmx.http import HttpResponseClientRedirect

from commands.sender import sent_from
from staff.doors.events import tell
from staff.doors.required_steps import required_step
from staff.doors.sessions import DOOR, is_over
from staff.models import Person
from web.typed import sent_at


class DoorsMiddleware:
    """Ends sessions that are over, leads people to what has to come first, and keeps their pages out of caches."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer; what is seen after a login stays in no browser's memory once the person has left."""
        person = request.user if isinstance(request.user, Person) else None
        if person and is_over(request, request.shop):  # type: ignore[attr-defined]  # set by the shop's middleware
            tell("session over", person=person)
            logout(request)
        with sent_from(str(request.session.get(DOOR, {}).get("device", "")), lambda: sent_at(request)):
            answer = self.get_response(request)
        if person and not answer.has_header("Cache-Control"):
            answer["Cache-Control"] = "private, no-store"
        return answer

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Before anything else a given password is changed, and a second factor set up where the role needs one."""
        if not isinstance(request.user, Person):
            return None
        where = required_step(request.user, request.shop)  # type: ignore[attr-defined]
        if where is None or not where.comes_before(request, view):
            return None
        address = where.address()
        return HttpResponseClientRedirect(address) if request.htmx else redirect(address)  # type: ignore[attr-defined]

    def process_exception(self, request: HttpRequest, exception: Exception) -> None:
        """A refusal by role is told; the page that says so comes from elsewhere."""
        if isinstance(exception, PermissionDenied) and isinstance(request.user, Person):
            where = request.resolver_match.view_name if request.resolver_match else None
            tell("refused by role", person=request.user, role=request.user.role, where=where, method=request.method)
