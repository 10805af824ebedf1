"""A job with a line about port, one about the boat, and a catalog."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from parts.models import Part
    from tests.cast import Cast
    from workorders.jobparts.models import AwaitedPart, PartFitted
    from workorders.models import Job


@pytest.fixture
def impeller(cast: Cast) -> Part:
    from parts.actions import add_part

    return add_part(
        by=cast.owner,
        number="TW-150",
        maker="Tidewright",
        description="Raw water impeller",
        unit_price=Decimal("46.80"),
    )


@pytest.fixture
def fit(cast: Cast, job: Job, impeller: Part) -> Callable[..., PartFitted]:
    """Fit the impeller to port on line 1, or what is said instead."""
    from workorders.jobparts.actions import fit_part

    def make(**told: Any) -> PartFitted:
        told = {"part": impeller, "engine": cast.port, "line": job.lines.get(position=1), **told}
        return fit_part(**{"by": cast.tech, "job": job, "quantity": Decimal(1), "condition": "new", **told})

    return make


@pytest.fixture
def wait_for(cast: Cast, job: Job) -> Callable[..., AwaitedPart]:
    """Put a part on the job's list."""
    from workorders.jobparts.actions import await_part

    def make(number: str = "TW-900", **told: Any) -> AwaitedPart:
        return await_part(**{"by": cast.tech, "job": job, "number": number, "quantity": Decimal(1), **told})

    return make
