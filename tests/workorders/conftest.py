"""What the tests of this floor share."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.cast import Cast
    from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    """The people, the customer and the boat of the tests."""
    from tests.cast import make_cast

    return make_cast()


@pytest.fixture
def job(cast: Cast) -> Job:
    """A job of the cast's boat with one concern about the port engine."""
    from workorders.actions import open_job

    return open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Will not hold 3000 rpm", cast.port)], spot="B-14")


@pytest.fixture
def _triggers_back(django_db_blocker: Any) -> Iterator[None]:
    """A new session after the database was emptied: triggers hold again."""
    from django.db import connection

    yield
    with django_db_blocker.unblock():
        connection.close()


@pytest.fixture
def committed_db(_triggers_back: None, transactional_db: None) -> Iterator[None]:
    """A database with real commits, for tests of several writers. The log refuses to be emptied: here it is let."""
    from django.db import connection

    yield
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
