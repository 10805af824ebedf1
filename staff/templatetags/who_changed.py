"""The way from a record to what the journal has of it."""

from __future__ import annotations

from typing import Any

from django import template
from django.db import models

from commands.content import named
from staff.policy import Permission, may

register = template.Library()


@register.inclusion_tag("components/who_changed.html", takes_context=True)
def who_changed(
    context: dict[str, Any], record: models.Model | str, what: object = "", also: str = ""
) -> dict[str, object]:
    """The link to the acts on a record, for who may see the journal; it asks the database nothing.

    ``record`` may be its name in the journal, for one that the page has not read. ``what`` names it where the page
    shows several. ``also`` are names of further records, with spaces between them, whose acts are its story too.
    """
    request = context.get("request")
    may_see = request is not None and may(request.user, Permission.MANAGE_STAFF)
    name = record if isinstance(record, str) else named(record)
    return {"record": f"{name} {also}".strip() if may_see else "", "what": what}
