"""The board: open jobs by state, in one question, with ten jobs as with ten thousand."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.utils import timezone

from staff.models import Person
from vessels.models.hulls import vessel_words
from web.rows import rows
from workorders.models.jobs import place_words
from workorders.queries.jobs import OPEN_IN_SQL
from workorders.states import WAITING, JobState
from workorders.waiting import Wait, waits_of

AT_MOST = 30
"""Tiles in a column; the rest is in the list of the state."""

COLUMNS: list[tuple[str, str, tuple[JobState, ...]]] = [
    ("estimate", "Estimate", (JobState.ESTIMATE,)),
    ("authorized", "Authorized", (JobState.AUTHORIZED,)),
    ("in-work", "In work", (JobState.IN_WORK,)),
    ("waiting", "Waiting", WAITING),
    ("sea-trial", "Sea trial", (JobState.SEA_TRIAL,)),
    ("ready", "Ready", (JobState.READY,)),
]


class Tile(NamedTuple):
    """A job on the board. ``in_column`` are all of its column, ``all_overdue`` of all that the board is narrowed to."""

    pk: int
    number: int
    state: str
    slug: str
    promised_on: date | None
    is_overdue: bool
    location: str
    spot: str
    vessel_id: int
    name: str
    maker: str
    model: str
    technician: str
    concern: str
    lines: int
    in_column: int
    all_overdue: int

    @property
    def vessel(self) -> str:
        """How the boat is called."""
        return vessel_words(self.name, self.maker, self.model, self.vessel_id)

    @property
    def where(self) -> str:
        """Where the boat is, in words."""
        return place_words(self.location, self.spot)


@dataclass(frozen=True)
class Column:
    """One column: its first jobs, how many there are in all, and what jobs wait for, by their keys."""

    slug: str
    label: str
    jobs: list[Tile]
    count: int
    waits: dict[int, Wait]

    @property
    def left_out(self) -> int:
        """How many more there are than are shown."""
        return self.count - len(self.jobs)


@dataclass(frozen=True)
class Board:
    """All columns, and what they add up to."""

    columns: list[Column]
    count: int
    overdue: int


_SLUGS = " ".join(f"WHEN '{state}' THEN '{slug}'" for slug, _, states in COLUMNS for state in states)
_TILES = f"""
    WITH open AS (
        SELECT id, number, state, CASE state {_SLUGS} END AS slug,
               promised_on, location, spot, vessel_id, technician_id,
               COALESCE(promised_on < %(today)s::date AND state <> '{JobState.READY}', FALSE) AS is_overdue
        FROM workorders_job
        WHERE state IN ({OPEN_IN_SQL}) AND (%(technician)s::bigint IS NULL OR technician_id = %(technician)s::bigint)
          AND (NOT %(nobody)s::boolean OR technician_id IS NULL)
          AND (%(location)s::text = '' OR location = %(location)s::text)
    ), placed AS (
        SELECT *, count(*) OVER (PARTITION BY slug) AS in_column,
               row_number() OVER (PARTITION BY slug ORDER BY promised_on NULLS LAST, number) AS place
        FROM open WHERE is_overdue OR NOT %(overdue)s::boolean
    )
    SELECT one.id AS pk, one.number, one.state, one.slug, one.promised_on, one.is_overdue, one.location, one.spot,
           one.vessel_id, vessel.name, vessel.maker, vessel.model, COALESCE(technician.name, '') AS technician,
           COALESCE((SELECT concern FROM workorders_jobline WHERE job_id = one.id ORDER BY position LIMIT 1), '')
               AS concern,
           (SELECT count(*) FROM workorders_jobline WHERE job_id = one.id) AS lines,
           one.in_column, (SELECT count(*) FROM open WHERE is_overdue) AS all_overdue
    FROM placed one JOIN vessels_vessel vessel ON vessel.id = one.vessel_id
    LEFT JOIN staff_person technician ON technician.id = one.technician_id
    WHERE one.place <= {AT_MOST} ORDER BY one.place
"""  # noqa: S608  (put together from what the program says)


def board(
    *, technician: Person | None = None, nobody: bool = False, location: str = "", overdue: bool = False
) -> Board:
    """Open jobs by state, narrowed to a technician or to nobody's, to a place, to those past their day."""
    asked = {
        "today": timezone.localdate(),
        "technician": None if technician is None else technician.pk,
        "nobody": technician is None and nobody,
        "location": location,
        "overdue": overdue,
    }
    found = rows(Tile, _TILES, asked)
    by_column: dict[str, list[Tile]] = {slug: [] for slug, _, _ in COLUMNS}
    for tile in found:
        by_column[tile.slug].append(tile)
    waits = waits_of(found)
    columns = []
    for slug, label, _ in COLUMNS:
        its = by_column[slug]
        columns.append(Column(slug, label, its, its[0].in_column if its else 0, waits))
    return Board(columns, sum(column.count for column in columns), found[0].all_overdue if found else 0)
