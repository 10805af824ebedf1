"""The vessel log and the details that this floor writes."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from vessels.log.triggers import append_only
from vessels.models.customers import Customer
from vessels.models.hulls import ControlUnit, Engine, HourMeter, Vessel


class LogEntry(models.Model):
    """One thing that happened to a hull, for good.

    ``summary`` is the sentence the program writes; ``text`` is what the person wrote. A typed detail row shares the
    primary key. ``position`` and ``digest`` chain the entry to the one recorded before it on the same vessel.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="log", db_index=False)
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="log", null=True, db_index=False)
    job = models.ForeignKey("workorders.Job", on_delete=models.PROTECT, related_name="log", null=True, db_index=False)
    kind = models.CharField(max_length=24)
    author = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="log", db_index=False)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField(default=timezone.now)
    engine_hours = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    summary = models.TextField()
    text = models.TextField(blank=True)
    amends = models.ForeignKey("self", on_delete=models.PROTECT, related_name="amendments", null=True)
    position = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)

    class Meta:
        verbose_name_plural = "log entries"
        triggers = append_only()
        indexes = [
            models.Index(fields=["vessel", "-happened_at", "-position"], name="log_newest_first"),
            models.Index(fields=["job", "-happened_at", "-position"], name="log_by_job"),
            models.Index(fields=["engine", "-happened_at", "-position"], name="log_by_engine"),
            models.Index(
                fields=["engine", "-happened_at", "-position"],
                condition=models.Q(engine_hours__isnull=False),
                name="log_at_hours",
            ),
            models.Index(fields=["author", "-recorded_at"], name="log_by_author"),
            models.Index(
                fields=["recorded_at"],
                condition=models.Q(kind__in=["job-opened", "job-moved"]),
                name="log_of_job_moves",
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["vessel", "position"], name="one_entry_per_position"),
            models.CheckConstraint(condition=models.Q(position__gte=1), name="positions_start_at_one"),
            models.CheckConstraint(
                condition=models.Q(engine_hours=None) | models.Q(engine_hours__gte=0), name="hours_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.summary or self.kind

    @property
    def is_late(self) -> bool:
        """Whether it was written down more than a quarter of an hour after it happened."""
        return (self.recorded_at - self.happened_at).total_seconds() > 900


class Detail(models.Model):
    """What a typed detail row has in common: the entry's primary key, and that it never changes."""

    entry = models.OneToOneField(LogEntry, on_delete=models.PROTECT, primary_key=True, related_name="+")

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.entry.summary


class HourReading(Detail):
    """What an hour meter showed."""

    meter = models.ForeignKey(HourMeter, on_delete=models.PROTECT, related_name="readings")
    shown = models.DecimalField(max_digits=9, decimal_places=1)

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.shown} h on {self.meter}"


class MeterReplacement(Detail):
    """One hour meter removed and another fitted."""

    old_meter = models.ForeignKey(HourMeter, on_delete=models.PROTECT, related_name="+", null=True)
    new_meter = models.ForeignKey(HourMeter, on_delete=models.PROTECT, related_name="+")
    old_shown = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    new_shown = models.DecimalField(max_digits=9, decimal_places=1)

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.old_meter} replaced"


class OwnerChange(Detail):
    """A vessel passed from one customer to another."""

    old_owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    new_owner = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.old_owner} to {self.new_owner}"


class UnitFitting(Detail):
    """A control unit put in or removed."""

    unit = models.ForeignKey(ControlUnit, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return str(self.unit)


class UnitIdentification(Detail):
    """What a control unit said it was, at one time."""

    unit = models.ForeignKey(ControlUnit, on_delete=models.PROTECT, related_name="identifications")
    serial = models.CharField(max_length=60, blank=True)
    hardware = models.CharField(max_length=60, blank=True)
    software = models.CharField(max_length=60, blank=True)
    calibration = models.CharField(max_length=60, blank=True)

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.unit} {self.software}"


class DetailsChange(Detail):
    """A change of a vessel's, engine's or unit's identity: ``{field: [before, after]}`` as text."""

    subject = models.CharField(max_length=80)
    changes = models.JSONField()

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return self.subject
