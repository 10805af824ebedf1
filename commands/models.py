"""The journal of commands: one row for each act that came with an id, as long as the program runs."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta

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
        return self.state == BackgroundTaskState.ASKED and self._is_older(due, pulses=3)

    @property
    def is_silent(self) -> bool:
        """Whether its worker has given no sign of life for longer than one that works would."""
        return self.state == BackgroundTaskState.TAKEN and self._is_older(self.heard_at or self.asked_at, pulses=3)

    def _is_older(self, moment: datetime, *, pulses: int) -> bool:
        # By the machine's own clock, as the database keeps these moments: a test or the demo may have set another.
        return datetime.now(UTC) - moment > pulses * timedelta(seconds=settings.WORKER_PULSE_SECONDS)
