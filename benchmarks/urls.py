"""The program's addresses, and one page that renders only the frame: what every page is held against."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import path

from shopfloor.urls import urlpatterns as house

BARE = "/bench/bare/"
_FRAME = engines["django"].from_string(
    '{% extends "base.html" %}{% block title %}Bare{% endblock %}{% block heading %}Bare{% endblock %}'
)


def bare(request: HttpRequest) -> HttpResponse:
    """The frame of the house around nothing, for somebody who is logged in."""
    return HttpResponse(_FRAME.render({}, request))


urlpatterns = [path(BARE[1:], bare), *house]
