"""A limit on what one request may bring."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

MEGABYTE = 1024 * 1024


class BodyLimitMiddleware:
    """Refuses a body that is announced as larger than the limit, before a byte of it is kept.

    Django reads no more of a body than was announced, so the announcement is all there is to check.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request, or say how large it may be."""
        announced = request.headers.get("Content-Length", "")
        if announced.isdigit() and int(announced) > settings.BODY_LIMIT:
            most = settings.BODY_LIMIT // MEGABYTE
            sentence = f"This is too large: at most {most} MB can be sent at once. Go back and choose a smaller file.\n"
            return HttpResponse(sentence, status=413, content_type="text/plain; charset=utf-8")
        return self.get_response(request)
