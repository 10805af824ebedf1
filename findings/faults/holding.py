"""A shop that changes its hold, or whose days they are, changes what its repairs are: the faults are derived anew."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.apps import AppConfig
from django.db.migrations import Migration
from django.db.models.signals import post_init, post_migrate, post_save

from commands.background import Kind, Run, ask
from commands.models import BackgroundTask, BackgroundTaskState
from files import room
from findings.faults.models import Fault
from findings.faults.replaying import rederive_vessel
from staff.models import ShopProfile
from vessels.models import Vessel

WENT_WRONG = (
    "The faults could not be derived again. The person who runs Garboard can do it with manage.py rebuild_faults."
)
RULES_CHANGED = {
    "0003_not_fixed_yet",
    "0005_codes_told_in_two_ways",
    "0006_days_of_the_calendar",
    "0008_days_of_an_engine_that_ran",
    "0009_codes_of_another_kind",
    "0010_a_permanent_copy_alone",
    "0011_cleared_again",
    "0012_back_between_two_scans",
}
"""Migrations that came with another reading of the same evidence, or with more that is stored of it: after them every
fault is derived anew."""


def vessels_with_faults() -> list[int]:
    """The key of every vessel that has a fault, in order."""
    return list(Vessel.objects.filter(faults__isnull=False).order_by("pk").values_list("pk", flat=True).distinct())


def rederive_every_fault() -> int:
    """Derive the faults of every vessel anew, one vessel a transaction. Returns how many changed."""
    return sum(rederive_vessel(vessel_id) for vessel_id in vessels_with_faults())


def _rederive(run: Run) -> None:
    """The same as a task; vessels that are right already change nothing when it is begun again."""
    rederive_every_fault()


REDERIVE = Kind(
    "rederive_faults",
    work=_rederive,
    went_wrong=room.or_full_disk(WENT_WRONG),
    broke_off=WENT_WRONG,
    longest=3600,
)


def rederiving() -> BackgroundTask | None:
    """The task that has yet to derive every fault by the shop's new hold, or that was given up last."""
    last = BackgroundTask.objects.filter(kind=REDERIVE.name).order_by("-pk").first()
    return None if last is None or last.state == BackgroundTaskState.DONE else last


def listen_for_a_new_hold() -> None:
    """Notice every way in which the shop's hold is saved."""
    post_init.connect(_remember, sender=ShopProfile, dispatch_uid="remember_hold")
    post_save.connect(_compare, sender=ShopProfile, dispatch_uid="compare_hold")


def rederive_after_new_rules() -> None:
    """After an upgrade that changed how evidence is read, derive every fault anew."""
    post_migrate.connect(rederive_if_changed, dispatch_uid="rederive_after_new_rules")


def rederive_if_changed(sender: AppConfig, plan: Sequence[tuple[Migration, bool]] = (), **_: Any) -> None:
    """Derive every fault anew where the migrations that were applied came with another reading of the evidence."""
    if sender.label != Fault._meta.app_label:
        return
    forward = {step.name for step, is_backward in plan if step.app_label == sender.label and not is_backward}
    if forward & RULES_CHANGED and Fault.objects.exists():
        rederive_every_fault()


def _hold(profile: ShopProfile) -> tuple[Any, ...]:
    """What the faults are derived by: the hold, and the zone whose days are counted."""
    loaded = profile.__dict__
    return tuple(loaded.get(name) for name in ("hold_hours", "hold_days", "time_zone"))


def _remember(instance: ShopProfile, **_: Any) -> None:
    instance._hold_as_loaded = _hold(instance)  # type: ignore[attr-defined]


def _compare(instance: ShopProfile, created: bool, **_: Any) -> None:
    before = getattr(instance, "_hold_as_loaded", None)
    instance._hold_as_loaded = _hold(instance)  # type: ignore[attr-defined]
    if not created and before != _hold(instance) and Fault.objects.exists():
        ask(REDERIVE.name)
