"""Sections of a part's page. Floors above register what they know of a part, so that this one imports none of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from parts.models import Part
from staff.policy import Permission
from web.registry import Registry


@dataclass(frozen=True)
class Section:
    """One section: ``facts`` gives the template its context, in a fixed number of queries."""

    slug: str
    template: str
    facts: Callable[[Part], Mapping[str, Any]]
    position: int = 50
    permission: Permission = Permission.SEE_RECORDS


_sections: Registry[Section] = Registry(lambda section: section.slug)
register, sections = _sections.register, _sections.in_order
