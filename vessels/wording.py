"""Hours, days and delays in words, for sentences that people read."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from django.utils import timezone


def hours_words(hours: Decimal) -> str:
    """Engine hours as they are said: 1,204.5 h."""
    return f"{hours:,.1f} h"


def day_words(when: datetime) -> str:
    """A day in the shop's zone: Mar 4, 2026."""
    local = timezone.localtime(when)
    return f"{local:%b} {local.day}, {local.year}"


def delay_words(delay: timedelta) -> str:
    """How long something took, in the one unit that fits: 20 min, 3 h, 2 days."""
    minutes = int(delay.total_seconds() // 60)
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h"
    return f"{minutes // (24 * 60):,} days"
