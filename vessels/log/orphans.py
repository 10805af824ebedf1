"""Rows that hang on the log and that no digest can cover: details of a kind that their entry is not of."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator

from django.db import models
from django.db.models import Exists, OuterRef

from vessels.log.registry import all_kinds
from vessels.models import LogEntry

MOST_TOLD = 20


def orphan_details(vessels: Collection[int] = ()) -> Iterator[str]:
    """What was put beside the log: rows of details whose entry is of another kind, or is not there.

    A digest covers an entry with the details of its own kind. A scan that was put under the key of a note would be
    evidence like any other, and the note would still be what was written. ``vessels`` are keys; none means all.
    """
    for model, kinds in _kinds_by_model().items():
        own = LogEntry.objects.filter(pk=OuterRef("pk"), kind__in=kinds)
        found = model._default_manager.filter(~Exists(own)).order_by("pk")
        if vessels:
            found = found.filter(entry__vessel__in=vessels)
        keys = list(found.values_list("pk", flat=True)[:MOST_TOLD])
        entries = LogEntry.objects.in_bulk(keys)
        for key in keys:
            what = f"a row of {model._meta.verbose_name_plural} ({key})"
            entry = entries.get(key)
            if entry is None:
                yield f"{what} belongs to no entry of the log"
            else:
                where = f"entry {entry.position} of vessel {entry.vessel_id}"
                yield f"{what} was put to {where}, which is of another kind ({entry.kind}) and was written without it"


def _kinds_by_model() -> dict[type[models.Model], list[str]]:
    """Every model of details, with the kinds of entry that have them."""
    found: dict[type[models.Model], list[str]] = defaultdict(list)
    for kind in all_kinds():
        model = kind.detail_model()
        if model is not None:
            found[model].append(kind.slug)
    return found
