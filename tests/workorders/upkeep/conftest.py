"""Two plans of the cast's family, and a day so many days ago."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from django.utils import timezone

if TYPE_CHECKING:
    from tests.cast import Cast
    from workorders.upkeep.models import ServicePlan


@pytest.fixture
def oil(cast: Cast) -> ServicePlan:
    """Every 100 h or 12 months, the first after 20 h."""
    from workorders.upkeep.actions import add_plan

    return add_plan(
        by=cast.tech, family=cast.family, name="Oil and filter", every_hours=Decimal(100), every_months=12,
        first_hours=Decimal(20), tasks="Change the oil\n\nChange the filter ", manual="D6T manual, ed. 4, p. 12",
    )  # fmt: skip


@pytest.fixture
def impeller(cast: Cast) -> ServicePlan:
    """Every 24 months."""
    from workorders.upkeep.actions import add_plan

    return add_plan(by=cast.tech, family=cast.family, name="Impeller", every_months=24)


@pytest.fixture
def ago() -> Callable[[int], date]:
    """The day so many days ago."""
    return lambda days: timezone.localdate() - timedelta(days=days)


@pytest.fixture
def moment() -> Callable[[int], datetime]:
    """The moment so many days ago."""
    return lambda days: timezone.now() - timedelta(days=days)
