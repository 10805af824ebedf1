"""What others ask about people and the shop."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.utils import timezone

from engineering.faults import Hold
from staff.models import AccountEvent, Person, ShopProfile
from staff.policy import Role
from staff.roles import look_up_with
from web.rows import record, rows


def shop_profile() -> ShopProfile:
    """The shop's profile, made with defaults the first time.

    Nothing is asked for as often: up to a dozen times for a page or an act. So the question stands as it is sent.
    """
    found = rows(_profile_of, _profile_question(), {})
    return found[0] if found else ShopProfile.objects.get_or_create(pk=1)[0]


@cache
def _profile_question() -> str:
    columns = ", ".join(str(field.column) for field in ShopProfile._meta.concrete_fields)
    return f"SELECT {columns} FROM staff_shopprofile WHERE id = 1"  # noqa: S608  columns of the model


def _profile_of(**row: Any) -> ShopProfile:
    return record(ShopProfile, row, *row)


look_up_with(shop_profile)


def local_day(at: datetime) -> date:
    """The day of a moment by the shop's calendar, whoever asks: a page, a worker or a command line."""
    return timezone.localdate(at, ZoneInfo(shop_profile().time_zone))


def hold() -> Hold:
    """How long a fault must stay away for its repair to have held."""
    profile = shop_profile()
    return Hold(hours=profile.hold_hours, days=profile.hold_days, zone=ZoneInfo(profile.time_zone))


def technicians() -> QuerySet[Person]:
    """Active people who work on engines."""
    return Person.objects.filter(is_active=True, role__in=[Role.TECHNICIAN, Role.MANAGER, Role.OWNER])


def everybody() -> QuerySet[Person]:
    """Everybody who works here or used to, by name."""
    return Person.objects.order_by("name", "pk")


def account_events(person: Person, *, most: int = 30) -> list[AccountEvent]:
    """What happened to the person's login, newest first."""
    return list(person.account_events.select_related("by").order_by("-at", "-pk")[:most])


def given_passwords(person: Person) -> list[AccountEvent]:
    """The passwords that others set for the person, newest first.

    Whoever sets a password can use it before the person does and choose another: so all of the last half year are told.
    """
    since = timezone.now() - timedelta(days=180)
    given = person.account_events.filter(kind__in=["added", "password-set"]).select_related("by").order_by("-at", "-pk")
    return list(given.filter(at__gt=since)) or list(given[:1])
