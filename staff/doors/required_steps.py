"""What a person has to do before anything else: choose a password of their own, set up a second factor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from staff.doors.factors import has_factor
from staff.models import Person, ShopProfile


@dataclass(frozen=True)
class RequiredStep:
    """One thing to do first: the page where it is done, and the pages that it may need."""

    page: str
    also: frozenset[str] = frozenset()

    def comes_before(self, request: HttpRequest, view: Callable[..., Any]) -> bool:
        """Whether it has to be done before this page: not before those for everybody, nor before logging out."""
        if not getattr(view, "login_required", True) or request.resolver_match is None:
            return False
        return request.resolver_match.view_name not in {self.page, "account_logout", *self.also}

    def address(self) -> str:
        """Where it is done."""
        return reverse(self.page)


SECOND_FACTOR = RequiredStep(
    "staff:factors",
    frozenset({"staff:factor_app", "staff:factor_passkey", "staff:factor_codes", "account_change_password"}),
)
OWN_PASSWORD = RequiredStep("account_change_password")


def required_step(person: Person, shop: ShopProfile) -> RequiredStep | None:
    """What comes first for this person, or nothing."""
    if person.password_is_temporary:
        return OWN_PASSWORD
    if person.role in shop.second_factor_roles and not has_factor(person):
        return SECOND_FACTOR
    return None
