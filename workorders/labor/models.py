"""Stretches of work, how they ended, what was taken back, and what was charged of them.

Hours are between the shop and its customer, as charges are: they are kept here and in the journal, and not in the
vessel's log, which stays with the boat when it is sold.
"""

from __future__ import annotations

import uuid
from datetime import datetime

import pgtrigger
from django.conf import settings
from django.db import models
from django.utils import timezone

from commands.triggers import AppendOnly, append_only
from workorders.labor.reckoning import ANSWERED, HANDED_OVER, PAUSED, PRESSED
from workorders.models.jobs import Charge, JobLine

MOST_MINUTES = 25 * 60
"""The longest day there is: the one on which the clocks go back."""


def _grows_but(table: str, *, fixed: str) -> list[pgtrigger.Trigger]:
    """Triggers of a table that grows: nothing goes; of ``_COLUMNS`` nothing changes, and of a ``fixed`` row nothing."""
    triggers: list[pgtrigger.Trigger] = [
        AppendOnly(name="no_delete", when=pgtrigger.Before, operation=pgtrigger.Delete),
        AppendOnly(name="no_truncate", when=pgtrigger.Before, operation=pgtrigger.Truncate, level=pgtrigger.Statement),
    ]
    same = " OR ".join(f"OLD.{column} IS DISTINCT FROM NEW.{column}" for column in _COLUMNS[table])
    triggers.append(
        AppendOnly(
            name="only_derived",
            when=pgtrigger.Before,
            operation=pgtrigger.Update,
            condition=pgtrigger.Condition(f"{same} OR {fixed}"),
        )
    )
    return triggers


_COLUMNS = {
    "stretch": (
        "id", "source", "line_id", "person_id", "started_at", "day", "remark", "amends_id", "root_id", "why", "by_id",
        "recorded_at",
    ),
    "sold": ("id", "charge_id", "root_id", "stretch_id", "minutes"),
}  # fmt: skip
"""What stays as it was written."""


class Stretch(models.Model):
    """Some work by one person on one line: clocked, noted without a clock, or the correction of another stretch.

    ``ended_at``, ``minutes`` and ``is_open`` of a clocked stretch are worked out from how it ended
    (``workorders.labor.clocks``); nothing else is ever changed. Not open and without ``minutes``, it was left running,
    and until when is not known. ``root`` is the first stretch of a row of corrections, itself where it is none.
    """

    SOURCES = [("clock", "clocked"), ("noted", "noted"), ("corrected", "corrected")]

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    source = models.CharField(max_length=9, choices=SOURCES)
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="stretches")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="stretches")
    day = models.DateField()
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    minutes = models.PositiveSmallIntegerField(null=True)
    is_open = models.BooleanField(default=False)
    remark = models.CharField(max_length=500, blank=True)
    amends = models.OneToOneField("self", on_delete=models.PROTECT, related_name="corrected_by", null=True)
    root = models.ForeignKey("self", on_delete=models.PROTECT, related_name="+")
    why = models.CharField("why it was corrected", max_length=500, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["day", "started_at", "recorded_at", "id"]
        triggers = _grows_but("stretch", fixed="OLD.source <> 'clock'")
        indexes = [
            models.Index(fields=["person", "-started_at", "-id"], name="labor_by_person"),
            models.Index(fields=["person", "day"], name="labor_by_day"),
            models.Index(fields=["day"], name="labor_of_days"),
            models.Index(fields=["person"], condition=models.Q(minutes=None), name="labor_not_known"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["person"], condition=models.Q(is_open=True), name="one_open_clock_per_person"
            ),
            models.CheckConstraint(
                condition=models.Q(is_open=False) | models.Q(source="clock", ended_at=None, minutes=None),
                name="labor_open_is_clocked",
            ),
            models.CheckConstraint(
                condition=models.Q(source="clock", started_at__isnull=False)
                | models.Q(~models.Q(source="clock"), minutes__gt=0),
                name="labor_has_a_length",
            ),
            models.CheckConstraint(
                condition=models.Q(source="corrected", amends__isnull=False)
                | models.Q(~models.Q(source="corrected"), amends=None),
                name="labor_corrects_another",
            ),
            models.CheckConstraint(
                condition=models.Q(minutes=None) | models.Q(minutes__lte=MOST_MINUTES), name="labor_within_a_day"
            ),
            models.CheckConstraint(
                condition=models.Q(started_at=None) | models.Q(ended_at=None)
                | models.Q(ended_at__gte=models.F("started_at")),
                name="labor_ends_after_it_begins",
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.person}, {self.day}"

    @property
    def is_left_open(self) -> bool:
        """Whether it was left running and its person went on elsewhere, so that its end is not known."""
        return self.minutes is None and not self.is_open


class StretchEnd(models.Model):
    """What was said of the end of a clocked stretch: pressed, handed over, paused, or answered later."""

    KINDS = [
        (PRESSED, "clocked off"),
        (HANDED_OVER, "handed over"),
        (PAUSED, "paused"),
        (ANSWERED, "said later"),
    ]

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    stretch = models.ForeignKey(Stretch, on_delete=models.PROTECT, related_name="ends")
    kind = models.CharField(max_length=11, choices=KINDS)
    at = models.DateTimeField()
    reason = models.CharField(max_length=120, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    recorded_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["at", "id"]
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.at:%Y-%m-%d %H:%M}"


class StretchVoid(models.Model):
    """A stretch that no longer counts; it stays visible, with who took it back and why."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    stretch = models.OneToOneField(Stretch, on_delete=models.PROTECT, related_name="voided")
    reason = models.CharField(max_length=500)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return self.reason


class Sold(models.Model):
    """A stretch that stands in a charge, with the minutes that it had then; free again once the charge is voided.

    ``root`` is the first of a row of corrections: whichever of them counts, it is charged once.
    """

    charge = models.ForeignKey(Charge, on_delete=models.PROTECT, related_name="sold")
    root = models.ForeignKey(Stretch, on_delete=models.PROTECT, related_name="sold")
    stretch = models.ForeignKey(Stretch, on_delete=models.PROTECT, related_name="+")
    minutes = models.PositiveSmallIntegerField()
    freed_at: models.DateTimeField[datetime | None, datetime | None] = models.DateTimeField(null=True)

    class Meta:
        triggers = _grows_but("sold", fixed="OLD.freed_at IS NOT NULL")
        constraints = [
            models.UniqueConstraint(
                fields=["root"], condition=models.Q(freed_at=None), name="a_stretch_is_charged_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.minutes} min"
