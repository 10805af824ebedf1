"""A scan of the very minute of a clear, or of the same scan: told to the minute, their order is not known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from commands.questions import ask_once
from findings.faults.actions import CodeSeen
from findings.faults.evidence import IS_EFFECTIVE
from findings.faults.models import Clear, Scan
from vessels.models import ControlUnit
from vessels.wording import moment_words


def ask_about_the_minute(
    unit: ControlUnit, codes: Sequence[CodeSeen], at: datetime | None, entry_id: UUID | None
) -> None:
    """Ask once whether a scan was read before the clear of its minute, and whether it is another than one like it.

    Nothing is asked of a scan of now, whose time is known to the second, nor of one that was logged before under its
    own id.

    Raises:
        Questions: nobody answered it before.
    """
    if at is None or (entry_id is not None and Scan.objects.filter(pk=entry_id).exists()):
        return
    when = moment_words(timezone.localtime(at))
    if codes and Clear.objects.filter(IS_EFFECTIVE, unit=unit, entry__happened_at=at).exists():
        ask_once(
            f"before the clear {unit.pk} {at.isoformat()}",
            f"Codes of {unit} were cleared at that very minute, {when}: this scan counts as read before the clear. If "
            "it was read after it, enter the minute after.",
            field="happened_at",
            tick=f"{unit} was read before the clear",
        )
    listed = {(one.code, one.status) for one in codes}
    for scan in Scan.objects.filter(IS_EFFECTIVE, unit=unit, entry__happened_at=at).prefetch_related("sightings"):
        if {(row.as_code, row.status) for row in scan.sightings.all()} == listed:
            ask_once(
                f"another scan {unit.pk} {at.isoformat()}",
                f"A scan of {unit} with the same codes is on record of that very minute, {when}.",
                field="happened_at",
                tick=f"{unit} was read twice in that minute",
            )
            return
