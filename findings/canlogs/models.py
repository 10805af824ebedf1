"""CAN logs that were brought to a job: where the file is, how far it was read, and what was understood of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from workorders.models import Job


class CanLogState(models.TextChoices):
    """How far the reading of a log is."""

    WAITING = "waiting", "Waiting to be read"
    READ = "read", "Read"
    FAILED = "failed", "Could not be read"


class CanLog(models.Model):
    """One file on one job. A working paper: what is logged from it carries the file's digest by itself.

    ``mapping`` is to which unit or engine the technician gave each sender in the log.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="can_logs")
    sha256 = models.CharField(max_length=64, db_index=True)
    name = models.CharField(max_length=120)
    size = models.PositiveBigIntegerField()
    brought_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    brought_at = models.DateTimeField(default=timezone.now, editable=False)
    state = models.CharField(max_length=8, choices=CanLogState.choices, default=CanLogState.WAITING)
    problem = models.TextField(blank=True)
    bytes_read = models.PositiveBigIntegerField(default=0)
    frames_read = models.PositiveBigIntegerField(default=0)
    doing = models.CharField(max_length=80, blank=True)
    summary = models.JSONField(null=True)
    mapping = models.JSONField(default=dict)

    class Meta:
        ordering = ["-brought_at", "-pk"]
        constraints = [models.UniqueConstraint(fields=["job", "sha256"], name="one_can_log_per_job_and_file")]

    def __str__(self) -> str:
        return self.name

    @property
    def is_under_way(self) -> bool:
        """Whether it is still to be read, or being read."""
        return self.state == CanLogState.WAITING

    @property
    def percent(self) -> int:
        """How much of the file was read, in percent."""
        return min(100, 100 * self.bytes_read // self.size) if self.size else 0
