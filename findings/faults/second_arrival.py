"""A scan "on arrival" on a job on which the unit was cleared or scanned later already: had the boat been away since?"""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db.models import Q
from django.utils import timezone

from commands.questions import ask_once
from findings.faults.evidence import DONE
from findings.faults.models import Clear, Scan
from vessels.log.evidence import effective
from vessels.models import ControlUnit, LogEntry
from vessels.wording import moment_words
from workorders.models import Job, JobMove


def ask_about_a_second_arrival(unit: ControlUnit, job: Job, at: datetime | None, entry_id: UUID | None) -> None:
    """Ask once whether the boat came in again, where a scan of codes on arrival follows later ones of the same job.

    What is listed on arrival counts as come back, and not as unfinished. Nothing is asked after the job was said to be
    done, nor of a scan that was logged before under its own id.

    Raises:
        Questions: nobody answered it before.
    """
    if entry_id is not None and Scan.objects.filter(pk=entry_id).exists():
        return
    when = at or timezone.now()
    clears = Clear.objects.filter(unit=unit).values("entry")
    later_scans = Scan.objects.filter(unit=unit).exclude(phase="arrival").values("entry")
    of_unit = Q(pk__in=clears) | Q(pk__in=later_scans)
    last = (
        effective(LogEntry.objects.filter(of_unit, job=job, happened_at__lt=when))
        .order_by("-happened_at", "-position")
        .first()
    )
    if last is None:
        return
    since = {"entry__happened_at__gte": last.happened_at, "entry__happened_at__lte": when}
    if JobMove.objects.filter(entry__job=job, to_state__in=DONE, **since).exists():
        return
    did = "cleared" if last.kind == "clear" else "scanned after its arrival"
    ask_once(
        f"second arrival {unit.pk} {last.pk}",
        f"{unit} was {did} on this job, {moment_words(timezone.localtime(last.happened_at))}. A code that is listed on "
        "arrival after that counts as come back, as if the boat had left in between. If it had not, choose another "
        "time in the job.",
        field="phase",
        tick=f"the boat with {unit} came in again",
    )
