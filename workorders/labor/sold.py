"""What frees hours: the charge that they stood in is voided. They go along when it is charged again."""

from __future__ import annotations

from django.utils import timezone

from commands.refusals import Refused
from workorders.labor.models import Sold
from workorders.models import Charge


def free_hours(charge: Charge) -> None:
    """The stretches of a voided charge may be charged again."""
    Sold.objects.filter(charge=charge, freed_at=None).update(freed_at=timezone.now())


def move_hours(old: Charge, new: Charge) -> None:
    """The hours of a voided charge stand in the one that takes its place.

    Raises:
        Refused: some of them stand in another charge.
    """
    hours = list(Sold.objects.filter(charge=old))
    taken = Sold.objects.filter(root__in=[one.root_id for one in hours], freed_at=None).select_related("charge").first()
    if taken is not None:
        raise Refused(f"Hours of “{old}” were charged once more already, as “{taken.charge}”.")
    Sold.objects.bulk_create(
        Sold(charge=new, root_id=one.root_id, stretch_id=one.stretch_id, minutes=one.minutes) for one in hours
    )
