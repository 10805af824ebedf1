"""Bays, appointments, and every change of an appointment."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models.functions import Lower
from django.utils import timezone

from vessels.log.triggers import append_only
from vessels.models import Vessel
from web.versions import Versioned
from workorders.appointments.kinds import BRINGS_A_BOAT, KIND_WORDS, STATE_WORDS, Kind, State
from workorders.appointments.times import (
    LEAST_MINUTES,
    MOST_DAYS,
    MOST_MINUTES,
    WHEN_WORDS,
    Span,
    When,
    span_of,
    time_of,
    when_words,
)
from workorders.models import Job

KINDS = [(kind.value, words) for kind, words in KIND_WORDS.items()]
STATES = [(state.value, words) for state, words in STATE_WORDS.items()]
WHENS = [(when.value, words) for when, words in WHEN_WORDS.items()]


class Bay(Versioned):
    """A bay, berth, rack or lift where the shop has room for one boat at a time. It ends, and stays."""

    name = models.CharField(max_length=40)
    note = models.CharField(max_length=120, blank=True)
    position = models.PositiveSmallIntegerField("order on pages", default=0)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)
    ended_at = models.DateTimeField("no longer used", null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["position", "name", "pk"]
        constraints = [
            models.UniqueConstraint(Lower("name"), condition=models.Q(ended_at=None), name="one_bay_per_name"),
            models.CheckConstraint(condition=~models.Q(name=""), name="bay_is_named"),
        ]

    def __str__(self) -> str:
        return self.name


class Appointment(Versioned):
    """Something planned for a day. ``starts_at`` and ``ends_at`` are what it may take of time, worked out when saved.

    Of a boat that is not on record yet ``name`` says whose or which it is.
    """

    kind = models.CharField("what for", max_length=10, choices=KINDS)
    state = models.CharField(max_length=8, choices=STATES, default=State.PLANNED.value, editable=False)
    reason = models.CharField("why", max_length=200, blank=True, editable=False)
    day = models.DateField()
    when = models.CharField(max_length=9, choices=WHENS, default=When.TIME.value)
    at = models.CharField("time", max_length=5, blank=True, validators=[RegexValidator(r"^([01]\d|2[0-3]):[0-5]\d$")])
    minutes = models.PositiveSmallIntegerField(
        "how long",
        null=True,
        blank=True,
        validators=[MinValueValidator(LEAST_MINUTES), MaxValueValidator(MOST_MINUTES)],
    )
    days = models.PositiveSmallIntegerField(
        "for how many days", default=1, validators=[MinValueValidator(1), MaxValueValidator(MOST_DAYS)]
    )
    starts_at = models.DateTimeField(editable=False)
    ends_at = models.DateTimeField(editable=False)
    bay = models.ForeignKey(Bay, on_delete=models.PROTECT, related_name="appointments", null=True, blank=True)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="appointments", null=True, blank=True
    )
    vessel = models.ForeignKey(Vessel, on_delete=models.PROTECT, related_name="appointments", null=True, blank=True)
    name = models.CharField("name", max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="appointments", null=True, blank=True)
    remark = models.TextField(max_length=1000, blank=True)
    added_at = models.DateTimeField(default=timezone.now, editable=False)
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["starts_at", "pk"]
        indexes = [
            models.Index(fields=["starts_at", "ends_at"], name="appointments_by_time"),
            models.Index(fields=["vessel", "starts_at"], name="appointments_of_vessel"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(vessel__isnull=False) | ~models.Q(name=""), name="appointment_of_somebody"
            ),
            models.CheckConstraint(condition=models.Q(ends_at__gt=models.F("starts_at")), name="appointment_lasts"),
            models.CheckConstraint(
                condition=(models.Q(when="time", minutes__isnull=False) & ~models.Q(at=""))
                | (~models.Q(when="time") & models.Q(at="")),
                name="appointment_time_said",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.who}"

    @property
    def who(self) -> str:
        """Which boat, or whose."""
        return str(self.vessel) if self.vessel_id is not None else self.name

    @property
    def words(self) -> str:
        """When on its day."""
        return when_words(When(self.when), time_of(self.at), self.minutes, self.days)

    @property
    def is_planned(self) -> bool:
        """Whether it is still to happen, as far as anybody said."""
        return self.state == State.PLANNED

    @property
    def is_past(self) -> bool:
        """Whether its time is over, and nobody said what became of it."""
        return self.is_planned and self.ends_at <= timezone.now()

    @property
    def opens_a_job(self) -> bool:
        """Whether a job can be opened from it."""
        return self.is_planned and self.job_id is None and Kind(self.kind) in BRINGS_A_BOAT

    def span_in(self, zone: ZoneInfo) -> Span:
        """What it takes of time by the shop's clock."""
        return span_of(self.day, When(self.when), zone, at=time_of(self.at), minutes=self.minutes, days=self.days)


class AppointmentChange(models.Model):
    """What was done to an appointment: planned, moved, changed, or what became of it. ``{field: [before, after]}``."""

    DONE = [
        ("planned", "Planned"),
        ("moved", "Moved"),
        ("changed", "Changed"),
        ("kept", "Happened"),
        ("missed", "Missed"),
        ("off", "Called off"),
        ("again", "Planned again"),
    ]

    appointment = models.ForeignKey(Appointment, on_delete=models.PROTECT, related_name="history")
    done = models.CharField(max_length=8, choices=DONE)
    changes = models.JSONField(default=dict)
    reason = models.CharField("why", max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        triggers = append_only()
        ordering = ["appointment", "pk"]

    def __str__(self) -> str:
        return self.get_done_display()
