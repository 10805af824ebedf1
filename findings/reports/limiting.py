"""A limit on how often one address may guess: counted in the cache that all web processes share."""

from __future__ import annotations

import hashlib

from django.core.cache import cache
from django.http import HttpRequest

MOST_MISSES = 20
WINDOW_SECONDS = 600


def _key(request: HttpRequest) -> str:
    address = request.META.get("REMOTE_ADDR", "")
    return f"report-check-misses:{hashlib.sha256(address.encode()).hexdigest()[:32]}"


def may_still_check(request: HttpRequest) -> bool:
    """Whether this address has not missed too often of late."""
    return int(cache.get(_key(request), 0)) < MOST_MISSES


def note_miss(request: HttpRequest) -> None:
    """Count one check that found nothing."""
    key = _key(request)
    if not cache.add(key, 1, WINDOW_SECONDS):
        try:
            cache.incr(key)
        except ValueError:  # it ran out between the two
            cache.add(key, 1, WINDOW_SECONDS)
