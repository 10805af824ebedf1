"""The shop's own instruments, when each was calibrated, and what a finding keeps of the one it was made with."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from web.versions import Versioned


class Instrument(Versioned):
    """One instrument of the shop, as the shop writes it. It is never deleted: findings name it."""

    kind = models.CharField("what it is", max_length=60)
    make = models.CharField("maker and model", max_length=80, blank=True)
    serial = models.CharField("serial number", max_length=60, blank=True)
    out_of_service_on = models.DateField("out of service since", null=True, blank=True)

    class Meta:
        ordering = ["kind", "make", "serial", "pk"]
        constraints = [
            models.UniqueConstraint(
                Lower("make"), Lower("serial"), condition=~models.Q(serial=""), name="one_instrument_per_serial"
            )
        ]

    def __str__(self) -> str:
        return ", ".join([self.name, f"serial {self.serial}"] if self.serial else [self.name])

    @property
    def name(self) -> str:
        """What it is, with maker and model: “Pressure gauge, Tidewell T4”."""
        return ", ".join(word for word in (self.kind, self.make) if word)


class Calibration(models.Model):
    """One calibration of an instrument: the day of it, and the last day that it holds for, where one was given."""

    instrument = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="calibrations")
    calibrated_on = models.DateField("calibrated on")
    due_on = models.DateField("due on", null=True, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    struck_at = models.DateTimeField("voided", null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["-calibrated_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["instrument", "calibrated_on"],
                condition=models.Q(struck_at=None),
                name="one_calibration_per_day",
            ),
            models.CheckConstraint(
                condition=models.Q(due_on=None) | models.Q(due_on__gte=models.F("calibrated_on")),
                name="due_after_calibrated",
            ),
            models.CheckConstraint(
                condition=models.Q(struck_at=None, struck_by=None)
                | models.Q(struck_at__isnull=False, struck_by__isnull=False),
                name="calibration_struck_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.instrument}, {self.calibrated_on}"


class MadeWith(models.Model):
    """What a finding was made with.

    ``instrument`` is what the person typed. Where an instrument of the shop's register was chosen, the other columns
    hold it as it stood on the day of the finding; all are None where none was chosen, and stay out of the digest.
    """

    instrument = models.CharField(max_length=80, blank=True)
    registered = models.ForeignKey(Instrument, on_delete=models.PROTECT, related_name="+", null=True, db_index=False)
    registered_as = models.CharField(max_length=150, null=True)  # noqa: DJ001
    instrument_serial = models.CharField(max_length=60, null=True)  # noqa: DJ001
    calibrated_on = models.DateField(null=True)
    calibrated_until = models.DateField(null=True)

    class Meta:
        abstract = True
