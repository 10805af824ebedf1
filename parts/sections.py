"""Sections of a part's page. Floors above register what they know of a part, so that this one imports none of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from parts.models import Part
from staff.policy import Permission


@dataclass(frozen=True)
class Section:
    """One section: ``facts`` gives the template its context, in a fixed number of queries."""

    slug: str
    template: str
    facts: Callable[[Part], Mapping[str, Any]]
    position: int = 50
    permission: Permission = Permission.SEE_RECORDS


_sections: dict[str, Section] = {}


def register(section: Section) -> None:
    """Add a section; called from an app's ``ready``."""
    _sections[section.slug] = section


def sections() -> list[Section]:
    """All sections in order."""
    return sorted(_sections.values(), key=lambda section: (section.position, section.slug))
