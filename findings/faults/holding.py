"""A shop that changes its hold changes what its repairs are: the faults are derived anew, after the commit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from celery import shared_task
from django.apps import AppConfig
from django.db import transaction
from django.db.migrations import Migration
from django.db.models.signals import post_init, post_migrate, post_save

from findings.faults.replaying import rederive_vessel
from findings.models import Fault
from staff.models import ShopProfile
from staff.sending import send
from vessels.models import Vessel

RULES_CHANGED = {"0007_one_clock_for_repairs", "0009_between_scans"}
"""Migrations that came with another reading of the same evidence: after them every fault is derived anew."""


def vessels_with_faults() -> list[int]:
    """The key of every vessel that has a fault, in order."""
    return list(Vessel.objects.filter(faults__isnull=False).order_by("pk").values_list("pk", flat=True).distinct())


@shared_task
def rederive_every_fault() -> int:
    """Derive the faults of every vessel anew, one vessel a transaction. Returns how many changed."""
    return sum(rederive_vessel(vessel_id) for vessel_id in vessels_with_faults())


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


def _hold(profile: ShopProfile) -> tuple[Any, Any]:
    loaded = profile.__dict__
    return loaded.get("hold_hours"), loaded.get("hold_days")


def _remember(instance: ShopProfile, **_: Any) -> None:
    instance._hold_as_loaded = _hold(instance)  # type: ignore[attr-defined]


def _compare(instance: ShopProfile, created: bool, **_: Any) -> None:
    before = getattr(instance, "_hold_as_loaded", None)
    instance._hold_as_loaded = _hold(instance)  # type: ignore[attr-defined]
    if not created and before != _hold(instance) and Fault.objects.exists():
        transaction.on_commit(lambda: send(rederive_every_fault, do_it_here=True))
