"""What else was found and done. What a person wrote of it is the entry's text."""

from __future__ import annotations

from django.db import models

from vessels.log.triggers import append_only
from vessels.models import Detail


class Severity(models.TextChoices):
    """How serious it is, in the words of the report's recommendations."""

    BEFORE_NEXT_USE = "before next use", "Repair before next use"
    SOON = "soon", "Repair soon"
    WATCH = "watch", "Watch"
    NONE = "none", "No fault seen"


class VisualFinding(Detail):
    """What somebody saw: ``place`` is where on the boat or engine. ``recommendation`` is one line."""

    place = models.CharField(max_length=160)
    severity = models.CharField(max_length=16, choices=Severity.choices)
    recommendation = models.CharField(max_length=400, blank=True)

    class Meta:
        triggers = append_only()
