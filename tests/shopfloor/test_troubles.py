"""A full disk and a database that is away are sentences on every page, not an error."""

from __future__ import annotations

import errno
from typing import Any

import psycopg
import pytest
from django.db import InterfaceError, OperationalError, connection
from django.test import Client

from shopfloor import views
from tests.cast import make_cast

pytestmark = pytest.mark.django_db


def database_error(cause: psycopg.Error) -> OperationalError:
    error = OperationalError(str(cause))
    error.__cause__ = cause
    return error


TROUBLES = [
    (OSError(errno.ENOSPC, "No space left on device"), 507, "The disk of the server is full"),
    (OSError(errno.EDQUOT, "Disk quota exceeded"), 507, "The disk of the server is full"),
    (database_error(psycopg.errors.DiskFull("could not extend file")), 507, "The disk of the server is full"),
    (database_error(psycopg.OperationalError("connection refused")), 503, "cannot be reached right now"),
    (database_error(psycopg.errors.AdminShutdown("terminating")), 503, "cannot be reached right now"),
    (InterfaceError("connection already closed"), 503, "cannot be reached right now"),
    (database_error(psycopg.errors.DeadlockDetected("deadlock")), 500, "Something went wrong on the server"),
    (ValueError("anything else"), 500, "Something went wrong on the server"),
    (OSError(errno.EACCES, "Permission denied"), 500, "Something went wrong on the server"),
]


@pytest.mark.parametrize(("problem", "status", "says"), TROUBLES, ids=[f"{one[1]}-{one[0]}" for one in TROUBLES])
def test_what_nobody_caught_is_said(
    monkeypatch: pytest.MonkeyPatch, problem: Exception, status: int, says: str
) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(make_cast().owner)

    def broken(*args: Any, **kwargs: Any) -> None:
        raise problem

    monkeypatch.setattr(views, "today_for", broken)
    answer = client.get("/")
    assert (answer.status_code, says in answer.content.decode()) == (status, True)
    assert str(problem) not in answer.content.decode()
    assert answer.has_header("Retry-After") == (status == 503)


def test_a_page_asked_for_while_the_database_is_away_is_said_before_login_too(monkeypatch: pytest.MonkeyPatch) -> None:
    client = Client(raise_request_exception=False)
    client.force_login(make_cast().owner)

    def away(*args: Any, **kwargs: Any) -> None:
        raise database_error(psycopg.OperationalError("connection refused"))

    monkeypatch.setattr(connection, "cursor", away)
    for path in ["/", "/jobs/", "/vessels/", "/search/?q=x"]:
        answer = client.get(path)
        assert (answer.status_code, "cannot be reached right now" in answer.content.decode()) == (503, True)
