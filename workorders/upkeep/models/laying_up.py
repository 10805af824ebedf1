"""When boats are laid up."""

from __future__ import annotations

from datetime import date

from django.conf import settings
from django.db import models
from django.utils import timezone

from engineering.service import LaidUp as LaidUpDays
from vessels.models import Vessel
from web.versions import Versioned


class LayUp(Versioned):
    """Days on which a boat is laid up, both included; ``until_on`` is empty where no end is known."""

    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="lay_ups")
    from_on = models.DateField("laid up from")
    until_on = models.DateField("until", null=True, blank=True)
    remark = models.CharField(max_length=200, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    struck_at = models.DateTimeField("voided", null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["vessel", "-from_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(until_on=None) | models.Q(until_on__gte=models.F("from_on")),
                name="lay_up_ends_after_it_begins",
            )
        ]

    def __str__(self) -> str:
        return f"{self.vessel} laid up from {self.from_on}"

    @property
    def days(self) -> LaidUpDays:
        """The same for a calculation."""
        return LaidUpDays(self.from_on, self.until_on)

    def covers(self, day: date) -> bool:
        """Whether the boat is laid up on that day."""
        return self.days.covers(day)
