"""The notices that the shop prints on its papers."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from billing.documents.models import Notice
from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from web.versions import apply_changes
from workorders.actions.checking import refuse_unsound

FIELDS = ("title", "text", "citation", "on_estimates", "on_invoices", "position")
MOST = 3000


@command("add_notice", needs=Permission.MANAGE_SHOP)
def add_notice(
    *,
    by: Person,
    title: str,
    text: str,
    citation: str = "",
    on_estimates: bool = False,
    on_invoices: bool = False,
    position: int = 100,
    entry_id: uuid.UUID | None = None,
) -> Notice:
    """Print a notice on papers that are made from now on.

    Raises:
        Refused: it says nothing, or is too long.
    """
    notice = Notice(
        title=title.strip(), text=text.strip(), citation=citation.strip(), on_estimates=on_estimates,
        on_invoices=on_invoices, position=position, changed_by=by,
    )  # fmt: skip
    _refuse_unsaid(notice)
    notice.save()
    return notice


@command("change_notice", needs=Permission.MANAGE_SHOP, writes_to="notice")
def change_notice(
    *, by: Person, notice: Notice, seen_version: int, changes: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> Notice:
    """Change a notice. Papers that were made before keep what they said.

    Raises:
        Conflict: somebody else changed it meanwhile.
        Refused: it says nothing, or is too long.
    """
    told = {name: value.strip() if isinstance(value, str) else value for name, value in changes.items()}
    wished = Notice.objects.get(pk=notice.pk)
    for name, value in told.items():
        if name not in FIELDS:
            raise ValueError(f"a notice has no {name}")
        setattr(wished, name, value)
    _refuse_unsaid(wished)
    apply_changes(notice, seen_version=seen_version, changes=told, by=by)
    return notice


def _refuse_unsaid(notice: Notice) -> None:
    refuse_unsound(notice, ["title", "text", "citation", "position"])
    if len(notice.text) > MOST:
        raise Refused("This is too long.", fields={"text": f"No more than {MOST:,} characters."})
