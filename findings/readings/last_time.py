"""What each value was the last time that it was read on another visit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple
from urllib.parse import urlencode

from engineering.measures import UNITS, show
from vessels.log.evidence import SUPERSEDED
from vessels.models import Engine, Vessel
from web.addresses import address_of
from web.rows import rows
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
    asked = {
        "vessel": vessel.pk,
        "job": job.pk,
        "engines": [key for key in keys if key is not None],
        "of_the_boat": None in keys,
        "parameters": list(parameters),
    }
    return {(one.engine, one.parameter, one.folded): _last(vessel, one) for one in rows(_Read, _LAST, asked)}


class _Read(NamedTuple):
    engine: int | None
    parameter: int
    folded: str
    condition: str
    value: Decimal
    unit: str
    at: datetime


_LAST = f"""
    SELECT DISTINCT ON (entry.engine_id, reading.parameter_id, lower(reading.condition))
           entry.engine_id AS engine, reading.parameter_id AS parameter, lower(reading.condition) AS folded,
           reading.condition, reading.value, reading.unit, entry.happened_at AS at
    FROM readings_reading reading JOIN vessels_logentry entry ON entry.id = reading.entry_id
    WHERE entry.vessel_id = %(vessel)s AND reading.parameter_id = ANY(%(parameters)s::bigint[])
      AND (entry.engine_id = ANY(%(engines)s::bigint[]) OR %(of_the_boat)s::boolean AND entry.engine_id IS NULL)
      AND entry.job_id IS DISTINCT FROM %(job)s::bigint AND NOT {SUPERSEDED}
    ORDER BY entry.engine_id, reading.parameter_id, lower(reading.condition), entry.happened_at DESC,
             entry.position DESC
"""  # noqa: S608  (put together from what the program says)


def _last(vessel: Vessel, row: _Read) -> LastTime:
    value, unit = row.value.normalize(), row.unit
    asked = {"engine": row.engine or "", "condition": row.condition}
    address = f"{address_of('findings:vessel_readings', vessel.pk)}{row.parameter}/"
    return LastTime(
        shown=show(value, unit) if unit in UNITS else f"{value:f} {unit}",
        at=row.at,
        url=f"{address}?{urlencode(asked)}",
    )
