"""Asking the table of ``staff.roles``: by an action, which refuses, and by a view."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Concatenate, ParamSpec

from django.core.exceptions import PermissionDenied

from commands.hooks import ask_with
from commands.refusals import Refused
from staff.roles import ALLOWED, Permission, Role, may

if TYPE_CHECKING:
    from django.http import HttpRequest
    from django.http.response import HttpResponseBase

    from staff.models import Person

__all__ = ["ALLOWED", "Permission", "Role", "may", "permission_required", "require"]

P = ParamSpec("P")


def require(person: Person, permission: Permission) -> None:
    """Refuse unless the person may do it; for actions.

    Raises:
        Refused: with the sentence that says what may not be done.
    """
    if not may(person, permission):
        raise Refused(f"Your role does not allow you to {permission.value}. Ask a manager or the owner.")


ask_with(require)


def permission_required(
    permission: Permission, *, to_post: Permission | None = None
) -> Callable[
    [Callable[Concatenate[HttpRequest, P], HttpResponseBase]], Callable[Concatenate[HttpRequest, P], HttpResponseBase]
]:
    """Name a view's permission beside it; ``to_post`` is what a POST needs when it is more."""

    def decorate(
        view: Callable[Concatenate[HttpRequest, P], HttpResponseBase],
    ) -> Callable[Concatenate[HttpRequest, P], HttpResponseBase]:
        @wraps(view)
        def guarded(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponseBase:
            needed = to_post if to_post and request.method not in {"GET", "HEAD", "OPTIONS"} else permission
            if not may(request.user, needed):
                raise PermissionDenied(f"Your role does not allow you to {needed.value}.")
            return view(request, *args, **kwargs)

        guarded.permission = permission  # type: ignore[attr-defined]
        guarded.permission_to_post = to_post or permission  # type: ignore[attr-defined]
        return guarded

    return decorate
