"""How login behaves: nobody signs up by themselves, and its answers do not tell who works here."""

from __future__ import annotations

from typing import Any, ClassVar

from allauth.account.adapter import DefaultAccountAdapter
from django.contrib.auth import authenticate
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from staff.doors.client import client_address, counted_address
from staff.doors.events import tell
from staff.doors.limits import LOGINS
from staff.models import Person


class ClosedShopAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """People are added by the owner, never by themselves."""

    error_messages: ClassVar[dict[str, Any]] = {
        **DefaultAccountAdapter.error_messages,
        "username_password_mismatch": (
            "This user name and password do not match. Check both; the password is case-sensitive."
        ),
        "too_many_login_attempts": (
            "Too many failed attempts. Wait five minutes, then try again. "
            "If you forgot your password, the owner can set a new one."
        ),
        "enter_current_password": "This is not your current password. Type the one that you logged in with.",
    }

    def authenticate(self, request: HttpRequest, **credentials: Any) -> Person | None:
        """Whose user name and password these are: counted before anybody looks, by person and by address."""
        name = str(credentials.get("username", "")).strip().lower()
        person = Person.objects.filter(username=name).first()
        attempt = LOGINS.attempt(name, counted_address(request), person)
        if attempt is None:
            tell("login locked", person=person)
            raise self.validation_error("too_many_login_attempts")
        found = authenticate(request, **credentials)
        if not isinstance(found, Person):
            tell("login failed", person=person)
            return None
        attempt.was_right()
        return found

    def get_client_ip(self, request: HttpRequest) -> str:
        """The address that everything else here goes by."""
        return client_address(request)

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody signs up by themselves."""
        return False

    def get_password_change_redirect_url(self, request: HttpRequest) -> str:
        """Back to work after a new password."""
        return reverse("today")

    def respond_user_inactive(self, request: HttpRequest, user: object) -> HttpResponse:
        """Somebody who left while logging in is sent back to the login, as anybody unknown is."""
        return redirect("account_login")
