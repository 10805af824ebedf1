"""What a request may bring, how much and in which characters, and health before all that asks the database."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import Http404, HttpRequest, HttpResponse, QueryDict, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.shortcuts import render
from django_structlog.middlewares import RequestMiddleware

from shopfloor.health import health
from web.typed import announced_size, whole_number

MEGABYTE = 1024 * 1024
MOST_ROWS = 200  # of one kind in a form
ROWS_SENT = "-TOTAL_FORMS"
NUL = "\x00"
SECRET_PART = re.compile(r"^(/calendar/)[^?]*?(\.ics.*)?$")

Answering = Callable[[HttpRequest], HttpResponse]


class AddressMiddleware:
    """Leaves out of an address what no text of the database can hold; with it in the path there is nothing there."""

    def __init__(self, get_response: Answering) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Give every view a query without NUL."""
        if "%00" in request.META.get("QUERY_STRING", ""):
            clean = QueryDict(mutable=True)
            for name, values in request.GET.lists():
                clean.setlist(name.replace(NUL, ""), [value.replace(NUL, "") for value in values])
            request.GET = clean  # type: ignore[assignment]  # as mutable as nobody minds
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Any, args: tuple[Any, ...], kwargs: dict[str, Any]) -> None:
        """Nothing is found under a name that has a NUL in it."""
        if any(isinstance(value, str) and NUL in value for value in (*args, *kwargs.values())):
            raise Http404("no name has a NUL in it")


class HealthMiddleware:
    """Answers ``/health/`` before session and login are looked for: they need the database that may be away."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, or pass on."""
        return health(request) if request.path_info == "/health/" else self.get_response(request)


class BodyLimitMiddleware:
    """Refuses a body that is larger than the limit before a byte of it is kept, and a form of too many pieces.

    Django reads no more of a body than was announced, so the announcement is all there is to check of its size. A view
    with the attribute ``limits_its_body`` has a limit of its own, and looks to it that nobody else's body is read.
    """

    def __init__(self, get_response: Answering) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Let the request through to its view; nothing reads the body on the way there."""
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        """Say how much a request may bring, where this one brings more."""
        if getattr(view, "limits_its_body", False):
            return None
        try:
            sentence = _why_too_much(request)
        except (MultiPartParserError, UnreadablePostError):
            return render(request, "400.html", status=400)
        return render(request, "413.html", {"sentence": sentence}, status=413) if sentence else None


_MOST_IN_ALL = "At most {} MB can be sent with one form. Choose a smaller file."
_MOST_WORDS = "At most {} MB of text can be sent with one form. Paste less of it, or send it as a file."
_TOO_MANY_FIELDS = "The form has more fields than any form of this program. Reload the page."
_TOO_MANY_ROWS = f"A form has at most {MOST_ROWS} rows of a kind. Send the others with another one."


def _why_too_much(request: HttpRequest) -> str:
    """What a request brings too much of, or nothing."""
    if announced_size(request) > settings.BODY_LIMIT:
        return _MOST_IN_ALL.format(settings.BODY_LIMIT // MEGABYTE)
    if request.method != "POST":
        return ""
    try:
        rows = [value for name, value in request.POST.items() if name.endswith(ROWS_SENT)]
    except RequestDataTooBig:
        return _MOST_WORDS.format(settings.DATA_UPLOAD_MAX_MEMORY_SIZE // MEGABYTE)
    except (TooManyFieldsSent, TooManyFilesSent):
        return _TOO_MANY_FIELDS
    counts = [whole_number(str(value), digits=9) for value in rows]
    return _TOO_MANY_ROWS if any(count is None or count > MOST_ROWS for count in counts) else ""


class LogMiddleware(RequestMiddleware):  # type: ignore[misc]
    """Writes requests into the log, but not the secret part of an address."""

    @staticmethod
    def format_request(request: HttpRequest) -> str:
        """Method and address."""
        address = SECRET_PART.sub(r"\1…\2", request.get_full_path())
        return f"{request.method} {address}"
