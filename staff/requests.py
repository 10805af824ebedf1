"""Who asks."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from staff.models import Person


def signed_in(request: HttpRequest) -> Person:
    """The person who asks. The login middleware let nobody else through."""
    if not isinstance(request.user, Person):
        raise PermissionDenied
    return request.user
