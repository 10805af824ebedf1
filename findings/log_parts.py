"""What the log says alike of scans and of readings."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.safestring import SafeString

from web.markup import filled


def with_days(columns: dict[str, Any]) -> dict[str, Any]:
    """Columns of a row out of JSON, days as days."""
    days = ("calibrated_on", "calibrated_until")
    return columns | {name: date.fromisoformat(columns[name]) for name in days if columns[name]}


def file_link(digest: str | None, by_hand: str = "") -> SafeString | str:
    """The way to the CAN log that was read, where there was one; a value ``by_hand`` is in none, which is said."""
    if not digest:
        return ""
    url = reverse("findings:can_log_file", args=[digest])
    if by_hand:
        said = f"{by_hand[:1].upper()}{by_hand[1:]}."
        return filled(
            '<p class="small">{} <a href="{}">The CAN log that the first value was read from</a></p>', said, url
        )
    return filled('<p class="small"><a href="{}">The CAN log it was read from</a></p>', url)
