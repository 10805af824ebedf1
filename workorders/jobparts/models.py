"""Parts on the job: what was fitted, which charge is for it, and what is waited for."""

from __future__ import annotations

from decimal import Decimal
from typing import cast
from uuid import UUID

from django.conf import settings
from django.contrib.postgres.indexes import OpClass
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from engineering.canonical import plain_decimal
from parts.models import Part
from vessels.log.triggers import append_only
from vessels.models import Detail
from vessels.models.searching import squeezed
from web.versions import Versioned
from workorders.models import Charge, Job, JobLine

MOST = Decimal("9999")
"""More of one part on one job is a slip of the finger."""
CONDITIONS = [
    ("new", "new"),
    ("used", "used"),
    ("rebuilt", "rebuilt"),
    ("reconditioned", "reconditioned"),
]
FATES = [
    ("customer", "kept for the customer"),
    ("scrapped", "scrapped"),
    ("core", "sent back as a core"),
]


def part_words(number: str, maker: str, description: str) -> str:
    """A part as people say it: number, description, and the maker where there is one."""
    words = " ".join(word for word in (number, description) if word)
    return f"{words} ({maker})" if maker else words


class NamedPart(models.Model):
    """A part by maker, number and description, as they were on the day; ``part`` where the catalog has it."""

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    maker = models.CharField(max_length=60, blank=True)
    number = models.CharField("part number", max_length=40, blank=True)
    description = models.CharField(max_length=160, blank=True)
    quantity = models.DecimalField(
        max_digits=6, decimal_places=2, validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(MOST)]
    )

    class Meta:
        abstract = True

    @property
    def words(self) -> str:
        """What it is."""
        return part_words(self.number, self.maker, self.description)

    @property
    def quantity_words(self) -> str:
        """How many: 2, 1.5."""
        return plain_decimal(self.quantity)


class PartFitted(NamedPart, Detail):
    """A part that was fitted on a job, with what came out for it.

    ``first`` is the entry that the first wording of it has, where this one corrects it: a chain of corrections is one
    part, charged at most once.
    """

    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    serial = models.CharField(max_length=60, blank=True)
    condition = models.CharField(max_length=14, choices=CONDITIONS)
    old_serial = models.CharField("serial of the old part", max_length=60, blank=True)
    old_fate = models.CharField("what became of the old part", max_length=10, choices=FATES, blank=True)
    first = models.ForeignKey("self", on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        triggers = append_only()
        verbose_name = "part fitted"
        verbose_name_plural = "parts fitted"
        indexes = [
            models.Index(OpClass(squeezed("number"), name="text_pattern_ops"), name="fitted_number_start"),
            models.Index(OpClass(squeezed("serial"), name="text_pattern_ops"), name="fitted_serial_start"),
            models.Index(OpClass(squeezed("old_serial"), name="text_pattern_ops"), name="fitted_old_serial"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0) & models.Q(quantity__lte=MOST), name="fitted_quantity"
            ),
            models.CheckConstraint(
                condition=~models.Q(number="") | ~models.Q(description=""), name="fitted_part_is_named"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity_words} × {self.words}"

    @property
    def first_key(self) -> UUID:
        """The key of the first wording."""
        return cast("UUID", self.first_id or self.pk)


class FittedCharge(models.Model):
    """Which charge is for which fitted part. A voided charge frees the part; the row stays."""

    charge = models.OneToOneField(Charge, on_delete=models.PROTECT, primary_key=True, related_name="fitted")
    fitted = models.ForeignKey(PartFitted, on_delete=models.PROTECT, related_name="charges")
    as_charged = models.ForeignKey(PartFitted, on_delete=models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.charge} for {self.fitted}"


class AwaitedPart(NamedPart, Versioned):
    """A part that a job waits for: from whom, since when, until when, and when it came.

    Of an order that comes in several deliveries each has a row, which names in ``order`` the one that was ordered.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="awaited")
    order = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="deliveries", null=True, blank=True, editable=False
    )
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    supplier = models.CharField(max_length=80, blank=True)
    ordered_on = models.DateField("ordered on", null=True, blank=True)
    expected_on = models.DateField("expected on", null=True, blank=True)
    remark = models.CharField(max_length=200, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    arrived_at = models.DateTimeField("arrived", null=True, blank=True, editable=False)
    arrived_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )
    canceled_at = models.DateTimeField("no longer waited for", null=True, blank=True, editable=False)
    canceled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        verbose_name = "part waited for"
        verbose_name_plural = "parts waited for"
        ordering = ["job", "pk"]
        indexes = [
            models.Index(
                fields=["job"], condition=models.Q(arrived_at=None, canceled_at=None), name="still_awaited_of_job"
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0) & models.Q(quantity__lte=MOST), name="awaited_quantity"
            ),
            models.CheckConstraint(
                condition=~models.Q(number="") | ~models.Q(description=""), name="awaited_part_is_named"
            ),
            models.CheckConstraint(
                condition=models.Q(arrived_at=None, arrived_by=None)
                | models.Q(arrived_at__isnull=False, arrived_by__isnull=False, canceled_at=None),
                name="arrived_with_somebody",
            ),
            models.CheckConstraint(
                condition=models.Q(canceled_at=None, canceled_by=None)
                | models.Q(canceled_at__isnull=False, canceled_by__isnull=False),
                name="canceled_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity_words} × {self.words}"

    @property
    def is_open(self) -> bool:
        """Whether it is still waited for."""
        return self.arrived_at is None and self.canceled_at is None

    @property
    def is_late(self) -> bool:
        """Whether the day on which it was expected has passed, in the shop's zone, without it."""
        return self.is_open and self.expected_on is not None and self.expected_on < timezone.localdate()
