"""Writing a change of identity into the log: what stood there before, and what stands there now."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import models

from staff.models import Person
from vessels.log.chain import NewEntry, append
from vessels.models import DetailsChange, Engine, Vessel
from vessels.wording import label_of, value_words

DERIVED = frozenset({"length_m", "rated_power_kw"})
"""Columns worked out from what was entered; the log tells what was entered."""


def log_details_change(
    *,
    by: Person,
    vessel: Vessel,
    record: models.Model,
    subject: str,
    changed: Mapping[str, tuple[Any, Any]],
    engine: Engine | None = None,
    entry_id: uuid.UUID | None = None,
    happened_at: datetime | None = None,
) -> None:
    """Log what changed on a record, by the labels that people know."""
    told = {
        label_of(record, name): [value_words(record, name, before), value_words(record, name, after)]
        for name, (before, after) in changed.items()
        if name not in DERIVED
    }
    if not told:
        return
    append(
        NewEntry(
            kind="details-changed",
            vessel=vessel,
            author=by,
            summary=f"{subject}: {', '.join(told)} changed",
            engine=engine,
            id=entry_id,
            happened_at=happened_at,
        ),
        detail=DetailsChange(subject=subject[:80], changes=told),
    )
