"""Estimates with their lines and options, and the shop's kits."""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from engineering.canonical import plain_decimal
from parts.models import Part
from web.versions import Versioned
from workorders.models import Charge, Job, JobLine
from workorders.reckoning import ALL_KINDS, ChargeKind

NOTHING, HUNDRED, MOST = Decimal("0"), Decimal("100"), Decimal("9999999")
PERCENT_OF = [
    ("labor", "labor"),
    ("parts", "parts"),
    ("both", "labor and parts"),
    ("all", "everything but fees"),
]
PERCENT_KINDS = {
    "labor": frozenset({ChargeKind.LABOR}),
    "parts": frozenset({ChargeKind.PART}),
    "both": frozenset({ChargeKind.LABOR, ChargeKind.PART}),
    "all": ALL_KINDS - {ChargeKind.FEE},
}


def money_column(label: str) -> models.DecimalField[Decimal | None, Decimal | None]:
    """A column for a sum of money that may be unknown."""
    return models.DecimalField(
        label,
        max_digits=11,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(NOTHING), MaxValueValidator(MOST)],
    )


def percent_column(label: str) -> models.DecimalField[Decimal | None, Decimal | None]:
    """A column for a percentage that may be left out."""
    return models.DecimalField(
        label,
        max_digits=6,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(NOTHING), MaxValueValidator(HUNDRED)],
    )


class PricedLine(Versioned):
    """A line with a price, or one that still needs it: by quantity, flat, as a percentage, or by foot and day."""

    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=6, choices=Charge.KINDS)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    description = models.CharField(max_length=160)
    quantity = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal("0.01"))]
    )
    unit_price = money_column("price or rate")
    is_flat = models.BooleanField("flat price", default=False)
    percent = percent_column("percentage")
    percent_of = models.CharField("of", max_length=6, choices=PERCENT_OF, blank=True)
    cap = money_column("at most")
    feet = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal("0.01"))]
    )
    days = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    taxable = models.BooleanField("taxed", default=True)
    is_core = models.BooleanField("core charge", default=False)
    core_back = models.BooleanField("the old part comes back with the work", default=False)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.description

    @property
    def is_priced(self) -> bool:
        """Whether it is known what it costs."""
        return self.percent is not None or (self.quantity is not None and self.unit_price is not None)


class Kit(Versioned):
    """Work that the shop sells as one: labor, parts and fees with their hours, under a name."""

    name = models.CharField(max_length=80, unique=True)
    note = models.CharField(max_length=200, blank=True, help_text="For whom it fits, or what it leaves out.")
    is_sold = models.BooleanField("offered on estimates", default=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=~models.Q(name=""), name="kit_named")]

    def __str__(self) -> str:
        return self.name


class KitLine(PricedLine):
    """A line of a kit. Without a price it takes the labor rate or the catalog's price of the day."""

    kit = models.ForeignKey(Kit, on_delete=models.CASCADE, related_name="lines")

    class Meta:
        ordering = ["kit", "position", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(description=""), name="kit_line_said")]


class Estimate(Versioned):
    """One version of a job's estimate: a draft, or frozen as it was given to the customer."""

    HOW = [("printed", "on paper"), ("mailed", "by mail or message"), ("shown", "on the screen")]

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="estimates")
    revision = models.PositiveSmallIntegerField(editable=False)
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="replaced_by", null=True, blank=True, editable=False
    )
    valid_until = models.DateField("valid until")
    words = models.TextField("words to the customer", blank=True, max_length=2000)
    discount_percent = percent_column("discount on the whole, %")
    discount_amount = money_column("discount on the whole")
    deposit = money_column("deposit asked")
    contingency_percent = percent_column("contingency, %")
    started_at = models.DateTimeField(default=timezone.now, editable=False)
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    given_at = models.DateTimeField("given", null=True, blank=True, editable=False)
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )
    given_how = models.CharField("how it was given", max_length=7, choices=HOW, blank=True, editable=False)
    total = money_column("total")
    snapshot = models.TextField(blank=True, editable=False)
    sha256 = models.CharField(max_length=64, blank=True, editable=False)
    pdf_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    pdf_size = models.PositiveBigIntegerField(null=True, editable=False)

    class Meta:
        ordering = ["job", "-revision"]
        constraints = [
            models.UniqueConstraint(fields=["job", "revision"], name="one_estimate_of_a_version"),
            models.UniqueConstraint(
                fields=["job"], condition=models.Q(given_at=None), name="one_draft_estimate_of_a_job"
            ),
            models.CheckConstraint(
                condition=models.Q(given_at=None, given_by=None, snapshot="", sha256="")
                | (models.Q(given_at__isnull=False, given_by__isnull=False) & ~models.Q(snapshot="")),
                name="estimate_given_is_frozen",
            ),
            models.CheckConstraint(
                condition=models.Q(discount_percent=None) | models.Q(discount_amount=None), name="estimate_one_discount"
            ),
        ]

    def __str__(self) -> str:
        return f"Estimate {self.job.number}, version {self.revision}"

    @property
    def is_draft(self) -> bool:
        """Whether it may still be changed."""
        return self.given_at is None

    def has_run_out_by(self, day: date) -> bool:
        """Whether its last day has passed."""
        return self.valid_until < day


class EstimateOption(Versioned):
    """Something that the customer may take or leave; of those with the same ``alternatives`` at most one."""

    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="options")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    alternatives = models.CharField(
        "one of", max_length=40, blank=True, help_text="Options with the same word here exclude each other."
    )

    class Meta:
        ordering = ["estimate", "position", "pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(name=""), name="option_named"),
            models.UniqueConstraint(fields=["estimate", "key"], name="one_option_of_a_key"),
        ]

    def __str__(self) -> str:
        return self.name


class EstimateLine(PricedLine):
    """A line of an estimate: of the work itself, or of an option. ``key`` stays the same from version to version."""

    estimate = models.ForeignKey(Estimate, on_delete=models.CASCADE, related_name="lines")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    option = models.ForeignKey(EstimateOption, on_delete=models.CASCADE, related_name="lines", null=True, blank=True)
    job_line = models.ForeignKey(
        JobLine, on_delete=models.PROTECT, related_name="+", null=True, blank=True, verbose_name="for line"
    )
    discount_percent = percent_column("discount, %")
    discount_amount = money_column("discount")

    class Meta:
        ordering = ["estimate", "position", "pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(description=""), name="estimate_line_said"),
            models.UniqueConstraint(fields=["estimate", "key"], name="one_estimate_line_of_a_key"),
            models.CheckConstraint(
                condition=models.Q(discount_percent=None) | models.Q(discount_amount=None),
                name="estimate_line_one_discount",
            ),
        ]


def plain(value: Decimal | None) -> str:
    """A figure without zeros that say nothing; empty where there is none."""
    return "" if value is None else plain_decimal(value)
