"""Jobs, their lines and what is charged."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Coalesce
from django.utils import timezone

from parts.models import Part
from vessels.log.triggers import append_only
from vessels.models import Customer, Detail, Engine, LogEntry, Vessel
from web.versions import Versioned
from workorders.money import ChargeKind
from workorders.reckoning import Discount, discount_of
from workorders.states import LABELS, OPEN, JobState

STATES = [(state.value, LABELS[state]) for state in JobState]
FAR_DAY, FAR_MOMENT = date(9999, 12, 31), datetime(9999, 1, 1, tzinfo=UTC)
"""Where jobs without a promised day, or without an end, stand in a list."""
ENDED = [state.value for state in JobState if state not in OPEN]


def _percent() -> models.DecimalField[Decimal | None, Decimal | None]:
    return models.DecimalField(
        "discount, %",
        max_digits=6,
        decimal_places=3,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("100"))],
    )


def _off() -> models.DecimalField[Decimal | None, Decimal | None]:
    return models.DecimalField(
        "discount", max_digits=11, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal("0"))]
    )


class JobNumber(models.Model):
    """The last job number given. One row, locked while a job is opened, so that numbers have no gaps."""

    last = models.PositiveIntegerField(default=1000)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_job_number")]

    def __str__(self) -> str:
        return str(self.last)


class Job(Versioned):
    """A work order for one vessel."""

    LOCATIONS = [
        ("slip", "Slip"),
        ("rack", "Rack"),
        ("trailer", "Trailer"),
        ("yard", "Yard"),
        ("away", "Away from the shop"),
    ]

    number = models.PositiveIntegerField(unique=True)
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="jobs")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    state = models.CharField(max_length=20, choices=STATES, default=JobState.ESTIMATE.value)
    state_since = models.DateTimeField(default=timezone.now)
    opened_at = models.DateTimeField(default=timezone.now)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    promised_on = models.DateField("promised for", null=True, blank=True)
    location = models.CharField(max_length=8, choices=LOCATIONS, default="slip")
    spot = models.CharField("slip, rack or spot", max_length=40, blank=True)
    keys = models.CharField("where the keys are", max_length=80, blank=True)
    contents = models.TextField("contents on arrival", blank=True, help_text="Loose gear, electronics, papers.")
    condition = models.TextField(
        "condition on arrival", blank=True, help_text="Damage and wear seen before we started."
    )
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="jobs", null=True, blank=True
    )
    discount_percent = _percent()
    discount_amount = _off()
    # Only on a job that was opened before taxes had dates: the one percentage that it keeps. See workorders.taxes.
    tax_percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True, editable=False)
    tax_on_labor = models.BooleanField(default=True, editable=False)

    class Meta:
        ordering = ["-number"]
        indexes = [
            models.Index(fields=["state", "promised_on"], name="job_board"),
            models.Index(fields=["vessel", "-opened_at"], name="job_of_vessel"),
            # The orders of the list of jobs, one page of which is read at any size of the shop.
            models.Index(fields=["opened_at", "id"], name="job_by_opening"),
            models.Index(fields=["state", "id"], name="job_by_state"),
            models.Index(Coalesce("promised_on", models.Value(FAR_DAY)), "id", name="job_by_promise"),
            models.Index(Coalesce("closed_at", models.Value(FAR_MOMENT)), "id", name="job_by_end"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=[state.value for state in JobState]), name="job_state_known"
            ),
            models.CheckConstraint(
                condition=models.Q(state__in=ENDED, closed_at__isnull=False)
                | (~models.Q(state__in=ENDED) & models.Q(closed_at=None)),
                name="job_ended_at_a_time",
            ),
            models.CheckConstraint(
                condition=models.Q(discount_percent=None) | models.Q(discount_amount=None), name="job_one_discount"
            ),
        ]

    def __str__(self) -> str:
        return f"Job {self.number}"

    @property
    def where(self) -> str:
        """Where the boat is, in words."""
        return place_words(self.location, self.spot)

    @property
    def is_open(self) -> bool:
        """Whether work on it may still go on."""
        return JobState(self.state) in OPEN

    @property
    def discount(self) -> Discount | None:
        """The discount on the whole; None where there is none."""
        return discount_of(self.discount_percent, self.discount_amount)

    @property
    def is_overdue(self) -> bool:
        """Whether it is past its promised date, in the shop's zone, and not ready yet."""
        still_due = self.is_open and self.state != JobState.READY
        return still_due and self.promised_on is not None and self.promised_on < timezone.localdate()


_PLACES = dict(Job.LOCATIONS)


def place_words(location: str, spot: str) -> str:
    """Where a boat is, in words: “Slip A-12”, “Yard, by the crane”, “Away from the shop: City dock”."""
    kind = _PLACES.get(location, location)
    if not spot:
        return kind
    if location == "away":
        return f"{kind}: {spot}"
    if location == "yard":
        return f"{kind}, {spot}"
    return spot if spot.lower().startswith(kind.lower()) else f"{kind} {spot}"


class JobLine(Versioned):
    """One concern of the customer's, with the cause we found and the correction we made.

    ``done_by`` and ``done_on`` say who made the correction and when, which is not who wrote it down; empty where nobody
    said.
    """

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="lines")
    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="lines", null=True, blank=True)
    position = models.PositiveSmallIntegerField()
    concern = models.TextField(help_text="In the customer's own words.")
    cause = models.TextField(blank=True, help_text="What we found.")
    correction = models.TextField(blank=True, help_text="What we did.")
    done_by = models.ManyToManyField(settings.AUTH_USER_MODEL, blank=True, related_name="+")
    done_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["job", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "position"], name="one_line_per_position"),
            models.CheckConstraint(condition=~models.Q(concern=""), name="concern_said"),
        ]

    def __str__(self) -> str:
        return f"{self.position}. {self.concern}"


class Charge(models.Model):
    """One priced line: labor, a part, sublet work or a fee."""

    KINDS = [
        (ChargeKind.LABOR.value, "Labor"),
        (ChargeKind.PART.value, "Part"),
        (ChargeKind.SUBLET.value, "Sublet"),
        (ChargeKind.FEE.value, "Fee"),
    ]

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="charges")
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="charges", null=True, blank=True)
    kind = models.CharField(max_length=6, choices=KINDS)
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="charges", null=True, blank=True)
    description = models.CharField(max_length=160)
    quantity = models.DecimalField(
        max_digits=9, decimal_places=2, default=Decimal("1"), validators=[MinValueValidator(Decimal("0.01"))]
    )
    unit_price = models.DecimalField(
        max_digits=11,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0")), MaxValueValidator(Decimal("9999999"))],
    )
    taxable = models.BooleanField("taxed", default=True)
    discount_percent = _percent()
    discount_amount = _off()
    # A core charge is owed until the old part comes back; its return is a charge with a quantity below zero.
    is_core = models.BooleanField("core", default=False)
    core_of = models.ForeignKey("self", on_delete=models.PROTECT, related_name="returns", editable=False, null=True)
    # The key of what it was made of, such as a line of an estimate, so that the same is not charged twice.
    origin = models.UUIDField(null=True, blank=True, editable=False)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    struck_at = models.DateTimeField("voided", null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )
    # The id that the form chose, so that the same charge sent twice is charged once.
    entry_id = models.UUIDField(null=True, unique=True, editable=False)
    again_of = models.ForeignKey("self", on_delete=models.PROTECT, related_name="again", editable=False, null=True)

    class Meta:
        ordering = ["job", "pk"]
        indexes = [
            models.Index(
                fields=["added_at"], condition=models.Q(kind="labor", struck_at=None), name="labor_charged_by_day"
            ),
            models.Index(
                fields=["line", "id"],
                include=["quantity"],
                condition=models.Q(kind="labor", struck_at=None),
                name="labor_charged_on_line",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0, core_of=None) | models.Q(quantity__lt=0, core_of__isnull=False),
                name="quantity_positive_or_core_returned",
            ),
            models.CheckConstraint(
                condition=models.Q(is_core=False, core_of=None)
                | models.Q(is_core=True, kind="part", discount_percent=None, discount_amount=None),
                name="core_is_a_part_without_discount",
            ),
            models.CheckConstraint(condition=models.Q(unit_price__gte=0), name="price_not_negative"),
            models.CheckConstraint(
                condition=models.Q(struck_at=None, struck_by=None)
                | models.Q(struck_at__isnull=False, struck_by__isnull=False),
                name="struck_by_somebody",
            ),
            models.CheckConstraint(
                condition=models.Q(discount_percent=None) | models.Q(discount_amount=None), name="charge_one_discount"
            ),
        ]

    def __str__(self) -> str:
        return self.description

    @property
    def discount(self) -> Discount | None:
        """Its own discount; None where there is none."""
        return discount_of(self.discount_percent, self.discount_amount)

    @property
    def is_return(self) -> bool:
        """Whether it gives a core charge back."""
        return self.core_of_id is not None

    @property
    def is_struck(self) -> bool:
        """Whether it was voided; it stays visible and counts for nothing."""
        return self.struck_at is not None


class JobMove(Detail):
    """A job was opened (``from_state`` is empty) or went from one state to another."""

    from_state = models.CharField(max_length=20, blank=True)
    to_state = models.CharField(max_length=20)
    reason = models.TextField(blank=True)

    class Meta:
        triggers = append_only()


class MoveInTime(models.Model):
    """A move of a job as the log has it: the database keeps it, so that moves of some days lie together (0137)."""

    entry = models.OneToOneField(LogEntry, on_delete=models.PROTECT, primary_key=True, related_name="+")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="+")
    state = models.CharField(max_length=20)
    position = models.PositiveIntegerField()
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()

    class Meta:
        indexes = [models.Index(fields=["recorded_at"], name="moves_in_time")]

    def __str__(self) -> str:
        return f"{self.job}: {self.state}"


class JobChange(Detail):
    """What was changed on a job's intake or on one of its lines: ``{field: [before, after]}`` as text."""

    subject = models.CharField(max_length=80)
    changes = models.JSONField()
    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True)

    class Meta:
        triggers = append_only()
