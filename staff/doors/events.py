"""What is told of the doors: in the log at its default level, and, where it touches a person's login, to the person.

Never what was typed: the log names people by their key.
"""

from __future__ import annotations

from typing import Any

import structlog
from django.db import transaction
from django.http import HttpRequest

from staff.doors.client import client_address
from staff.doors.models import AccountEvent
from staff.models import Person

LOGGER = "garboard.security"
_log = structlog.get_logger(LOGGER)


def tell(what: str, *, person: Person | None = None, by: Person | None = None, **facts: Any) -> None:
    """Tell the log, once it is so: after the commit, or at once where nothing is being written.

    ``person`` is whom it is about, ``by`` who did it. The request's address and number are added by themselves.
    """
    told = {"person": person.pk if person else None, "by": by.pk if by else None, **facts}
    told |= {"address": structlog.contextvars.get_contextvars().get("address")}
    told = {name: value for name, value in told.items() if value is not None}
    transaction.on_commit(lambda: _log.info(what, **told))


def note(kind: str, person: Person, *, by: Person | None = None, detail: str = "", **facts: Any) -> None:
    """Keep it where the person sees it, and tell the log."""
    address = str(structlog.contextvars.get_contextvars().get("address", ""))
    AccountEvent.objects.create(kind=kind, person=person, by=by, address=address, detail=detail)
    tell(kind, person=person, by=by, **facts)


def bind_address(request: HttpRequest, **kwargs: Any) -> None:
    """Give every line that this request logs the address that it came from."""
    structlog.contextvars.bind_contextvars(address=client_address(request))
