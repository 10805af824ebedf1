"""Taxes with dated rates, customers who are exempt, and the taxes that a job was closed with."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from engineering.canonical import plain_decimal
from vessels.models import Customer
from workorders.models import Job
from workorders.reckoning import CapPer, ChargeKind

KIND_FIELDS = {
    ChargeKind.LABOR: "on_labor",
    ChargeKind.PART: "on_parts",
    ChargeKind.SUBLET: "on_sublet",
    ChargeKind.FEE: "on_fees",
}
CAP_WORDS = {CapPer.LINE: "of each line", CapPer.DOCUMENT: "of a whole invoice or estimate"}
KIND_WORDS = {
    ChargeKind.LABOR: "labor",
    ChargeKind.PART: "parts",
    ChargeKind.SUBLET: "sublet work",
    ChargeKind.FEE: "fees",
}


class SalesTax(models.Model):
    """A tax by its name. What it comes to is its rate of the day."""

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        verbose_name = "tax"
        verbose_name_plural = "taxes"
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(name=""), name="tax_named")]

    def __str__(self) -> str:
        return self.name


class TaxRate(models.Model):
    """A rate of a tax from one day to another, both included. One that was in use is never changed."""

    tax = models.ForeignKey(SalesTax, on_delete=models.PROTECT, related_name="rates")
    percent = models.DecimalField(
        max_digits=6,
        decimal_places=3,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("100"))],
    )
    on_labor = models.BooleanField("labor", default=False)
    on_parts = models.BooleanField("parts", default=False)
    on_sublet = models.BooleanField("sublet work", default=False)
    on_fees = models.BooleanField("fees", default=False)
    cap = models.DecimalField(
        "due on no more than", max_digits=11, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )  # fmt: skip
    cap_per = models.CharField(
        "of what", max_length=8, choices=[(per.value, words) for per, words in CAP_WORDS.items()],
        default=CapPer.DOCUMENT.value,
    )  # fmt: skip
    on_tax = models.ForeignKey(
        SalesTax, on_delete=models.PROTECT, related_name="+", null=True, blank=True, verbose_name="and on the tax"
    )
    starts_on = models.DateField("first day")
    ends_on = models.DateField("last day", null=True, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        verbose_name = "tax rate"
        ordering = ["tax", "starts_on"]
        constraints = [
            models.UniqueConstraint(fields=["tax", "starts_on"], name="one_tax_rate_a_day"),
            models.CheckConstraint(
                condition=models.Q(percent__gte=0) & models.Q(percent__lte=100), name="tax_percent_sound"
            ),
            models.CheckConstraint(condition=models.Q(cap=None) | models.Q(cap__gt=0), name="tax_cap_above_zero"),
            models.CheckConstraint(
                condition=models.Q(cap=None) | models.Q(on_tax=None), name="tax_capped_or_on_another_tax"
            ),
            models.CheckConstraint(
                condition=models.Q(on_tax=None) | ~models.Q(on_tax=models.F("tax")), name="tax_not_on_itself"
            ),
            models.CheckConstraint(
                condition=models.Q(ends_on=None) | models.Q(ends_on__gte=models.F("starts_on")),
                name="tax_rate_in_order",
            ),
            models.CheckConstraint(
                condition=models.Q(on_labor=True)
                | models.Q(on_parts=True)
                | models.Q(on_sublet=True)
                | models.Q(on_fees=True),
                name="tax_rate_on_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.tax}, {self.percent_words}"

    @property
    def percent_words(self) -> str:
        """The percentage: 6 %, 0.5 %."""
        return f"{plain_decimal(self.percent)} %"

    @property
    def kinds(self) -> frozenset[ChargeKind]:
        """The kinds of charges that it is due on."""
        return frozenset(kind for kind, name in KIND_FIELDS.items() if getattr(self, name))

    @property
    def kind_words(self) -> str:
        """The same in words: parts and fees."""
        words = [KIND_WORDS[kind] for kind in KIND_FIELDS if kind in self.kinds]
        return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"

    def holds_on(self, day: date) -> bool:
        """Whether it is in force on this day."""
        return self.starts_on <= day and (self.ends_on is None or day <= self.ends_on)


class TaxExemption(models.Model):
    """A customer's certificate of exemption: from one tax, or from all where none is named."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="tax_exemptions")
    tax = models.ForeignKey(SalesTax, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    certificate = models.CharField("certificate number", max_length=60)
    reason = models.CharField(max_length=120, blank=True)
    last_day = models.DateField("valid until", null=True, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    ended_at = models.DateTimeField("no longer counts since", null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        verbose_name = "tax certificate"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(certificate=""), name="tax_certificate_numbered"),
            models.CheckConstraint(
                condition=models.Q(ended_at=None, ended_by=None)
                | models.Q(ended_at__isnull=False, ended_by__isnull=False),
                name="tax_exemption_ended_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return f"certificate {self.certificate}"

    @property
    def of_what(self) -> str:
        """What the customer is exempt from, in words."""
        return str(self.tax) if self.tax is not None else "all taxes"

    def holds_on(self, day: date) -> bool:
        """Whether it counts on this day."""
        return self.ended_at is None and (self.last_day is None or day <= self.last_day)

    def has_run_out_by(self, day: date) -> bool:
        """Whether its last day has passed."""
        return self.ended_at is None and self.last_day is not None and self.last_day < day


class JobTaxes(models.Model):
    """The taxes that a job was closed with: rates, and certificates, of that day."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, primary_key=True, related_name="closed_taxes")
    day = models.DateField()
    taxes = models.JSONField()

    class Meta:
        verbose_name = "taxes of a closed job"

    def __str__(self) -> str:
        return f"Taxes of {self.job}"
