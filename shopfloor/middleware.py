"""A limit on what one request may bring, and health before all that asks the database."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shopfloor.health import health

MEGABYTE = 1024 * 1024


class HealthMiddleware:
    """Answers ``/health/`` before session and login are looked for: they need the database that may be away."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or pass on."""
        return health(request) if request.path_info == "/health/" else self.get_response(request)


class BodyLimitMiddleware:
    """Refuses a body that is announced as larger than the limit, before a byte of it is kept.

    Django reads no more of a body than was announced, so the announcement is all there is to check. A view with the
    attribute ``limits_its_body`` has a limit of its own, and looks to it that nobody else's body is read.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through to its view; nothing reads the body on the way there."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Say how large a request may be, where this one is larger."""
        announced = request.headers.get("Content-Length", "")
        if getattr(view, "limits_its_body", False) or not announced.isdigit() or int(announced) <= settings.BODY_LIMIT:
            return None
        return render(request, "413.html", {"most": settings.BODY_LIMIT // MEGABYTE}, status=413)
