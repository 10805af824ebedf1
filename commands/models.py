"""The journal of commands: one row for each act, as long as the program runs."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex
from django.db import models
from django.utils import timezone

from commands.triggers import append_only

GENESIS = "0" * 64


class Command(models.Model):
    """An act that was done: its id, what it was and said (as a digest), who did it, and what came of it.

    ``at`` is the client's own time, ``received_at`` the program's. ``records`` names what the act was about, and
    ``outcome`` the record that it made or changed, both as ``app.model:key``; empty where there was none. ``told`` says
    what changed, by the names of fields: with values for figures and choices, never with texts, and never of a secret.
    ``link`` chains the act to the one before it in its ``chain``, which is the record whose turn it held, or the actor.
    Rows of before there were chains have no position.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    kind = models.CharField(max_length=60)
    actor = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, db_index=False
    )
    device = models.CharField(max_length=60, blank=True, default="")
    at = models.DateTimeField(null=True)
    received_at = models.DateTimeField(default=timezone.now)
    digest = models.CharField(max_length=64)
    outcome = models.CharField(max_length=120, blank=True)
    records = ArrayField(models.CharField(max_length=120), default=list)
    told: models.JSONField[Any, Any] = models.JSONField(default=dict)
    chain = models.CharField(max_length=120, blank=True, default="")
    position = models.PositiveIntegerField(null=True)
    link = models.CharField(max_length=64, blank=True, default="")

    class Meta:
        triggers = append_only()
        indexes = [
            models.Index(fields=["-received_at", "id"], name="commands_newest_first"),
            models.Index(fields=["actor", "-received_at", "id"], name="commands_by_actor"),
            models.Index(fields=["kind", "-received_at", "id"], name="commands_by_kind"),
            GinIndex(fields=["records"], name="commands_by_record", fastupdate=False),
        ]
        constraints = [models.UniqueConstraint(fields=["chain", "position"], name="one_command_per_position")]

    def __str__(self) -> str:
        return f"{self.kind} {self.received_at:%Y-%m-%d %H:%M}"


def silent_after() -> timedelta:
    """Without a sign of life for so long, a worker is taken for dead; a task that waits longer is overdue."""
    return 3 * timedelta(seconds=settings.WORKER_PULSE_SECONDS)


class BackgroundTaskState(models.TextChoices):
    """How far a task is."""

    ASKED = "asked", "Waiting"
    TAKEN = "taken", "Being done"
    DONE = "done", "Done"
    FAILED = "failed", "Given up"


class BackgroundTask(models.Model):
    """Something that is to be done after the answer, once (``commands.background``).

    ``kind`` and ``subject`` say what; of each there is one that is not ended. ``taker`` is the worker that has it and
    ``heard_at`` its last sign of life, by the database's clock. ``asked_again`` was asked for while it was being done.
    """

    kind = models.CharField(max_length=60)
    subject = models.CharField(max_length=60, blank=True)
    state = models.CharField(max_length=6, choices=BackgroundTaskState.choices, default=BackgroundTaskState.ASKED)
    asked_at = models.DateTimeField()
    asked_again = models.BooleanField(default=False)
    sent_at = models.DateTimeField(null=True)
    not_before = models.DateTimeField(null=True)
    taken_at = models.DateTimeField(null=True)
    heard_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    taker = models.UUIDField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    problem = models.TextField(blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "subject"],
                condition=models.Q(state__in=["asked", "taken"]),
                name="one_open_background_task_of_a_subject",
            )
        ]

    def __str__(self) -> str:
        return f"background task {self.pk} ({self.kind} {self.subject})".replace(" )", ")")

    @property
    def is_under_way(self) -> bool:
        """Whether somebody does it now, as far as can be seen."""
        return self.state == BackgroundTaskState.TAKEN and not self.is_silent

    @property
    def is_overdue(self) -> bool:
        """Whether it waits longer than a worker that runs would let it."""
        due = max(self.asked_at, self.not_before or self.asked_at)
        return self.state == BackgroundTaskState.ASKED and _is_long_ago(due)

    @property
    def is_silent(self) -> bool:
        """Whether its worker has given no sign of life for longer than one that works would."""
        return self.state == BackgroundTaskState.TAKEN and _is_long_ago(self.heard_at or self.asked_at)


def _is_long_ago(moment: datetime) -> bool:
    # By the machine's own clock, as the database keeps these moments: a test or the demo may have set another.
    return datetime.now(UTC) - moment > silent_after()


class CommandChain(models.Model):
    """Where a chain of commands stands: the head that the next act is linked to."""

    name = models.CharField(max_length=120, primary_key=True)
    position = models.PositiveIntegerField(default=0)
    digest = models.CharField(max_length=64, default=GENESIS)
    anchored_position = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.name} to {self.position}"
