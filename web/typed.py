"""What addresses and hidden fields hold, read so that nonsense counts as nothing and never as an error."""

from __future__ import annotations

from datetime import UTC, date, datetime
from uuid import UUID

from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_date, parse_datetime

EARLIEST_DAY, LATEST_DAY = date(1900, 1, 1), date(2999, 12, 31)
LONGEST = 18  # digits that every whole number of the database has room for

_DAY_SHOWN = 40  # signs of what was asked that a sentence repeats


def whole_number(text: str, *, digits: int = LONGEST) -> int | None:
    """A whole number of so many digits at most; None for anything else, among it digits of other scripts."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= digits else None


def uuid_of(text: str) -> UUID | None:
    """A UUID; None for anything else."""
    try:
        return UUID(text)
    except ValueError:
        return None


def sent_id(request: HttpRequest) -> UUID | None:
    """The id that a form chose for what it does; None where it came without, or with none that is one."""
    return uuid_of(request.POST.get("entry_id", ""))


def sent_at(request: HttpRequest) -> datetime | None:
    """When the client says that it sent this; None where it says nothing that is a time."""
    return moment_of(request.POST.get("sent_at", "")) if request.method == "POST" else None


def moment_of(text: str) -> datetime | None:
    """A moment in time as an address holds it; None for anything else, among it what no database can hold."""
    try:
        moment = parse_datetime(text.replace(" ", "+"))
        if moment is not None and timezone.is_naive(moment):
            moment = timezone.make_aware(moment)
        return None if moment is None else moment.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def day_asked(text: str, *, earliest: date = EARLIEST_DAY, latest: date = LATEST_DAY) -> tuple[date | None, str]:
    """The day that an address asks for, and in a sentence why it is not taken; None and nothing where it asks none."""
    said = " ".join(text.split())
    if not said:
        return None, ""
    named = said if len(said) <= _DAY_SHOWN else f"{said[: _DAY_SHOWN - 1]}…"
    try:
        day = parse_date(said)
    except ValueError:
        day = None
    if day is None:
        return None, f"“{named}” cannot be read as a day: enter one such as 2026-05-01."
    if day < earliest:
        return None, f"“{named}” is too long ago: enter a day no earlier than {earliest}."
    if day > latest:
        return None, f"“{named}” is too far ahead: enter a day no later than {latest}."
    return day, ""


def announced_size(request: HttpRequest) -> int:
    """How many bytes a request says that its body has; none where it says nothing that is a number."""
    return whole_number(str(request.META.get("CONTENT_LENGTH") or "")) or 0
