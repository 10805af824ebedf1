"""Comparing a result with a number as its source prints it."""

from decimal import Decimal
from typing import Any

import pytest


def as_printed(text: str) -> Any:
    """What equals any value that rounds to the printed one: "76.37" is 76.37, give or take half of its last place."""
    half = Decimal(5).scaleb(int(Decimal(text).as_tuple().exponent) - 1)
    return pytest.approx(float(text), abs=float(half) * (1 + 1e-9), rel=0)
