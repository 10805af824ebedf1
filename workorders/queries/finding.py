"""Boats that fit what was typed, with what tells them apart and with their open jobs, in one query."""

from __future__ import annotations

from typing import NamedTuple

from vessels.models.hulls import POSITION_WORDS, engine_words
from vessels.queries.finding import first_vessels
from web.rows import rows
from workorders.queries.jobs import OPEN_STATES
from workorders.states import LABELS, JobState


class OpenJob(NamedTuple):
    """A job that is open on a boat."""

    number: int
    state: str

    @property
    def state_words(self) -> str:
        """Where it stands, as people say it."""
        return LABELS[JobState(self.state)].lower()


class EngineOfBoat(NamedTuple):
    """An engine of a boat that fits."""

    position: str
    maker: str
    model: str
    serial: str

    @property
    def where(self) -> str:
        """Its place in the boat."""
        return POSITION_WORDS.get(self.position, self.position)

    def __str__(self) -> str:
        return engine_words(self.position, self.maker, self.model)


class FoundBoat(NamedTuple):
    """A boat that fits, with what shows why."""

    pk: int
    name: str
    maker: str
    model: str
    model_year: int | None
    hin: str
    registration: str
    berth: str
    owner: str
    phones: list[str]
    engine_rows: list[list[str]]
    job_rows: list[list[int | str]]
    comes_close: bool
    """Whether it was found because a name is like what was typed, and not by what was typed."""

    def __str__(self) -> str:
        return self.name or " ".join(word for word in [self.maker, self.model] if word) or f"Vessel {self.pk}"

    @property
    def what(self) -> str:
        """Year, maker and model, as far as they are known."""
        return " ".join(str(word) for word in [self.model_year or "", self.maker, self.model] if word)

    @property
    def engines(self) -> list[EngineOfBoat]:
        """Its engines, removed ones too."""
        return [EngineOfBoat(*row) for row in self.engine_rows]

    @property
    def open_jobs(self) -> list[OpenJob]:
        """Its open jobs, newest first."""
        return [OpenJob(int(number), str(state)) for number, state in self.job_rows]


_BOATS = """
    SELECT boat.id AS pk, boat.name, boat.maker, boat.model, boat.model_year, boat.hin, boat.registration, boat.berth,
           holder.name AS owner,
           ARRAY(SELECT dialed.number::text FROM vessels_customerphone dialed WHERE dialed.customer_id = holder.id
                 ORDER BY dialed.position, dialed.id) AS phones,
           COALESCE((SELECT json_agg(json_build_array(fitted.position, fitted.maker, fitted.model, fitted.serial)
                                     ORDER BY fitted.position, fitted.id)
                     FROM vessels_engine fitted WHERE fitted.vessel_id = boat.id), '[]') AS engine_rows,
           COALESCE((SELECT json_agg(json_build_array(job.number, job.state) ORDER BY job.number DESC)
                     FROM workorders_job job
                     WHERE job.vessel_id = boat.id AND job.state = ANY(%(open_states)s)), '[]') AS job_rows,
           %(comes_close)s::boolean AS comes_close
    FROM vessels_vessel boat JOIN vessels_customer holder ON holder.id = boat.owner_id
    WHERE boat.id = ANY(ARRAY({first})) ORDER BY lower(boat.name), boat.id
"""


def found_boats(text: str, *, at_most: int) -> list[FoundBoat]:
    """The first boats by name that fit; where none does, those whose names come close."""
    for comes_close, (sql, asked) in enumerate(first_vessels(text, at_most=at_most)):
        more = {"open_states": OPEN_STATES, "comes_close": bool(comes_close)}
        found = rows(FoundBoat, _BOATS.format(first=sql), {**asked, **more})
        if found:
            return found
    return []
