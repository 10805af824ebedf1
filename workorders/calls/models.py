"""Calls that were noted."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone

from vessels.log.triggers import append_only
from vessels.models import Customer
from workorders.models import Job


class Call(models.Model):
    """Somebody was called about a job: who, what was said, and when to call again.

    ``about`` are the keys of what was asked then.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="calls")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="+")
    who = models.CharField("who was called", max_length=80)
    said = models.CharField("what was said", max_length=500)
    again_on = models.DateField("call again on", null=True, blank=True)
    about = models.JSONField(default=list)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["job", "-at", "-id"], name="calls_of_job")]

    def __str__(self) -> str:
        return f"{self.who} was called"
