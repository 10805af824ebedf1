"""Choosing a part of the catalog on a form, with and without scripts: by buttons that send what was typed along."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from parts.models import Part
from parts.queries import find_parts
from web.typed import whole_number

CHOOSE = "part:"
FEW = 8


def sought(request: HttpRequest) -> str:
    """What is looked for in the catalog."""
    return (request.POST if request.method == "POST" else request.GET).get("q", "").replace("\0", "")[:100]


def found(text: str) -> list[Part] | None:
    """The parts still sold that fit; None where nothing is looked for."""
    return list(find_parts(text, at_most=FEW, sold_only=True)) if text.strip() else None


def is_only_looking(request: HttpRequest) -> bool:
    """Whether only the list of parts is asked for, while somebody types."""
    return bool(request.htmx) and request.htmx.target == "parts-found"  # type: ignore[attr-defined]


def chosen(request: HttpRequest) -> Part | None:
    """The part that a button of the list chose, or that the form carries."""
    step = request.POST.get("step", "")
    if step == CHOOSE:
        return None
    key = step.removeprefix(CHOOSE) if step.startswith(CHOOSE) else request.POST.get("part", "")
    number = whole_number(key or request.GET.get("part", ""))
    return None if number is None else Part.objects.filter(pk=number).first()


def is_sent(request: HttpRequest) -> bool:
    """Whether the form was sent, and not only a part chosen on it."""
    return request.method == "POST" and request.POST.get("step", "log") == "log"


def as_typed(request: HttpRequest, part: Part | None) -> dict[str, Any]:
    """What a form shows again after a part was looked for or chosen: all that was typed, and what the part brings."""
    shown: dict[str, Any] = {}
    if request.method == "POST":
        left_out = {"csrfmiddlewaretoken", "step", "q", "part"}
        shown = {name: value for name, value in request.POST.items() if name not in left_out}
    if part is not None:
        shown |= {"part": part.pk, "number": part.number, "description": part.description, "maker": part.maker}
    elif request.POST.get("step") == CHOOSE:
        shown |= {"number": "", "description": "", "maker": ""}
    return shown
