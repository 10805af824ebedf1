"""Charges that were stopped, as they would have passed what was authorized, and that nobody asks about any more."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from billing.authorizations.models.agreed import Authorization
from commands.triggers import append_only
from workorders.models import Job, JobLine


def _sum(label: str) -> models.DecimalField:  # type: ignore[type-arg]
    """A column that takes whatever somebody tried: what was stopped may be a slip of the finger."""
    return models.DecimalField(label, max_digits=20, decimal_places=2)


class StoppedCharge(models.Model):
    """A charge that was not put on a job: what it was, what the job would have come to, and where charges stopped.

    ``before``, ``after`` and ``limit`` are with tax. Where several were charged in one act this is the largest of them,
    ``with_it`` names the others, and ``after`` is after all of the act.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="stopped_charges")
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True)
    last = models.ForeignKey(Authorization, on_delete=models.PROTECT, related_name="+")
    description = models.CharField(max_length=160)
    with_it = models.CharField(max_length=800, default="", db_default="")
    before, after, limit = _sum("the job before"), _sum("the job with it"), _sum("where charges stop")
    stopped_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["job", "pk"]
        triggers = append_only()
        constraints = [
            models.CheckConstraint(
                condition=models.Q(after__gt=models.F("limit")), name="stopped_charge_went_past_the_limit"
            )
        ]

    def __str__(self) -> str:
        return self.description


class LetGo(models.Model):
    """Nobody is to be asked about a stopped charge any more, with why: the customer said no, or it is not needed."""

    stopped = models.OneToOneField(StoppedCharge, on_delete=models.PROTECT, related_name="let_go")
    reason = models.CharField(max_length=300)
    noted_at = models.DateTimeField(default=timezone.now)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.stopped}: {self.reason}"
