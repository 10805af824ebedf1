"""Work that a customer declined: kept, and offered when the boat comes back."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from billing.authorizations.models.agreed import Authorization, sum_column
from vessels.models import Engine, Vessel
from workorders.models import Job, JobLine


class DeferredWork(models.Model):
    """One thing that was declined: what, for which boat and engine, of which estimate, for what sum, when and why.

    It is never changed. What became of it is a step; ``state`` is the last one's.
    """

    OPEN, TAKEN_UP, DROPPED = "open", "taken", "dropped"
    STATES = [(OPEN, "open"), (TAKEN_UP, "taken up"), (DROPPED, "dropped")]

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="deferred")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="+", null=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="deferred")
    authorization = models.ForeignKey(Authorization, on_delete=models.PROTECT, related_name="deferred")
    key = models.UUIDField(default=uuid.uuid4)
    revision = models.PositiveSmallIntegerField("version of the estimate")
    what = models.CharField(max_length=160)
    alternatives = models.CharField("one of", max_length=40, blank=True)
    amount = sum_column("what it would have added then, with tax")
    declined_by = models.CharField(max_length=80)
    declined_at = models.DateTimeField()
    why = models.CharField(max_length=200, blank=True)
    is_safety = models.BooleanField("touches safety", default=False)
    state = models.CharField(max_length=7, choices=STATES, default=OPEN, editable=False)

    class Meta:
        ordering = ["-declined_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["authorization", "key"], name="one_deferral_of_a_piece"),
            models.CheckConstraint(condition=~models.Q(what=""), name="deferred_work_said"),
        ]
        indexes = [
            models.Index(fields=["vessel", "state"], name="deferred_of_a_vessel"),
            models.Index(fields=["state", "-declined_at", "-id"], name="deferred_by_state"),
        ]

    def __str__(self) -> str:
        return self.what


class DeferredStep(models.Model):
    """What became of deferred work: taken up on a line of a job, dropped, or open again, with who, when and why."""

    work = models.ForeignKey(DeferredWork, on_delete=models.PROTECT, related_name="steps")
    state = models.CharField(max_length=7, choices=DeferredWork.STATES)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+", null=True)
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True)
    reason = models.CharField(max_length=240, blank=True)
    at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["work", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state="taken", job__isnull=False)
                | (~models.Q(state="taken") & ~models.Q(reason="")),
                name="deferred_step_has_a_job_or_a_reason",
            )
        ]

    def __str__(self) -> str:
        return f"{self.work}: {self.get_state_display()}"
