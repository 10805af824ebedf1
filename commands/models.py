"""The journal of commands: one row for each act that came with an id, as long as the program runs."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone

from commands.triggers import append_only


class Command(models.Model):
    """An act that was done: its id, what it was and said (as a digest), who did it, and what came of it.

    ``outcome`` names the record that it made or changed, as ``app.model:key``; empty where it gave none.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=60)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, db_index=False
    )
    received_at = models.DateTimeField(default=timezone.now)
    digest = models.CharField(max_length=64)
    outcome = models.CharField(max_length=120, blank=True)

    class Meta:
        triggers = append_only()

    def __str__(self) -> str:
        return f"{self.kind} {self.received_at:%Y-%m-%d %H:%M}"
