"""What others ask about people and the shop."""

from __future__ import annotations

from django.db.models import QuerySet

from engineering.faults import Hold
from staff.models import Person, ShopProfile
from staff.policy import Role


def shop_profile() -> ShopProfile:
    """The shop's profile, made with defaults the first time."""
    profile, _ = ShopProfile.objects.get_or_create(pk=1)
    return profile


def hold() -> Hold:
    """How long a fault must stay away for its repair to have held."""
    profile = shop_profile()
    return Hold(hours=profile.hold_hours, days=profile.hold_days)


def technicians() -> QuerySet[Person]:
    """Active people who work on engines."""
    return Person.objects.filter(is_active=True, role__in=[Role.TECHNICIAN, Role.MANAGER, Role.OWNER])


def everybody() -> QuerySet[Person]:
    """Everybody who works here or used to, by name."""
    return Person.objects.order_by("name", "pk")
