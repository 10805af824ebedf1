"""What the tests of this floor share."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import pytest
from django.urls import reverse
from django.utils import timezone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from django.test import Client

    from tests.cast import Cast
    from tests.findings.bench.world import BenchWorld
    from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    """The people, the customer and the boat of the tests."""
    from tests.cast import make_cast

    return make_cast()


@pytest.fixture
def job(cast: Cast) -> Job:
    """A plain job about the port engine of the cast's boat."""
    from tests.findings.story import open_job

    made = open_job(cast)
    made.lines.update(engine=cast.port)
    return made


@pytest.fixture
def tech(client: Client, cast: Cast) -> Client:
    """A browser in which the technician is signed in."""
    client.force_login(cast.tech)
    return client


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[BenchWorld]:
    """A boat with a past, once for a module, as it takes longer to make than most tests; rolled back behind it."""
    from django.db import transaction

    from tests.findings.bench.world import make_bench_world

    with django_db_blocker.unblock(), transaction.atomic():
        yield make_bench_world()
        transaction.set_rollback(True)


@pytest.fixture
def can_log_world(settings, tmp_path, monkeypatch):
    """A media folder of its own, logs read in this process, and a day soon after they were recorded."""
    from findings.canlogs import reading
    from tests.findings.canlogs.samples import summary_here

    settings.MEDIA_ROOT = str(tmp_path / "media")
    monkeypatch.setattr(reading, "summary_of", summary_here)
    monkeypatch.setattr(timezone, "now", lambda: datetime(2026, 5, 6, 12, 0, tzinfo=UTC))


@pytest.fixture
def bring(can_log_world, tech, job, django_capture_on_commit_callbacks):
    """Send a file to the job's page."""
    from tests.findings.canlogs.samples import upload

    def bringer(text, name="trip.log", job=job):
        with django_capture_on_commit_callbacks(execute=False):
            return tech.post(reverse("findings:can_logs", args=[job.number]), {"file": upload(text, name)})

    return bringer


@pytest.fixture
def log(can_log_world, cast, job):
    """A log with a code, a status bit of port that went off, and values of both engines."""
    from tests.findings.canlogs import samples as can_logs
    from tests.findings.canlogs.samples import OVER_TEMPERATURE, run_text

    return can_logs.read_log(cast, job, run_text(status=OVER_TEMPERATURE))
