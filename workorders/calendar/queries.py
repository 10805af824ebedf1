"""What a feed answers with."""

from __future__ import annotations

import zoneinfo
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.utils import timezone

from staff.models import ShopProfile
from staff.policy import Permission, may
from workorders.calendar.actions import digest_of_key
from workorders.calendar.models import CalendarFeed
from workorders.calendar.revisions import told_of
from workorders.calendar.sources import Asked, sources
from workorders.calendar.writing import Written, calendar_of

BACK, AHEAD = timedelta(days=31), timedelta(days=400)
NOTED_EVERY = timedelta(minutes=10)


@dataclass(frozen=True)
class Answer:
    """A calendar, what it is known by, and since when it is so."""

    written: Written
    etag: str
    changed_at: datetime


def feed_at(key: str) -> CalendarFeed | None:
    """The feed at a secret address; None where there is none, or where its person may see nothing any more."""
    feed = CalendarFeed.objects.select_related("person").filter(key_sha256=digest_of_key(key), revoked_at=None).first()
    return feed if feed is not None and may(feed.person, Permission.SEE_RECORDS) else None


def answer_of(feed: CalendarFeed, shop: ShopProfile) -> Answer:
    """The calendar of a feed as it is now, in the shop's calendar: a fixed number of queries for each source."""
    zone = zoneinfo.ZoneInfo(shop.time_zone)
    with timezone.override(zone):
        today = timezone.localdate()
        asked = Asked(today - BACK, today + AHEAD, feed.with_reach)
        apart = ":reach" if feed.with_reach else ""  # told by itself: what the one adds is no change of the other
        found = [
            (f"{source.key}:{event.key}{apart}", source.title, event)
            for source in sources()
            if source.key in feed.sources
            for event in source.events(asked)
            if not feed.only_own or event.whose == feed.person_id
        ]
        told = told_of([(key, event) for key, _, event in found])
        written = calendar_of(
            found,
            told,
            name=f"{shop.name}: {feed.name}",
            zone=zone,
            days=(asked.first, asked.last),
            site=settings.PUBLIC_URL,
        )
    return _noted(feed, written)


def _noted(feed: CalendarFeed, written: Written) -> Answer:
    """Note what was answered, since when it is so, and, now and then, that somebody asked."""
    digest, now = written.digest, timezone.now()
    changes: dict[str, object] = {}
    changed_at = feed.told_at
    if feed.told_sha256 != digest or changed_at is None:
        changed_at = now
        changes = {"told_sha256": digest, "told_at": now}
    if feed.fetched_at is None or now - feed.fetched_at > NOTED_EVERY:
        changes["fetched_at"] = now
    if changes:
        CalendarFeed.objects.filter(pk=feed.pk).update(**changes)
    return Answer(written, f'"{digest}"', changed_at)
