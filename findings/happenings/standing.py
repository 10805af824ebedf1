"""Which changes of settings have not been set back. A change counts by its last correction, and ends with its first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet
from django.http import HttpRequest

from findings.happenings.models import EndedChange, SettingChange, SettingSort
from vessels.log.afterwards import afterwards
from vessels.log.evidence import superseded
from vessels.models import LogEntry, Vessel
from workorders.models import Job


def changes() -> QuerySet[SettingChange]:
    """The changes that count, in order of happening."""
    found = SettingChange.objects.filter(~superseded("entry_id")).annotate(later=afterwards("entry_id"))
    found = found.select_related("entry__author", "entry__engine", "entry__job")
    return found.order_by("entry__happened_at", "entry__position")


def endings(roots: Iterable[UUID], until: datetime | None = None) -> dict[UUID, EndedChange]:
    """By what changed: what set it back, by an entry that counts and happened by then."""
    found = EndedChange.objects.filter(~superseded("back_id"), change__in=list(roots))
    if until is not None:
        found = found.filter(back__entry__happened_at__lte=until)
    found = found.select_related("back__change", "back__entry__author", "back__entry__job")
    return {one.change_id: one for one in found.order_by("-back__entry__happened_at", "-back__entry__position")}


def standing(vessel: Vessel, until: datetime | None = None) -> list[SettingChange]:
    """The changes on a boat that nothing set back by then, in order of happening."""
    found = changes().filter(entry__vessel=vessel)
    if until is not None:
        found = found.filter(entry__happened_at__lte=until)
    rows = list(found)
    over = endings((one.root_id for one in rows), until)
    return [one for one in rows if one.root_id not in over]


def standing_protections(vessel: Vessel) -> list[SettingChange]:
    """Those of alarms, limits and shutdowns that nothing set back until now, without engines that were removed."""
    found = (one for one in standing(vessel) if one.protects)
    return [one for one in found if one.entry.engine is None or one.entry.engine.removed_on is None]


def told_on(job: Job, until: datetime | None = None) -> tuple[Sequence[SettingChange], dict[UUID, EndedChange]]:
    """What a report on a job tells of settings, with what set each of them back by then.

    That is what was changed or set back on the job, and protections that were changed before and not set back.
    """
    on_job = Q(entry__job=job)
    back_on_job = EndedChange.objects.filter(~superseded("back_id"), back__entry__job=job).values("change_id")
    protects = ~Q(sort=SettingSort.OTHER)
    if until is not None:
        protects &= Q(entry__happened_at__lte=until)
    of_boat = Q(entry__vessel_id=job.vessel_id) & (protects | Q(pk__in=back_on_job) | Q(first_id__in=back_on_job))
    rows = list(changes().filter(on_job | of_boat))
    over = endings((one.root_id for one in rows), until)
    told = [
        one
        for one in rows
        if one.entry.job_id == job.pk or one.root_id not in over or over[one.root_id].back.entry.job_id == job.pk
    ]
    return told, over


def is_of(change: SettingChange, engine_id: int | None, setting: str) -> bool:
    """Whether a change is of this setting: on the same engine, by the same name."""
    return change.entry.engine_id == engine_id and _name(change.setting) == _name(setting)


def _name(setting: str) -> str:
    return " ".join(setting.split()).casefold()


def standing_section(_request: HttpRequest, vessel: Vessel) -> list[SettingChange] | None:
    """The section on a vessel's overview; None where nothing of this is changed."""
    return standing_protections(vessel) or None


def bearing_on(job: Job) -> QuerySet[LogEntry]:
    """The entries of a boat, on whichever job, by which a report on a job says what is changed and not set back."""
    protects = SettingChange.objects.filter(entry__vessel_id=job.vessel_id).exclude(sort=SettingSort.OTHER)
    backs = EndedChange.objects.filter(change__in=protects.values("pk")).values("back_id")
    return LogEntry.objects.filter(Q(pk__in=protects.values("pk")) | Q(pk__in=backs))
