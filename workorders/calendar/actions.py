"""Feeds of the calendar: made, given a new secret address, and revoked."""

from __future__ import annotations

import hashlib
import secrets
import uuid
from collections.abc import Sequence

from django.utils import timezone

from commands.envelope import command
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission, may
from workorders.actions.checking import refuse_unsound
from workorders.calendar.models import CalendarFeed
from workorders.calendar.sources import choices

MOST = 20


def new_key() -> str:
    """A secret for an address: 256 bits, so that its plain digest can be kept."""
    return secrets.token_urlsafe(32)


def digest_of_key(key: str) -> str:
    """Under which a feed is found."""
    return hashlib.sha256(key.encode()).hexdigest()


@command("add_feed", needs=Permission.SEE_RECORDS, secret=("key",))
def add_feed(
    *,
    by: Person,
    name: str,
    sources: Sequence[str],
    key: str,
    only_own: bool = False,
    with_reach: bool = False,
    entry_id: uuid.UUID | None = None,
) -> CalendarFeed:
    """Make a feed of one's own at the secret ``key``, of which only the digest is kept.

    Raises:
        Refused: it has no name, nothing is chosen, or there are too many.
    """
    known = dict(choices())
    if not sources or set(sources) - known.keys():
        sentence = "Choose at least one."
        raise Refused(sentence, fields={"sources": sentence})
    if CalendarFeed.objects.filter(person=by, revoked_at=None).count() >= MOST:
        raise Refused(f"You have {MOST} calendar feeds. Revoke one first.")
    feed = CalendarFeed(
        person=by,
        name=name.strip(),
        sources=[one for one in known if one in sources],
        only_own=only_own,
        with_reach=with_reach,
        key_sha256=digest_of_key(key),
    )
    refuse_unsound(feed, ["name"])
    feed.save()
    return feed


@command("renew_feed", needs=Permission.SEE_RECORDS, secret=("key",))
def renew_feed(*, by: Person, feed: CalendarFeed, key: str, entry_id: uuid.UUID | None = None) -> CalendarFeed:
    """Give a feed of one's own a new secret address. The old one answers no more.

    Raises:
        Refused: it is somebody else's, or was revoked.
    """
    stored = CalendarFeed.objects.select_for_update(of=("self",)).get(pk=feed.pk)
    if stored.person_id != by.pk:
        raise Refused("This is somebody else’s calendar feed.")
    if stored.revoked_at is not None:
        raise Refused("This calendar feed was revoked. Make a new one.")
    stored.key_sha256, stored.renewed_at, stored.fetched_at = digest_of_key(key), timezone.now(), None
    stored.save(update_fields=["key_sha256", "renewed_at", "fetched_at"])
    return stored


@command("revoke_feed", needs=Permission.SEE_RECORDS)
def revoke_feed(*, by: Person, feed: CalendarFeed, entry_id: uuid.UUID | None = None) -> CalendarFeed:
    """Have a feed answer no more, for good: one's own, or, where one may, somebody else's.

    Raises:
        Refused: it is somebody else's.
    """
    stored = CalendarFeed.objects.select_for_update(of=("self",)).get(pk=feed.pk)
    if stored.person_id != by.pk and not may(by, Permission.REVOKE_FEEDS):
        raise Refused("This is somebody else’s calendar feed. Ask a manager or the owner.")
    if stored.revoked_at is None:
        stored.revoked_at, stored.revoked_by = timezone.now(), by
        stored.save(update_fields=["revoked_at", "revoked_by"])
    return stored
