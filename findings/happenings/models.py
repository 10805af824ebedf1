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


class Verdict(models.TextChoices):
    """What a function test came to."""

    WORKED = "worked", "Worked"
    DID_NOT_WORK = "did not work", "Did not work"
    NOT_CONCLUSIVE = "not conclusive", "Not conclusive"


class FunctionTest(Detail):
    """Something that was driven or operated for a moment. How long is kept as it was entered."""

    UNITS = [("s", "s"), ("min", "min"), ("h", "h")]

    operated = models.CharField(max_length=160)
    lasted = models.DecimalField(max_digits=7, decimal_places=1, null=True)
    lasted_unit = models.CharField(max_length=3, choices=UNITS, blank=True)
    verdict = models.CharField(max_length=16, choices=Verdict.choices)

    class Meta:
        triggers = append_only()
