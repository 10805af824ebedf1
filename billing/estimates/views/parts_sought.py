"""A line of an estimate while a part of the catalog is looked for: what was typed stays, what was chosen comes in."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from billing.estimates.forms import EstimateLineForm
from workorders.jobparts.views import choosing
from workorders.money import ChargeKind

CHECKED = ("is_flat", "taxable", "is_core", "core_back")


def is_sent(request: HttpRequest) -> bool:
    """Whether the line was sent to be kept, and not only a part looked for or chosen."""
    return request.method == "POST" and request.POST.get("step", "save") == "save"


def as_typed(request: HttpRequest) -> dict[str, Any]:
    """What the form shows again: all that was typed, and of a part that was chosen its number, words and price."""
    if request.method != "POST":
        return {}
    names = EstimateLineForm.base_fields
    shown: dict[str, Any] = {name: value for name, value in request.POST.items() if name in names}
    shown |= {name: name in request.POST for name in CHECKED}
    part = choosing.chosen(request) if request.POST.get("step", "").startswith(choosing.CHOOSE) else None
    if part is not None:
        shown |= {
            "kind": ChargeKind.PART.value,
            "chosen_part": part.pk,
            "part_number": part.number,
            "description": f"{part.number} {part.description}"[:160],
            "unit_price": part.unit_price or None,
        }
    return shown
