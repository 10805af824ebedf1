"""How login behaves: nobody signs up by themselves."""

from __future__ import annotations

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class ClosedShopAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """People are added by the owner, never by themselves."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        """Nobody signs up by themselves."""
        return False
