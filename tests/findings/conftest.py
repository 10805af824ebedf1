"""What the tests of this floor share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from django.test import Client

    from tests.cast import Cast
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
