"""Nothing is removed from a boat on a day before something that was logged of it in the boat."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from django.core.exceptions import FieldDoesNotExist
from django.utils import timezone

from commands.refusals import Refused
from staff.queries import local_day
from vessels.log.evidence import effective
from vessels.log.registry import LogKind, all_kinds, kind_of
from vessels.models import ControlUnit, Engine, LogEntry
from vessels.wording import date_words, day_words


def refuse_if_seen_later(
    what: str, when: datetime | None, *, engine: Engine | None = None, units: Sequence[ControlUnit] = ()
) -> None:
    """Refuse the removal of an engine and its units where entries of a later day say that they were aboard.

    On the day itself either may have come first. ``what`` is what is removed, as the sentence calls it.

    Raises:
        Refused: with the last such entry and its day.
    """
    if when is None:
        return
    later = effective(LogEntry.objects.filter(happened_at__gt=when))
    kinds = [kind for kind in all_kinds() if kind.aboard]
    found: list[LogEntry] = []
    if engine is not None:
        found += later.filter(engine=engine, kind__in=[kind.slug for kind in kinds]).order_by("-happened_at")[:1]
    for kind in _of_units(kinds) if units else ():
        of_kind: Any = kind.detail_model()
        found += later.filter(pk__in=of_kind.objects.filter(unit__in=units).values("pk")).order_by("-happened_at")[:1]
    last = max(found, key=lambda entry: entry.happened_at, default=None)
    if last is not None and local_day(last.happened_at) > local_day(when):
        sentence = (
            f"“{kind_of(last.kind).label}” is logged of {what} on {day_words(last.happened_at)}, after this: it was "
            "still aboard. Check the day. If that entry is wrong, void it in the log first."
        )
        raise Refused(sentence, fields={"happened_at": sentence})


def refuse_if_removed_before(unit: ControlUnit, when: datetime | None) -> None:
    """Refuse what would be found on a unit on a day after the one on which it was removed.

    Raises:
        Refused: with that day.
    """
    if unit.removed_on is not None and local_day(when or timezone.now()) > unit.removed_on:
        sentence = (
            f"{unit.name} was removed from the boat on {date_words(unit.removed_on)}. Check the unit, and the day."
        )
        raise Refused(sentence, fields={"unit": sentence})


def _of_units(kinds: Iterable[LogKind]) -> list[LogKind]:
    """The kinds whose details name a control unit."""
    found = []
    for kind in kinds:
        model = kind.detail_model()
        if model is None:
            continue
        try:
            field = model._meta.get_field("unit")
        except FieldDoesNotExist:
            continue
        if field.related_model is ControlUnit:
            found.append(kind)
    return found
