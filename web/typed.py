"""What addresses and hidden fields hold, read so that nonsense counts as nothing and never as an error."""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import UUID

from django.http import HttpRequest
from django.utils import timezone
from django.utils.dateparse import parse_datetime

LONGEST = 18  # digits that every whole number of the database has room for


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


def announced_size(request: HttpRequest) -> int:
    """How many bytes a request says that its body has; none where it says nothing that is a number."""
    return whole_number(str(request.META.get("CONTENT_LENGTH") or "")) or 0
