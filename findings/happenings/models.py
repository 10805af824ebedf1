"""What else was found and done. What a person wrote of it is the entry's text."""

from __future__ import annotations

from uuid import UUID

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


class SettingSort(models.TextChoices):
    """What a setting is of: the first three protect the engine and those aboard."""

    ALARM = "alarm", "An alarm"
    LIMIT = "limit", "A limit"
    SHUTDOWN = "shutdown", "A shutdown"
    OTHER = "other", "None of these"


class ConsentHow(models.TextChoices):
    """How the customer consented."""

    IN_PERSON = "in person", "In person"
    BY_PHONE = "by phone", "By phone"
    IN_WRITING = "in writing", "In writing"


class SettingChange(Detail):
    """A setting that was changed permanently, with why (the entry's text) and on whose authority.

    ``before`` is empty where it is not known. ``first`` is the change that it corrects in the end, None where it is the
    first itself: what is set back is the change, however often its entry was corrected.
    """

    setting = models.CharField(max_length=160)
    sort = models.CharField(max_length=10, choices=SettingSort.choices)
    before = models.CharField(max_length=80, blank=True)
    after = models.CharField(max_length=80)
    unit = models.CharField(max_length=20, blank=True)
    authority = models.CharField(max_length=160)
    consent_by = models.CharField(max_length=120, blank=True)
    consent_on = models.DateField(null=True)
    consent_how = models.CharField(max_length=10, choices=ConsentHow.choices, blank=True)
    first = models.ForeignKey("self", on_delete=models.PROTECT, related_name="+", null=True)

    class Meta:
        triggers = append_only()

    @property
    def root_id(self) -> UUID:
        """The key of the change itself, whichever of its corrections this is."""
        return self.first_id or self.entry_id

    @property
    def protects(self) -> bool:
        """Whether it is of an alarm, a limit or a shutdown."""
        return self.sort != SettingSort.OTHER


class SettingBack(Detail):
    """A setting was set back to what it was before a change. ``change`` is the one that somebody chose."""

    change = models.ForeignKey(SettingChange, on_delete=models.PROTECT, related_name="+")
    value = models.CharField(max_length=80)

    class Meta:
        triggers = append_only()


class EndedChange(models.Model):
    """One change that ended when a setting was set back: the first entry of it."""

    back = models.ForeignKey(SettingBack, on_delete=models.PROTECT, related_name="ended")
    change = models.ForeignKey(SettingChange, on_delete=models.PROTECT, related_name="endings")

    class Meta:
        triggers = append_only()
        constraints = [models.UniqueConstraint(fields=["back", "change"], name="one_ending_per_change")]

    def __str__(self) -> str:
        return f"{self.change} ended"
