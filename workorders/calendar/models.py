"""Feeds of the calendar, and what was last told of each event."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.utils import timezone


class CalendarFeed(models.Model):
    """A calendar that other programs fetch at a secret address, of which only the digest is kept.

    Nobody logs in there: whoever knows the address reads what a feed has, until it gets a new one or is revoked.
    ``told_sha256`` and ``told_at`` are of what was last answered, and since when it is so.
    """

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="calendar_feeds")
    name = models.CharField(max_length=80)
    sources = ArrayField(models.CharField(max_length=20))
    only_own = models.BooleanField("only what is mine", default=False)
    with_reach = models.BooleanField("with names and phone numbers of customers", default=False)
    key_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    renewed_at = models.DateTimeField(null=True, blank=True, editable=False)
    fetched_at = models.DateTimeField(null=True, blank=True, editable=False)
    told_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    told_at = models.DateTimeField(null=True, blank=True, editable=False)
    revoked_at = models.DateTimeField(null=True, blank=True, editable=False)
    revoked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", editable=False, null=True
    )

    class Meta:
        ordering = ["person", "name", "pk"]
        constraints = [models.CheckConstraint(condition=~models.Q(name=""), name="calendar_feed_is_named")]

    def __str__(self) -> str:
        return self.name


class EventTold(models.Model):
    """What feeds last told of an event: its identity, its digest, how often it was moved, and since when it is so.

    The program writes it while it answers.
    """

    key = models.CharField(max_length=80, primary_key=True)
    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    digest = models.CharField(max_length=64)
    when_digest = models.CharField(max_length=64)
    sequence = models.PositiveIntegerField(default=0)
    revised_at = models.DateTimeField()
    # The event as it was written last, and the digest of all that it was written from.
    written = models.TextField(blank=True)
    written_from = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return self.key
