"""The day in the shop, which for some hours of each day is not the server's."""

from __future__ import annotations

from datetime import date

from django.utils import timezone

from staff.queries import local_day


def shop_day() -> date:
    """Today by the shop's calendar: what people type, and what is asked for, is of that day."""
    return local_day(timezone.now())
