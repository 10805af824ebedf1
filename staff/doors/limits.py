"""How often one may try: counted in the database, so that every process counts together and nothing else evicts it."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import timedelta

from django.db import connection
from django.utils import timezone
from django.utils.crypto import salted_hmac

from staff.doors.models import Counter, KnownAddress
from staff.models import Person

KNOWN_FOR = timedelta(days=180)
SWEEP_ONE_IN = 200


@dataclass(frozen=True)
class Limit:
    """So many tries are allowed in a window, which begins with the first of them and is not shortened by more."""

    of: str
    most: int
    seconds: int

    def take(self, *who: str) -> bool:
        """Count one try; whether it is within the limit. Two at once are never counted as one."""
        with connection.cursor() as cursor:
            cursor.execute(
                "INSERT INTO staff_counter AS c (key, hits, until) "
                "VALUES (%s, 1, clock_timestamp() + make_interval(secs => %s)) "
                "ON CONFLICT (key) DO UPDATE SET "
                "hits = CASE WHEN c.until <= clock_timestamp() THEN 1 ELSE LEAST(c.hits, 1000000) + 1 END, "
                "until = CASE WHEN c.until <= clock_timestamp() THEN EXCLUDED.until ELSE c.until END "
                "RETURNING hits",
                [self.key(*who), self.seconds],
            )
            hits = int(cursor.fetchone()[0])
        if hits == 1 and secrets.randbelow(SWEEP_ONE_IN) == 0:
            sweep()
        return hits <= self.most

    def give_back(self, *who: str) -> None:
        """Take back one counted try, for what turned out right. Those that were wrong before stay counted."""
        with connection.cursor() as cursor:
            cursor.execute("UPDATE staff_counter SET hits = hits - 1 WHERE key = %s AND hits > 0", [self.key(*who)])

    def key(self, *who: str) -> str:
        """Under which it is counted: a digest, because a name typed wrongly may be a password."""
        return salted_hmac(f"limit-{self.of}", "\0".join(who), algorithm="sha256").hexdigest()


@dataclass(frozen=True)
class GuessLimit:
    """Guesses at what only one person knows: limited at one address, and for that person from all new addresses."""

    of: str
    most: int
    seconds: int
    most_elsewhere: int = 20
    seconds_elsewhere: int = 900

    def attempt(self, name: str, address: str, person: Person | None) -> Attempt | None:
        """Begin one guess at what ``name`` stands for, or None where there were too many."""
        here = Limit(self.of, self.most, self.seconds)
        limits: list[tuple[Limit, tuple[str, ...]]] = [(here, (name, address))]
        if person is None or not came_in_from(person, address):
            limits.append((Limit(f"{self.of}-elsewhere", self.most_elsewhere, self.seconds_elsewhere), (name,)))
        taken = [limit.take(*who) for limit, who in limits]
        return Attempt(limits) if all(taken) else None


@dataclass(frozen=True)
class Attempt:
    """One guess that was counted before anybody looked whether it is right."""

    limits: list[tuple[Limit, tuple[str, ...]]]

    def was_right(self) -> None:
        """Take this one back."""
        for limit, who in self.limits:
            limit.give_back(*who)


def came_in_from(person: Person, address: str) -> bool:
    """Whether the person came in from this address of late."""
    return KnownAddress.objects.filter(
        person=person, address=address, last_used__gt=timezone.now() - KNOWN_FOR
    ).exists()


def remember_address(person: Person, address: str) -> None:
    """The person came in from here, with everything right."""
    KnownAddress.objects.update_or_create(person=person, address=address, defaults={"last_used": timezone.now()})


def sweep() -> None:
    """Forget what no longer counts."""
    Counter.objects.filter(until__lt=timezone.now() - timedelta(hours=1)).delete()
    KnownAddress.objects.filter(last_used__lt=timezone.now() - KNOWN_FOR).delete()


LOGINS = GuessLimit("logins", 5, 300)
SECOND_FACTORS = GuessLimit("second-factors", 5, 300)
OWN_WORDS = GuessLimit("own-words", 8, 600)
LOGIN_FORMS = Limit("login-forms", 30, 60)
PASSKEY_LOGINS = Limit("passkey-logins", 10, 300)
