"""A clock that the tests set, and money in short words."""

from tests.billing.invoices.conftest import money
from tests.workorders.labor.conftest import now

__all__ = ["money", "now"]
