"""Derive the faults from their evidence, or prove that they agree with it."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from findings.faults.holding import vessels_with_faults
from findings.faults.models import Fault
from findings.faults.replaying import misnamed_evidence, misplaced_faults, rederive_vessel, stale_faults


class Command(BaseCommand):
    """``manage.py rebuild_faults [--check] [--vessel PK]``."""

    help = "Derive every fault's state from the evidence in the log; with --check, only compare and name what differs."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take a vessel, and whether only to compare."""
        parser.add_argument("--check", action="store_true", help="change nothing; fail where cache and replay differ")
        parser.add_argument("--vessel", type=int, help="one vessel's key instead of every vessel")

    def handle(self, *, check: bool, vessel: int | None, **_: Any) -> None:
        """Do it, vessel by vessel."""
        keys = [vessel] if vessel is not None else vessels_with_faults()
        if check:
            self._compare(keys)
            return
        changed = sum(rederive_vessel(key) for key in keys)
        self.stdout.write(f"{len(keys)} vessels derived again, {changed} faults changed.")

    def _compare(self, keys: list[int]) -> None:
        wrong: list[str] = []
        for key in keys:
            units = Fault.objects.filter(vessel_id=key).order_by("unit_id").values_list("unit_id", flat=True).distinct()
            for unit_id in units:
                wrong += [f"vessel {key}: {fault.label} is stored as {fault.state}" for fault in stale_faults(unit_id)]
                wrong += [f"vessel {key}: {sentence}" for sentence in misnamed_evidence(unit_id)]
            wrong += [
                f"vessel {key}: {fault.label} stands under another boat or engine than its unit, {fault.unit}"
                for fault in misplaced_faults(key)
            ]
        for sentence in wrong:
            self.stderr.write(sentence)
        if wrong:
            raise CommandError(
                f"{len(wrong)} faults are not what their evidence says. Run rebuild_faults to correct them."
            )
        self.stdout.write(f"{len(keys)} vessels: every fault is what its evidence says.")
