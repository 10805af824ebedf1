"""Sections of a vessel's overview. Each belongs to the app that knows it; upper apps register theirs in ``ready``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from staff.policy import Permission, may
from vessels.models import Vessel
from web.registry import Registry


@dataclass(frozen=True)
class Section:
    """One section: a template, and the function that makes what the template gets as ``section``.

    The function returns None where there is nothing to show. Its queries must not grow with the vessel's history.
    """

    template: str
    context: Callable[[HttpRequest, Vessel], Any]
    position: int
    permission: Permission = Permission.SEE_RECORDS


@dataclass(frozen=True)
class ShownSection:
    """A section with what its template shows."""

    template: str
    content: Any


_sections: Registry[Section] = Registry(lambda section: section.template)


def register(
    template: str,
    context: Callable[[HttpRequest, Vessel], Any],
    position: int,
    permission: Permission = Permission.SEE_RECORDS,
) -> None:
    """Add a section to the overview. The vessel's own: identity 10, engines 20, log 90."""
    _sections.register(Section(template, context, position, permission))


def shown_sections(request: HttpRequest, vessel: Vessel) -> list[ShownSection]:
    """The sections that this person may see and that have something to show, in order."""
    shown = []
    for section in _sections.in_order():
        if may(request.user, section.permission):
            content = section.context(request, vessel)
            if content is not None:
                shown.append(ShownSection(section.template, content))
    return shown
