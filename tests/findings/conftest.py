"""What the tests of this floor share."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from django.test import Client

    from tests.cast import Cast
    from tests.findings.bench_world import BenchWorld
    from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    """The people, the customer and the boat of the tests."""
    from tests.cast import make_cast

    return make_cast()


@pytest.fixture
def job(cast: Cast) -> Job:
    """A plain job of the cast's boat."""
    from tests.findings.story import open_job

    return open_job(cast)


@pytest.fixture
def tech(client: Client, cast: Cast) -> Client:
    """A browser in which the technician is signed in."""
    client.force_login(cast.tech)
    return client


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[BenchWorld]:
    """A boat with a past, once for a module, as it takes longer to make than most tests; rolled back behind it."""
    from django.db import transaction

    from tests.findings.bench_world import make_bench_world

    with django_db_blocker.unblock(), transaction.atomic():
        yield make_bench_world()
        transaction.set_rollback(True)
