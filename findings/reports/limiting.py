"""A limit on how often one may guess: counted in the cache that all web processes share."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from django.core.cache import cache

WINDOW_SECONDS = 600


@dataclass(frozen=True)
class Guesses:
    """So many misses are allowed to one guesser in ten minutes; what hits is not counted."""

    of: str
    most: int

    def _key(self, who: str) -> str:
        return f"misses-{self.of}-{hashlib.sha256(who.encode()).hexdigest()[:32]}"

    def may_go_on(self, who: str) -> bool:
        """Whether this guesser has not missed too often of late."""
        return int(cache.get(self._key(who), 0)) < self.most

    def note_miss(self, who: str) -> None:
        """Count one miss."""
        key = self._key(who)
        if not cache.add(key, 1, WINDOW_SECONDS):
            try:
                cache.incr(key)
            except ValueError:  # it ran out between the two
                cache.add(key, 1, WINDOW_SECONDS)


CHECKS = Guesses("report-checks", 20)
PASSWORDS = Guesses("signing-passwords", 8)
