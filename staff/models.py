"""People of the shop and the shop itself."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar
from zoneinfo import available_timezones

from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import BaseUserManager
from django.contrib.postgres.fields import ArrayField
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.utils import timezone

from staff.roles import Permission, Role, may
from web.versions import Versioned


class PersonManager(BaseUserManager["Person"]):
    """Makes people with a hashed password."""

    def create_person(self, *, username: str, name: str, role: Role, password: str) -> Person:
        """Add a person who can sign in."""
        person = self.model(username=username, name=name, role=role.value)
        person.set_password(password)
        person.save()
        return person

    def get_by_natural_key(self, username: str | None) -> Person:
        """Find a person by user name, whatever the case it was typed in."""
        return self.get(username__iexact=username or "")


class Person(Versioned, AbstractBaseUser):
    """Somebody who works in the shop. People are never deleted: their names stand in the log."""

    ROLES = [
        (Role.FRONT_DESK.value, "Front desk"),
        (Role.TECHNICIAN.value, "Technician"),
        (Role.MANAGER.value, "Manager"),
        (Role.OWNER.value, "Owner"),
    ]

    username = models.CharField(
        "user name",
        max_length=40,
        validators=[
            RegexValidator(r"^[a-z0-9][a-z0-9._-]*$", "Use lowercase letters, digits, periods, hyphens or underscores.")
        ],
        error_messages={"unique": "This user name is already taken. Choose another one."},
        unique=True,
    )
    name = models.CharField(max_length=80)
    email = models.EmailField("email", blank=True)
    role = models.CharField(max_length=12, choices=ROLES)
    qualification = models.CharField(max_length=120, blank=True, help_text="As printed under a signature on a report.")
    license_number = models.CharField(
        "certificate or license number", max_length=60, blank=True, help_text="Printed under a signature as well."
    )
    is_active = models.BooleanField("works here", default=True)
    password_is_temporary = models.BooleanField(default=False, editable=False)  # somebody else knows it
    date_joined = models.DateTimeField(default=timezone.now, editable=False)

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]
    objects = PersonManager()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "people"
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=[r.value for r in Role]), name="person_role_known"),
        ]

    def __str__(self) -> str:
        return self.name

    def may(self, permission: Permission) -> bool:
        """Whether this person may do it."""
        return may(self, permission)

    def get_full_name(self) -> str:
        """The name as people say it."""
        return self.name

    def get_short_name(self) -> str:
        """The first word of the name."""
        return self.name.split(" ")[0]


def _check_zone(value: str) -> None:
    if value not in available_timezones():
        raise ValidationError(f"“{value}” is not a time zone. Choose one such as America/New_York.")


class ShopProfile(Versioned):
    """The shop as it shows on paper, and how it likes its figures. There is one row."""

    UNITS = [("us", "US (psi, °F, mph, gal)"), ("metric", "Metric (kPa, °C, km/h, L)")]
    PAPER = [("letter", "US letter"), ("a4", "A4")]
    LABOR_STEPS = [
        (Decimal("0.01"), "0.01 h"),
        (Decimal("0.05"), "0.05 h (3 minutes)"),
        (Decimal("0.10"), "0.1 h (6 minutes)"),
        (Decimal("0.25"), "0.25 h (15 minutes)"),
        (Decimal("0.50"), "0.5 h (half an hour)"),
    ]

    name = models.CharField(max_length=120, default="Our shop")
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("email", blank=True)
    units = models.CharField(max_length=8, choices=UNITS, default="us")
    currency = models.CharField(
        max_length=3, default="USD", validators=[RegexValidator(r"^[A-Z]{3}$", "Three capital letters, such as USD.")]
    )
    labor_rate = models.DecimalField(
        "labor rate per hour",
        max_digits=9,
        decimal_places=2,
        default=Decimal("120.00"),
        validators=[MinValueValidator(Decimal("0"))],
    )
    labor_step = models.DecimalField(
        "clocked hours are charged to the nearest",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.10"),
        choices=LABOR_STEPS,
    )
    time_zone = models.CharField(max_length=60, default="America/New_York", validators=[_check_zone])
    paper = models.CharField("paper size", max_length=8, choices=PAPER, default="letter")
    logo = models.ImageField("letterhead logo", upload_to="shop/", blank=True)
    hold_hours = models.DecimalField(
        "a repair holds when the fault stays away for, engine hours",
        max_digits=7,
        decimal_places=1,
        default=Decimal("50"),
        validators=[MinValueValidator(Decimal("0.1"))],
    )
    hold_days = models.PositiveIntegerField(
        "or, where hours are unknown, days", default=365, validators=[MinValueValidator(1)]
    )
    second_factor_roles = ArrayField(
        models.CharField(max_length=12),
        verbose_name="a second factor is asked of",
        default=list,
        blank=True,
    )
    idle_minutes = models.PositiveIntegerField(
        "log out when idle for, minutes",
        default=480,
        validators=[MinValueValidator(5), MaxValueValidator(7 * 24 * 60)],
    )
    shared_idle_minutes = models.PositiveIntegerField(
        "on shared devices when idle for, minutes",
        default=15,
        validators=[MinValueValidator(2), MaxValueValidator(12 * 60)],
    )
    two_for_a_report = models.BooleanField(
        "two people for every report",
        default=False,
        help_text="Then nobody signs a condition report that they reviewed themselves.",
    )
    technicians_open_jobs = models.BooleanField("technicians open jobs and write concerns", default=True)
    technicians_see_insight = models.BooleanField("technicians see Insight", default=True)
    technicians_see_prices = models.BooleanField(
        "technicians see prices",
        default=True,
        help_text="Where they do not, no price, rate or sum shows on any page or table that they can open. "
        "What somebody wrote in a note or a remark is shown as it was written.",
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_shop_profile")]

    def __str__(self) -> str:
        return self.name


from staff.doors.models import AccountEvent, Counter, KnownAddress, Session  # noqa: E402  after Person, which they belong to

__all__ = ["AccountEvent", "Counter", "KnownAddress", "Person", "PersonManager", "Session", "ShopProfile"]
