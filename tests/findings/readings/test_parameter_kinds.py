"""Whatever a unit measures, a parameter of it can be added."""

from __future__ import annotations

import pytest

from engineering.measures import Kind
from findings.readings.actions import add_parameter
from tests.cast import Cast


@pytest.mark.django_db
@pytest.mark.parametrize("kind", Kind)
def test_a_parameter_of_every_kind_can_be_added(cast: Cast, kind: Kind) -> None:
    assert add_parameter(by=cast.tech, name=f"Some {kind}", kind=kind.value).kind == kind
