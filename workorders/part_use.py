"""Where a catalog part was charged: the section of this floor on a part's page."""

from __future__ import annotations

from typing import Any

from parts.models import Part
from parts.sections import Section, register
from workorders.models import Charge

FEW = 20


def register_part_use() -> None:
    """Add the section to a part's page."""
    register(Section("use", "workorders/part_use.html", use_of_part))


def use_of_part(part: Part) -> dict[str, Any]:
    """The last charges of a part with their jobs and boats, and how many there are: two queries."""
    charges = Charge.objects.filter(part=part, struck_at=None)
    return {
        "charges": list(charges.select_related("job__vessel").order_by("-added_at", "-pk")[:FEW]),
        "charged": charges.count(),
    }
