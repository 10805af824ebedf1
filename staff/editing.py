"""Saving a record that two people may have open at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar

from django.db import models

from staff.models import Person
from staff.refusals import Conflict

M = TypeVar("M", bound=models.Model)


def apply_changes(instance: M, *, seen_version: int, changes: Mapping[str, Any], by: Person) -> dict[str, tuple[Any, Any]]:
    """Save ``changes`` if nobody saved the record since ``seen_version``; call inside a transaction.

    The model has ``version`` and may have ``changed_by``. Returns ``{field: (before, after)}`` of what really changed.

    Raises:
        Conflict: somebody else changed a field to something else in the meantime. Nothing is written.
    """
    stored = type(instance)._default_manager.select_for_update(of=("self",)).get(pk=instance.pk)
    version: int = stored.version  # type: ignore[attr-defined]
    differing = {name: value for name, value in changes.items() if getattr(stored, name) != value}
    if version != seen_version and differing:
        who = getattr(stored, "changed_by", None)
        raise Conflict(
            "Somebody saved this while you were typing. Nothing of yours is lost: compare both below, then save again.",
            theirs={name: getattr(stored, name) for name in differing},
            mine=differing,
            by=str(who) if who else "somebody else",
        )
    changed = {name: (getattr(stored, name), value) for name, value in differing.items()}
    if changed:
        for name, value in differing.items():
            setattr(stored, name, value)
        stored.version = version + 1  # type: ignore[attr-defined]
        if hasattr(stored, "changed_by_id"):
            stored.changed_by = by
        stored.save()
    instance.refresh_from_db()
    return changed
