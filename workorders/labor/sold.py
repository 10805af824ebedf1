"""What frees hours again: the charge that they stood in is voided."""

from __future__ import annotations

from django.utils import timezone

from workorders.labor.models import Sold
from workorders.models import Charge


def free_hours(charge: Charge) -> None:
    """The stretches of a voided charge may be charged again."""
    Sold.objects.filter(charge=charge, freed_at=None).update(freed_at=timezone.now())
