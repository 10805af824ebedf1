"""What a person is told when the database is away, the disk is full, or something broke."""

from __future__ import annotations

import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from files.room import is_full_disk, with_causes

RETRY_AFTER_SECONDS = 10


def is_database_away(problem: BaseException | None) -> bool:
    """Whether the database could not be asked: it is down, is starting, or closed the connection."""
    for one in with_causes(problem):
        if isinstance(one, InterfaceError):
            return True
        if isinstance(one, OperationalError):
            state = getattr(one.__cause__, "sqlstate", None) or ""
            return state == "" or state.startswith(("08", "57P", "53"))
    return False


def went_wrong(request: HttpRequest) -> HttpResponse:
    """The page for what nobody caught: which sentence, depends on what it was. Asks nothing of the database."""
    problem = sys.exc_info()[1]
    if is_full_disk(problem):
        return HttpResponse(render_to_string("507.html"), status=507)
    if is_database_away(problem):
        answer = HttpResponse(render_to_string("503.html"), status=503)
        answer["Retry-After"] = str(RETRY_AFTER_SECONDS)
        return answer
    return HttpResponse(render_to_string("500.html"), status=500)
