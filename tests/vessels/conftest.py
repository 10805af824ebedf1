"""What the tests of this floor share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cast import Cast


@pytest.fixture
def cast(db: None) -> Cast:
    """The people, the customer and the boat of the tests."""
    from tests.cast import make_cast

    return make_cast()
