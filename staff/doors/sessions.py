"""Sessions that know whose they are: the engine behind ``request.session``, how long they last, and their end."""

from __future__ import annotations

import time
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from engineering.plurals import plural
from staff.doors.client import client_address, device
from staff.doors.events import note
from staff.doors.models import Session
from staff.models import Person, ShopProfile

DOOR = "door"
SHARED = "shared-device"
LONGEST = 7 * 24 * 3600
LONGEST_SHARED = 12 * 3600
TOUCH_EVERY = 60


class SessionStore(DatabaseStore):
    """Keeps what ``open_door`` wrote as columns beside the session, so that sessions can be listed and ended."""

    @classmethod
    def get_model_class(cls) -> type[Session]:
        """The table."""
        return Session

    def create_model_instance(self, data: dict[str, Any]) -> Session:
        """The row of this session."""
        row = super().create_model_instance(data)
        assert isinstance(row, Session)  # noqa: S101  for the type checker: the line above made it of our model
        row.person_id = int(data[SESSION_KEY]) if SESSION_KEY in data else None
        if door := data.get(DOOR):
            row.number = uuid.UUID(door["number"])
            row.address, row.device, row.is_shared = door["address"], door["device"], door["shared"]
            row.opened_at, row.seen_at = _moment(door["opened"]), _moment(door["seen"])
        return row


@dataclass(frozen=True)
class SessionLimits:
    """How long a session may lie idle, and how long it lasts at most; in seconds."""

    idle: int
    longest: int

    @classmethod
    def of(cls, shop: ShopProfile, *, is_shared: bool) -> SessionLimits:
        """As the shop has it, shorter on a device that several people use."""
        if is_shared:
            return cls(shop.shared_idle_minutes * 60, LONGEST_SHARED)
        return cls(shop.idle_minutes * 60, LONGEST)


def on_device(request: HttpRequest, log_in: Callable[[], HttpResponse], *, is_shared: bool) -> HttpResponse:
    """Go on to the second factor or in, and remember whether several people use this device."""
    request.session[SHARED] = is_shared
    answer = log_in()
    if is_shared:
        age = 365 * 24 * 3600
        answer.set_cookie(SHARED, "1", max_age=age, secure=request.is_secure(), httponly=True, samesite="Lax")
    else:
        answer.delete_cookie(SHARED)
    return answer


def open_door(request: HttpRequest) -> None:
    """Write down where and when a session was opened; called when somebody has come in."""
    now = int(time.time())
    request.session[DOOR] = {
        "number": str(uuid.uuid4()),
        "address": client_address(request),
        "device": device(request),
        "shared": bool(request.session.pop(SHARED, False)),
        "opened": now,
        "seen": now,
    }


def is_over(request: HttpRequest, shop: ShopProfile) -> bool:
    """Whether the session lay idle too long or is too old; if not, it is marked as seen now and then."""
    door = request.session.get(DOOR)
    if door is None:
        open_door(request)
        return False
    now = int(time.time())
    patience = SessionLimits.of(shop, is_shared=door["shared"])
    left = door["opened"] + patience.longest - now
    if left <= 0 or now - door["seen"] > patience.idle:
        return True
    if now - door["seen"] >= TOUCH_EVERY:
        request.session[DOOR] = {**door, "seen": now, "address": client_address(request)}
        request.session.set_expiry(min(patience.idle, left))
    return False


def open_sessions(person: Person) -> QuerySet[Session]:
    """Where the person is logged in now, last seen first."""
    return Session.objects.filter(person=person, expire_date__gt=timezone.now()).order_by("-seen_at")


def end_sessions(person: Person, *, by: Person | None, but: str | None = None, number: uuid.UUID | None = None) -> int:
    """End the person's sessions: all, all but the one with this key, or the one of this number. How many there were."""
    rows = Session.objects.filter(person=person)
    if but:
        rows = rows.exclude(session_key=but)
    if number:
        rows = rows.filter(number=number)
    ended, _ = rows.delete()
    if ended:
        note("sessions-ended", person, by=by, detail=f"{ended} {plural(ended, 'session')}")
    return ended


def _moment(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)
