"""Sections of a customer's page. Each belongs to the app that knows it; upper apps register theirs in ``ready``."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from staff.policy import Permission, may
from vessels.models import Customer
from web.registry import Registry


@dataclass(frozen=True)
class Section:
    """One section: a template, and the function that makes what the template gets as ``section``.

    The function gets the customer and returns None where there is nothing to show.
    """

    template: str
    context: Callable[[Customer], Any]
    position: int
    permission: Permission = Permission.SEE_RECORDS


@dataclass(frozen=True)
class ShownSection:
    """A section with what its template shows."""

    template: str
    content: Any


_sections: Registry[Section] = Registry(lambda section: section.template)
register, sections = _sections.register, _sections.in_order


def shown_sections(request: HttpRequest, customer: Customer) -> list[ShownSection]:
    """The sections that this person may see and that have something to show, in order."""
    shown = []
    for section in sections():
        if may(request.user, section.permission):
            content = section.context(customer)
            if content is not None:
                shown.append(ShownSection(section.template, content))
    return shown
