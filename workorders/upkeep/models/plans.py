"""Service plans, which engine follows which, and what was done."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from engineering.hours import hours_words
from engineering.plurals import counted
from engineering.service import ServiceInterval
from vessels.log.triggers import append_only
from vessels.models import Detail, Engine, EngineFamily, LogEntry
from web.versions import Versioned
from workorders.models import JobLine

MOST_HOURS = Decimal("20000")
MOST_MONTHS = 240
_HOURS = [MinValueValidator(Decimal(1)), MaxValueValidator(MOST_HOURS)]
_MONTHS = [MinValueValidator(1), MaxValueValidator(MOST_MONTHS)]


def interval_words(hours: Decimal | None, months: int | None) -> str:
    """An interval as people say it: “100 h or 12 months”."""
    said = [] if hours is None else [hours_words(hours)]
    if months is not None:
        said.append(counted(months, "month"))
    return " or ".join(said)


class Interval(models.Model):
    """What a plan asks for: how often, what differs the first time, which tasks, and where the maker says so."""

    name = models.CharField(max_length=80)
    every_hours = models.DecimalField(
        "every … hours", max_digits=7, decimal_places=1, null=True, blank=True, validators=_HOURS
    )
    every_months = models.PositiveSmallIntegerField("every … months", null=True, blank=True, validators=_MONTHS)
    first_hours = models.DecimalField(
        "the first after … hours", max_digits=7, decimal_places=1, null=True, blank=True, validators=_HOURS
    )
    first_months = models.PositiveSmallIntegerField(
        "the first after … months", null=True, blank=True, validators=_MONTHS
    )
    tasks = models.TextField(blank=True)
    manual = models.CharField("where the maker’s manual says so", max_length=200, blank=True)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.name

    @property
    def every(self) -> ServiceInterval:
        """The interval from one service to the next."""
        return ServiceInterval(self.every_hours, self.every_months)

    @property
    def first(self) -> ServiceInterval:
        """The interval to the first service of a new engine: its own, or the same as all others."""
        if self.first_hours is None and self.first_months is None:
            return self.every
        return ServiceInterval(self.first_hours, self.first_months)

    @property
    def words(self) -> str:
        """How often, in words: “every 100 h or 12 months, the first after 20 h”."""
        said = f"every {interval_words(self.every_hours, self.every_months)}"
        first = interval_words(self.first_hours, self.first_months)
        return f"{said}, the first after {first}" if first else said

    @property
    def task_list(self) -> list[str]:
        """The tasks, one each."""
        return [line.strip() for line in self.tasks.splitlines() if line.strip()]


class ServicePlan(Interval, Versioned):
    """A service that engines of one family get again and again, as the shop wrote it down. It ends, and stays.

    ``kit``: what the shop sells for it. It is no part of what the manual says, so no version keeps it.
    """

    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="service_plans")
    kit = models.ForeignKey(
        "estimates.Kit", on_delete=models.PROTECT, related_name="+", null=True, blank=True, verbose_name="kit"
    )
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    ended_at = models.DateTimeField("ended", null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["family", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                "family", Lower("name"), condition=models.Q(ended_at=None), name="one_plan_per_family_and_name"
            ),
            models.CheckConstraint(
                condition=models.Q(every_hours__isnull=False) | models.Q(every_months__isnull=False),
                name="plan_has_an_interval",
            ),
            models.CheckConstraint(condition=~models.Q(name=""), name="plan_is_named"),
        ]


class PlanVersion(Interval):
    """A plan as it was from one change to the next. What was done or said under it keeps it."""

    plan = models.ForeignKey(ServicePlan, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    since = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["plan", "number"]
        constraints = [models.UniqueConstraint(fields=["plan", "number"], name="one_version_per_number")]


class Basis(models.TextChoices):
    """What was said of an engine when it took up a plan."""

    DONE = "done", "Done before"
    NEW = "new", "New engine, never done"
    UNKNOWN = "unknown", "Not known"


class Source(models.TextChoices):
    """Who says so."""

    OWN = "own", "our own work"
    TOLD = "told", "somebody told us"


class Adoption(Versioned):
    """An engine follows a plan. ``last_on`` and ``last_hours`` are what was said of the last time, or of a new start.

    Hours that somebody told are no hours read: they count from here, and nowhere else.
    """

    engine = models.ForeignKey(Engine, on_delete=models.PROTECT, related_name="adoptions")
    plan = models.ForeignKey(ServicePlan, on_delete=models.PROTECT, related_name="adoptions")
    basis = models.CharField("last done", max_length=8, choices=Basis.choices, default=Basis.UNKNOWN)
    last_on = models.DateField("on", null=True, blank=True)
    last_hours = models.DecimalField(
        "at engine hours", max_digits=9, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    source = models.CharField("who says so", max_length=4, choices=Source.choices, blank=True)
    remark = models.CharField(max_length=200, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    ended_at = models.DateTimeField("no longer followed", null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["engine", "plan__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["engine", "plan"], condition=models.Q(ended_at=None), name="one_adoption_of_a_plan"
            ),
            models.CheckConstraint(
                condition=models.Q(basis=Basis.UNKNOWN, last_on=None, last_hours=None, source="")
                | (~models.Q(basis=Basis.UNKNOWN) & models.Q(last_on__isnull=False) & ~models.Q(source="")),
                name="last_time_said_or_unknown",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plan} of {self.engine}"


class ServiceDone(Detail):
    """A service that was done on an engine.

    ``read_in`` is the entry of the same job that read the hours which it counts from, where nobody read them at the
    service itself.
    """

    line = models.ForeignKey(JobLine, on_delete=models.PROTECT, related_name="+", null=True, blank=True)
    read_in = models.ForeignKey(LogEntry, on_delete=models.PROTECT, related_name="+", null=True, blank=True)

    class Meta:
        triggers = append_only()
        verbose_name = "service done"
        verbose_name_plural = "services done"


class ServiceOf(models.Model):
    """One plan, as it was then, that a service was done for."""

    done = models.ForeignKey(ServiceDone, on_delete=models.PROTECT, related_name="services")
    plan_version = models.ForeignKey(PlanVersion, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["done", "plan_version"], name="one_service_once")]

    def __str__(self) -> str:
        return str(self.plan_version)


class PlannedLine(models.Model):
    """A line of a job that was opened for a service due."""

    line = models.OneToOneField(JobLine, on_delete=models.PROTECT, primary_key=True, related_name="planned")
    adoption = models.ForeignKey(Adoption, on_delete=models.PROTECT, related_name="lines")

    def __str__(self) -> str:
        return f"{self.line} for {self.adoption}"
