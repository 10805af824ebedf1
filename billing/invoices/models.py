"""Invoices, credit notes, and every sum that was received, used, paid back or written off.

Nothing here is ever changed: the database refuses it. What is wrong is reversed by another row. What is open on an
invoice and what the shop holds for a customer is always worked out from the rows.

Money that is received is a ``Payment``; what becomes of it is in ``Use`` rows: so much for this invoice, so much paid
back. What of it has no use is held for the customer: a deposit, an overpayment, or what a credit note set free.
"""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, RegexValidator
from django.db import models
from django.db.models.functions import Upper
from django.utils import timezone

from billing.invoices.triggers import KeepsOpen, KeepsRest
from commands.triggers import append_only
from vessels.models import Customer
from web.versions import Versioned
from workorders.models import Charge, Job

COUNTRY = RegexValidator(r"^([A-Z]{2}|1A)$", "Two capital letters, such as US.")
MEANS = [
    ("cash", "Cash"),
    ("card", "Card"),
    ("transfer", "Bank transfer"),
    ("check", "Check"),
    ("other", "Other"),
]


def _sum(**more: object) -> models.DecimalField:  # type: ignore[type-arg]
    return models.DecimalField(max_digits=12, decimal_places=2, **more)  # type: ignore[arg-type]


def _who() -> models.ForeignKey:  # type: ignore[type-arg]
    return models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")


def _has_its_sign(what: str) -> models.CheckConstraint:
    """What is written off is above zero, and what reverses it below."""
    sign = models.Q(amount__gt=0, reverses=None) | models.Q(amount__lt=0, reverses__isnull=False)
    return models.CheckConstraint(condition=sign, name=f"{what}_has_its_sign")


class BillingProfile(Versioned):
    """What the shop's invoices say and rest on. There is one row."""

    terms_days = models.PositiveSmallIntegerField(
        "days until an invoice is due",
        default=0,
        validators=[MaxValueValidator(365)],
        help_text="0 is due when it is received.",
    )
    how_to_pay = models.TextField("how to pay", blank=True, help_text="Printed at the foot of every invoice.")
    country = models.CharField("country", max_length=2, blank=True, validators=[COUNTRY], help_text="Such as US.")
    registration = models.CharField(
        "registration number of the business", max_length=40, blank=True, help_text="As the register has it."
    )
    vat_id = models.CharField(
        "VAT number", max_length=20, blank=True, help_text="Only where the shop’s taxes are value added tax."
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_billing_profile")]

    def __str__(self) -> str:
        return "Invoices"


class CustomerBilling(Versioned):
    """What invoices need of a customer beyond name and address."""

    customer = models.OneToOneField(Customer, on_delete=models.PROTECT, related_name="billing")
    country = models.CharField("country", max_length=2, blank=True, validators=[COUNTRY], help_text="Such as US.")
    vat_id = models.CharField("VAT number", max_length=20, blank=True)
    terms_days = models.PositiveSmallIntegerField(
        "days until an invoice is due",
        null=True,
        blank=True,
        validators=[MaxValueValidator(365)],
        help_text="If empty: as for everybody.",
    )

    def __str__(self) -> str:
        return f"Invoices of {self.customer}"


class Account(Versioned):
    """Under which account of the shop's books a kind of sum is kept."""

    role = models.CharField(max_length=60, unique=True)
    code = models.CharField(max_length=20, blank=True)
    name = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["role"]

    def __str__(self) -> str:
        return f"{self.code} {self.name}".strip() or self.role


class Paper(models.Model):
    """A document that was made: frozen as canonical JSON, and drawn from that alone."""

    number = models.CharField(max_length=24, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="%(class)ss")
    issued_on = models.DateField()
    currency = models.CharField(max_length=3)
    net = _sum()
    tax = _sum()
    total = _sum()
    record = models.TextField()
    record_sha256 = models.CharField(max_length=64)
    made_by = _who()
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.number


class Invoice(Paper):
    """What a customer owes for a job, or for the part of it that was not invoiced before."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="invoices")
    due_on = models.DateField()

    class Meta:
        ordering = ["-pk"]
        triggers = [*append_only(), KeepsOpen()]
        indexes = [
            models.Index(fields=["customer", "issued_on"], name="invoice_of_customer"),
            models.Index(fields=["issued_on"], name="invoice_by_day"),
        ]
        constraints = [
            models.CheckConstraint(condition=models.Q(total__gte=0), name="invoice_not_negative"),
            models.CheckConstraint(
                condition=models.Q(total=models.F("net") + models.F("tax")), name="invoice_adds_up"
            ),
            models.CheckConstraint(condition=models.Q(due_on__gte=models.F("issued_on")), name="invoice_due_after_it"),
        ]  # fmt: skip


class OpenInvoice(models.Model):
    """What is open on an invoice; there is no row where nothing is. The database keeps it, from the rows (0114)."""

    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, primary_key=True, related_name="standing")
    open = _sum()

    def __str__(self) -> str:
        return f"{self.open} of {self.invoice_id}"


class LeftToInvoice(models.Model):
    """A job that was closed with charges on no invoice. What is on one by now is left out where it is listed."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, primary_key=True, related_name="left_to_invoice")

    def __str__(self) -> str:
        return f"Left of {self.job}"


class InvoicedCharge(models.Model):
    """A charge that stands on an invoice. The database lets it stand on one, once."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="charged")
    charge = models.OneToOneField(Charge, on_delete=models.PROTECT, related_name="invoiced")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["invoice", "position"]
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.invoice}: {self.charge}"


class CreditNote(Paper):
    """What of an invoice is not owed after all, with why: whole, lines of it, or a sum. Lines may come to nothing."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="credits")
    reason = models.TextField()

    class Meta:
        ordering = ["-pk"]
        triggers = [*append_only(), KeepsOpen()]
        indexes = [models.Index(fields=["issued_on"], name="credit_by_day")]
        constraints = [
            models.CheckConstraint(condition=models.Q(total__gte=0), name="credit_not_negative"),
            models.CheckConstraint(
                condition=models.Q(total=models.F("net") + models.F("tax")), name="credit_adds_up"
            ),
        ]  # fmt: skip


class CreditedCharge(models.Model):
    """A charge that was credited whole. A charge is credited once."""

    credit = models.ForeignKey(CreditNote, on_delete=models.PROTECT, related_name="credited")
    charge = models.OneToOneField(Charge, on_delete=models.PROTECT, related_name="credited")

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.credit}: {self.charge}"


class Payment(models.Model):
    """Money that came in, went back, or did not come in after all: cash, card and the like are noted, not processed.

    ``amount`` is above zero where the shop has more money for it, below where it has less. ``job`` is what a deposit
    is for, ``invoice`` what was to be paid; ``reverses`` is the row that was wrong.
    """

    KINDS = [("received", "Received"), ("refunded", "Paid back"), ("reversed", "Reversed")]

    kind = models.CharField(max_length=8, choices=KINDS)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="payments")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="deposits", null=True)
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="payments", null=True)
    amount = _sum()
    currency = models.CharField(max_length=3)
    means = models.CharField(max_length=8, choices=MEANS)
    reference = models.CharField(max_length=80, blank=True)
    day = models.DateField()
    remark = models.CharField(max_length=500, blank=True)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, related_name="reversed_by", null=True)
    by = _who()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        triggers = [*append_only(), KeepsRest()]
        indexes = [
            models.Index(fields=["customer", "day"], name="payment_of_customer"),
            models.Index(fields=["day"], name="payment_by_day"),
            models.Index(Upper("reference"), condition=~models.Q(reference=""), name="payment_by_reference"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind="received", amount__gt=0, reverses=None)
                | models.Q(kind="refunded", amount__lt=0, reverses=None)
                | (models.Q(kind="reversed", reverses__isnull=False) & ~models.Q(amount=0)),
                name="payment_has_its_sign",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.amount} {self.currency}"


class LooseWriteOff(models.Model):
    """A sum on no invoice that one side no longer expects of the other, with why; below zero where that was reversed.

    ``THEIRS`` is owed by the customer: it was paid out to them of a payment that was not honored. ``OURS`` is owed to
    the customer, as credit.
    """

    THEIRS, OURS = "theirs", "ours"
    SIDES = [(THEIRS, "Owed by the customer"), (OURS, "Owed to the customer")]

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="loose_write_offs")
    side = models.CharField(max_length=6, choices=SIDES)
    amount = _sum()
    currency = models.CharField(max_length=3)
    reason = models.CharField(max_length=500)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, related_name="reversed_by", null=True)
    day = models.DateField()
    by = _who()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        triggers = append_only()
        indexes = [models.Index(fields=["day"], name="loose_write_off_by_day")]
        constraints = [_has_its_sign("loose_write_off")]

    def __str__(self) -> str:
        return f"{self.amount} {self.currency}"

    @property
    def is_theirs(self) -> bool:
        """Whether the customer owed it."""
        return self.side == self.THEIRS


class Use(models.Model):
    """What became of money that was received: so much for an invoice, so much that went out again, or was written off.

    Below zero it is money that has no use again: its invoice was credited, or what paid it was reversed.
    """

    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="uses")
    amount = _sum()
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="uses", null=True)
    out = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="sources", null=True)
    credit = models.ForeignKey(CreditNote, on_delete=models.PROTECT, related_name="freed", null=True)
    off = models.ForeignKey(LooseWriteOff, on_delete=models.PROTECT, related_name="uses", null=True)
    day = models.DateField()
    by = _who()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        triggers = [*append_only(), KeepsOpen(), KeepsRest()]
        indexes = [models.Index(fields=["day"], name="use_by_day")]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount=0), name="use_of_something"),
            models.CheckConstraint(
                condition=models.Q(invoice=None, out__isnull=False, credit=None, off=None)
                | models.Q(invoice=None, out=None, credit=None, off__isnull=False)
                | models.Q(invoice__isnull=False, out=None, off=None),
                name="use_for_one_thing",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount}"


class PaymentRest(models.Model):
    """What of received money has no use; there is no row where nothing is left. The database keeps it, from the rows.

    It is below zero where more went out of a payment than came in (0106).
    """

    payment = models.OneToOneField(Payment, on_delete=models.PROTECT, primary_key=True, related_name="resting")
    rest = _sum()

    def __str__(self) -> str:
        return f"{self.rest} of {self.payment_id}"


class WriteOff(models.Model):
    """What the shop no longer expects to be paid of an invoice, with why; below zero where that was reversed."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="write_offs")
    amount = _sum()
    reason = models.CharField(max_length=500)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, related_name="reversed_by", null=True)
    day = models.DateField()
    by = _who()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        triggers = [*append_only(), KeepsOpen()]
        constraints = [_has_its_sign("write_off")]

    def __str__(self) -> str:
        return f"{self.amount}"


class DrawnPaper(models.Model):
    """The PDF of an invoice or a credit note, drawn from its record and signed: one each, kept in the store."""

    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, related_name="drawn", null=True)
    credit = models.OneToOneField(CreditNote, on_delete=models.PROTECT, related_name="drawn", null=True)
    pdf_sha256 = models.CharField(max_length=64)
    pdf_size = models.PositiveIntegerField()
    pages = models.PositiveSmallIntegerField()
    signature_sha256 = models.CharField(max_length=64)
    certificate_sha256 = models.CharField(max_length=64)
    level = models.CharField(max_length=8)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        triggers = append_only()
        constraints = [
            models.CheckConstraint(
                condition=models.Q(invoice=None, credit__isnull=False) | models.Q(invoice__isnull=False, credit=None),
                name="drawn_of_one_paper",
            )
        ]

    def __str__(self) -> str:
        return str(self.invoice or self.credit)


NOTHING = Decimal(0)
