"""What was known of a unit's faults before a scan of an earlier time, so that its form says nothing of what came later.

Asked only where a scan is given a time of its own, or stands in the place of another: the history is replayed from the
evidence that still counts and happened before.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from engineering.codes import Code
from engineering.faults import FaultHistory, FaultState, replay
from findings.faults.evidence import evidence_of_unit
from findings.faults.queries import FaultSeen
from findings.faults.wording import Now, last_time
from staff.queries import hold
from vessels.models import ControlUnit, LogEntry


def histories_before(
    unit: ControlUnit, faults: Mapping[Code, FaultSeen], at: datetime, *, instead_of: LogEntry | None = None
) -> dict[Code, FaultHistory]:
    """The history of each fault as it was before a scan of that moment, which may be ``instead_of`` another."""
    evidence, held_for = evidence_of_unit(unit.pk), hold()
    left_out = str(instead_of.pk) if instead_of else ""
    return {
        code: replay(
            (item for item in evidence.of_fault(seen.fault) if item.at < at and item.key != left_out), hold=held_for
        )
        for code, seen in faults.items()
    }


def words_before(history: FaultHistory, at: datetime, hours: Decimal | None) -> str:
    """What a fault had been about by then; empty where nobody had seen it."""
    if history.state is FaultState.NONE:
        return ""
    is_earlier = timezone.localdate(at) < timezone.localdate()
    return last_time(history, Now(timezone.localtime(at), hours, is_earlier=is_earlier), job_number=None)
