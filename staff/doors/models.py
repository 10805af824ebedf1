"""Rows about doors: counters of attempts, addresses that people came in from, open sessions, what happened."""

from __future__ import annotations

from importlib import import_module
from typing import ClassVar

import pgtrigger
from django.conf import settings
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models
from django.utils import timezone


class Counter(models.Model):
    """How often something was tried in a window of time. Kept by ``staff.doors.limits``, which alone writes it."""

    key = models.CharField(max_length=64, primary_key=True)
    hits = models.PositiveIntegerField()
    until = models.DateTimeField(db_index=True)

    class Meta:
        app_label = "staff"

    def __str__(self) -> str:
        return f"{self.hits} until {self.until}"


class KnownAddress(models.Model):
    """An address from which a person came in with everything right: wrong guesses from elsewhere do not close it."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="known_addresses")
    address = models.CharField(max_length=60)
    last_used = models.DateTimeField()

    class Meta:
        app_label = "staff"
        constraints = [models.UniqueConstraint(fields=["person", "address"], name="address_known_once")]

    def __str__(self) -> str:
        return f"{self.person_id} from {self.address}"


class Session(AbstractBaseSession):
    """An open session, with whose it is and where: the row is the session, and without it nobody is logged in."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="sessions")
    number = models.UUIDField(null=True, db_index=True)  # names the session on a page, where its key must not stand
    address = models.CharField(max_length=60, blank=True)
    device = models.CharField(max_length=60, blank=True)
    is_shared = models.BooleanField(default=False)
    opened_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)

    class Meta(AbstractBaseSession.Meta):
        app_label = "staff"

    @classmethod
    def get_session_store_class(cls) -> type:
        """The store that keeps it."""
        store: type = import_module(settings.SESSION_ENGINE).SessionStore
        return store


class AccountEvent(models.Model):
    """Something that happened to a person's login, kept for the person to see, whoever did it."""

    KINDS: ClassVar[dict[str, str]] = {
        "added": "Added, with a first password",
        "logged-in": "Logged in",
        "password-set": "New password set by somebody else",
        "password-chosen": "Own password changed",
        "role-changed": "Role changed",
        "left": "No longer works here",
        "back": "Works here again",
        "factor-added": "Second factor added",
        "factor-removed": "Second factor removed",
        "factors-reset": "All second factors removed",
        "codes-made": "New recovery codes made",
        "code-used": "Recovery code used",
        "sessions-ended": "Logged out elsewhere",
    }

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="account_events")
    kind = models.CharField(max_length=20, choices=list(KINDS.items()))
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    address = models.CharField(max_length=60, blank=True)
    detail = models.CharField(max_length=120, blank=True)

    class Meta:
        app_label = "staff"
        indexes = [models.Index(fields=["person", "-at"], name="account_events_of_person")]
        triggers = [pgtrigger.Protect(name="account_event_stays", operation=pgtrigger.Update | pgtrigger.Delete)]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}, {self.person_id}"
