"""Addresses of many records of one kind: a list asks for the way once, and puts each record's key into it."""

from __future__ import annotations

from functools import cache
from uuid import UUID

from django.urls import reverse

_NUMBER, _ID = 8_070_605_040_302_010, UUID("00000000-8070-4605-8403-020100000000")
"""Keys that no record has: where they stand in an address, the real key goes."""


def address_of(name: str, key: int | UUID) -> str:
    """The address of a record: what ``reverse(name, args=[key])`` gives, at a tenth of its cost.

    For addresses that take one key, a number or an id.
    """
    before, after = _around(name, _ID if isinstance(key, UUID) else _NUMBER)
    return f"{before}{key}{after}"


@cache
def _around(name: str, place: int | UUID) -> tuple[str, str]:
    """What stands before and after the key: the same for good, as the program does not run below a path."""
    before, _, after = reverse(name, args=[place]).partition(str(place))
    return before, after
