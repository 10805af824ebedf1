"""Every form that a person sends can be asked a question once."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from commands.questions import FIELD, asking


class AskingMiddleware:
    """Takes what the form was asked before; it is read when something is in doubt, after the view read the form."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """The answer of the view."""
        if request.method != "POST":
            return self.get_response(request)
        with asking(lambda: request.POST.getlist(FIELD)):
            return self.get_response(request)
