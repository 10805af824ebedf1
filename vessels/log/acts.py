"""What acts of the journal were, by the log: a correction and a voiding by what they correct or void."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from commands.models import Command
from vessels.log.evidence import RETRACTION
from vessels.log.registry import kind_of
from vessels.models import LogEntry
from web.typed import uuid_of

_NOUNS = {"clear": "Clear", "work-done": "Work", "hours": "Hour meter reading"}
"""Those whose label says that something was done, where the thing itself is named."""


def acts_on_entries(acts: Sequence[Command]) -> Mapping[UUID, str]:
    """Of the acts that amended an entry, what they did: "Scan corrected", "Work voided"; one question."""
    made = {key: act.pk for act in acts if (key := uuid_of(act.outcome.partition(":")[2])) is not None}
    amending = LogEntry.objects.filter(pk__in=list(made), amends__isnull=False)
    return {
        made[key]: f"{_NOUNS.get(of, kind_of(of).label)} {'voided' if kind == RETRACTION else 'corrected'}"
        for key, kind, of in amending.values_list("pk", "kind", "amends__kind")
    }
