"""What happens when somebody has come in."""

from __future__ import annotations

from typing import Any

from allauth.mfa.webauthn.internal.flows import did_use_passwordless_login
from django.http import HttpRequest

from staff.doors.client import UNKNOWN, counted_address, device
from staff.doors.events import note
from staff.doors.limits import remember_address
from staff.doors.models import Session
from staff.doors.sessions import SessionStore, open_door
from staff.models import Person


def on_login(sender: object, request: HttpRequest, user: Person, **kwargs: Any) -> None:
    """Write down the session, and from where it came: wrong guesses from elsewhere do not lock the person out there."""
    if (address := counted_address(request)) != UNKNOWN:
        remember_address(user, address)
    open_door(request)
    alone = ", with a passkey alone" if did_use_passwordless_login(request, user) else ""
    note("logged-in", user, by=user, detail=f"{device(request)}{alone}")
    if not Session.objects.filter(person=user).count() % 10:
        SessionStore.clear_expired()
