"""What each value was the last time that it was read on another visit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.db.models import Q
from django.db.models.functions import Lower

from engineering.measures import UNITS, show
from findings.readings.models import Reading
from vessels.log.evidence import superseded
from vessels.models import Engine, Vessel
from web.addresses import address_of
from workorders.models import Job

Place = tuple[int | None, int, str]
"""Engine, parameter and condition, the last in small letters."""


@dataclass(frozen=True)
class LastTime:
    """A value as it was last read, and where its trend stands."""

    shown: str
    at: datetime
    url: str


def last_values(
    vessel: Vessel, job: Job, engines: Iterable[Engine | None], parameters: Iterable[int]
) -> dict[Place, LastTime]:
    """The newest counting reading of each parameter and condition that is of no entry of this job; one question.

    Values that a CAN log gave and results of the Bench are among them: each is a reading of its condition.
    """
    keys = [one.pk if one else None for one in engines]
    of_engine = Q(entry__engine__in=[key for key in keys if key is not None])
    if None in keys:
        of_engine |= Q(entry__engine=None)
    found = (
        Reading.objects.filter(of_engine, entry__vessel=vessel, parameter__in=list(parameters))
        .filter(Q(entry__job=None) | ~Q(entry__job=job))
        .filter(~superseded("entry_id"))
        .annotate(folded=Lower("condition"))
        .order_by("entry__engine_id", "parameter_id", "folded", "-entry__happened_at", "-entry__position")
        .distinct("entry__engine_id", "parameter_id", "folded")
        .values("entry__engine_id", "parameter_id", "folded", "condition", "value", "unit", "entry__happened_at")
    )
    return {(one["entry__engine_id"], one["parameter_id"], one["folded"]): _last(vessel, one) for one in found}


def _last(vessel: Vessel, row: Mapping[str, Any]) -> LastTime:
    value: Decimal = row["value"].normalize()
    unit = row["unit"]
    asked = {"engine": row["entry__engine_id"] or "", "condition": row["condition"]}
    address = f"{address_of('findings:vessel_readings', vessel.pk)}{row['parameter_id']}/"
    return LastTime(
        shown=show(value, unit) if unit in UNITS else f"{value:f} {unit}",
        at=row["entry__happened_at"],
        url=f"{address}?{urlencode(asked)}",
    )
