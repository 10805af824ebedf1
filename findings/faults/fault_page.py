"""What one fault's own page asks: nine questions, however long its history is and however many sisters it has."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from findings.faults.models import Fault
from findings.faults.queries import FaultSeen
from vessels.identity import SerialRead, another_unit_words
from vessels.log.afterwards import AFTERWARDS, Afterwards, afterwards_of, afterwards_sql
from vessels.log.evidence import SUPERSEDED
from vessels.log.originals import FIRST
from vessels.models import ControlUnit, Engine, EngineFamily, Vessel
from vessels.queries.hours import LAST_HOURS
from vessels.queries.serials import serials_of
from web.rows import record, rows
from web.typed import uuid_of

MOST_FAMILY_FAULTS = 12
_WORKED = ("held", "holding", "gone")
"""Outcomes after which a repair counts as one that worked."""


class OnPage(NamedTuple):
    """The fault with its engine's latest hours and the job that is open on its vessel."""

    fault: Fault
    latest_hours: Decimal | None
    hours_read_at: datetime | None
    open_job: int | None


_FAULT = f"""
    SELECT fault.id, fault.system, fault.code, fault.state, fault.status_now, fault.history::text,
           fault.vessel_id, vessel.name AS vessel_name, vessel.maker AS vessel_maker, vessel.model AS vessel_model,
           fault.unit_id, unit.name AS unit_name, unit.engine_id AS unit_engine_id, unit.removed_on AS unit_removed_on,
           beside.position AS unit_engine_position,
           fault.engine_id, engine.position AS engine_position, engine.maker AS engine_maker,
           engine.model AS engine_model, engine.family_id AS engine_family_id, family.maker AS engine_family_maker,
           family.name AS engine_family_name,
           last.engine_hours AS latest_hours, last.happened_at AS hours_read_at,
           (SELECT max(job.number) FROM workorders_job job
            WHERE job.vessel_id = fault.vessel_id AND job.state NOT IN ('closed', 'canceled')) AS open_job
    FROM faults_fault fault
    JOIN vessels_vessel vessel ON vessel.id = fault.vessel_id
    JOIN vessels_controlunit unit ON unit.id = fault.unit_id
    LEFT JOIN vessels_engine beside ON beside.id = unit.engine_id
    LEFT JOIN vessels_engine engine ON engine.id = fault.engine_id
    LEFT JOIN vessels_enginefamily family ON family.id = engine.family_id
    LEFT JOIN {LAST_HOURS} ON true
    WHERE fault.id = %(fault)s
"""  # noqa: S608  (put together from what the program says)


def fault_on_page(pk: int) -> OnPage | None:
    """The fault, with the columns and the records that its page names; None where there is none."""
    found = rows(_on_page, _FAULT, {"fault": pk})
    return found[0] if found else None


def _on_page(**row: Any) -> OnPage:
    columns = ["id", "system", "code", "vessel_id", "engine_id", "unit_id", "state", "status_now", "history"]
    fault = record(Fault, row | {"history": json.loads(row["history"])}, *columns)
    fault.vessel = record(Vessel, row, "id", "name", "maker", "model", prefix="vessel_")
    fault.unit = record(ControlUnit, row, "id", "engine_id", "name", "removed_on", prefix="unit_")
    beside = row["unit_engine_id"] is not None
    fault.unit.engine = record(Engine, row, "id", "position", prefix="unit_engine_") if beside else None
    fault.engine = _engine(row)
    return OnPage(fault, row["latest_hours"], row["hours_read_at"], row["open_job"])


def _engine(row: dict[str, Any]) -> Engine | None:
    if row["engine_id"] is None:
        return None
    engine = record(Engine, row, "id", "position", "family_id", "maker", "model", prefix="engine_")
    if engine.family_id is not None:
        engine.family = record(EngineFamily, row, "id", "maker", "name", prefix="engine_family_")
    return engine


class EpisodeOnPage(NamedTuple):
    """What the history of a fault does not say of an episode itself: on which jobs it fell, and what came of it."""

    number: int
    is_repair: bool
    is_comeback: bool
    may_be_comeback: bool
    outcome: str
    outcome_hours: Decimal | None
    outcome_days: int | None
    opened_on: int | None
    closed_on: int | None
    work: str | None
    work_afterwards: str | None
    closing_afterwards: str | None


_EPISODES = f"""
    SELECT episode.number, episode.is_repair, episode.is_comeback, episode.may_be_comeback, episode.outcome,
           episode.outcome_hours, episode.outcome_days, opened_on.number AS opened_on, closed_on.number AS closed_on,
           work.text AS work,
           {afterwards_sql("episode.work_id")} AS work_afterwards,
           {afterwards_sql("episode.closing_id")} AS closing_afterwards
    FROM faults_episode episode
    JOIN vessels_logentry opening ON opening.id = episode.opening_id
    LEFT JOIN workorders_job opened_on ON opened_on.id = opening.job_id
    LEFT JOIN vessels_logentry closing ON closing.id = episode.closing_id
    LEFT JOIN workorders_job closed_on ON closed_on.id = closing.job_id
    LEFT JOIN vessels_logentry work ON work.id = episode.work_id
    WHERE episode.fault_id = %(fault)s
"""  # noqa: S608


def episodes_on_page(fault: Fault) -> dict[int, EpisodeOnPage]:
    """What came of each episode, by its number."""
    return {one.number: one for one in rows(EpisodeOnPage, _EPISODES, {"fault": fault.pk})}


class EvidenceSeen(NamedTuple):
    """One entry that is evidence of a fault, or was. Of a correction ``author`` is who wrote down what it corrects."""

    pk: UUID
    kind: str
    happened_at: datetime
    is_late: bool
    engine_hours: Decimal | None
    summary: str
    author: str
    corrected_by: str
    job_number: int | None
    listed: str | None
    later: str | None

    @property
    def afterwards(self) -> Afterwards:
        """What was written about it later."""
        return afterwards_of(self.later)

    @property
    def counts(self) -> bool:
        """Whether it still is evidence."""
        return self.afterwards.replaced is None

    @property
    def says(self) -> str:
        """What it says of the fault."""
        if self.kind == "clear":
            return "cleared"
        if self.kind == "work-done":
            return "work done"
        return self.listed or "not listed in a complete scan"


_EVIDENCE = f"""
    SELECT entry.id AS pk, entry.kind, entry.happened_at,
           entry.recorded_at > entry.happened_at + interval '15 minutes' AS is_late, entry.engine_hours,
           entry.summary, author.name AS author,
           CASE WHEN entry.amends_id IS NULL THEN '' ELSE corrector.name END AS corrected_by,
           job.number AS job_number, {AFTERWARDS} AS later,
           listed.words AS listed
    FROM vessels_logentry entry
    JOIN staff_person corrector ON corrector.id = entry.author_id
    JOIN staff_person author ON author.id = {FIRST}
    LEFT JOIN workorders_job job ON job.id = entry.job_id
    LEFT JOIN (
        SELECT scan_id, string_agg(status || coalesce(' ×' || count, ''), ', ' ORDER BY id) AS words
        FROM faults_sighting WHERE fault_id = %(fault)s GROUP BY scan_id
    ) listed ON listed.scan_id = entry.id
    WHERE entry.id = ANY(ARRAY(
        SELECT scan_id FROM faults_sighting WHERE fault_id = %(fault)s
        UNION SELECT clear_id FROM faults_clearedfault WHERE fault_id = %(fault)s
        UNION SELECT work_id FROM faults_workonfault WHERE fault_id = %(fault)s
        UNION SELECT unnest(%(replayed)s::uuid[])
    )) AND {{older}}
    ORDER BY entry.happened_at DESC, entry.position DESC LIMIT %(most)s
"""  # noqa: S608
_OLDER = """
    (entry.happened_at, entry.position)
    < (SELECT last.happened_at, last.position FROM vessels_logentry last WHERE last.id = %(last)s)
"""


def evidence_of_fault(fault: Fault, *, after_entry: str = "", most: int = 50) -> list[EvidenceSeen]:
    """Every entry that says something of a fault, newest first, with those that no longer count.

    ``after_entry`` is the key of the last entry of the page before. One entry more than ``most`` is given where there
    are older ones.
    """
    replayed = [key for episode in fault.history.get("episodes", []) for key in episode["keys"]]
    replayed += fault.history.get("unused_keys", [])
    asked = {"fault": fault.pk, "replayed": replayed, "most": most + 1}
    last = uuid_of(after_entry)
    if last is None:
        return rows(EvidenceSeen, _EVIDENCE.format(older="true"), asked)
    return rows(EvidenceSeen, _EVIDENCE.format(older=_OLDER), {**asked, "last": last})


class WorkSeen(NamedTuple):
    """Work about a fault."""

    happened_at: datetime
    engine_hours: Decimal | None
    text: str
    author: str
    job_number: int | None
    later: str | None


_WORK = f"""
    SELECT entry.happened_at, entry.engine_hours, entry.text, author.name AS author, job.number AS job_number,
           {AFTERWARDS} AS later
    FROM faults_workonfault about
    JOIN vessels_logentry entry ON entry.id = about.work_id
    JOIN staff_person author ON author.id = entry.author_id
    LEFT JOIN workorders_job job ON job.id = entry.job_id
    WHERE about.fault_id = %(fault)s AND NOT {SUPERSEDED}
    ORDER BY entry.happened_at DESC, entry.position DESC
"""  # noqa: S608


def work_about(fault: Fault) -> list[WorkSeen]:
    """The work about a fault that was not voided, newest first."""
    return rows(WorkSeen, _WORK, {"fault": fault.pk})


class FamilyFault(NamedTuple):
    """The same code on another engine of the family, and the last repair there that was not followed by a return.

    An engine that was moved is on record on each boat: ``is_same_engine`` where both have one serial.
    """

    pk: int
    state: str
    status_now: str
    vessel: Vessel
    engine_position: str
    is_same_engine: bool
    fix: str | None
    fix_hours: Decimal | None
    fix_text: str | None
    fix_later: str | None
    history: dict[str, Any]
    another: str = ""
    """That scans there may be of another unit, since the fault was seen that the fix was of."""

    @property
    def sentence(self) -> str:
        """Where the fault stands there."""
        return FaultSeen(Fault(history=self.history)).sentence


def _squeezed(column: str) -> str:
    """A serial without what one person writes in it and another does not."""
    return f"upper(regexp_replace({column}, '[^[:alnum:]]', '', 'g'))"


_SISTERS = f"""
    SELECT sister.id AS pk, sister.unit_id, sister.state, sister.status_now, sister.vessel_id,
           vessel.name AS vessel_name, vessel.maker AS vessel_maker, vessel.model AS vessel_model,
           sister.engine_position, sister.serial <> '' AND sister.serial = {_squeezed("own.serial")} AS is_same_engine,
           fix.outcome AS fix, fix.outcome_hours AS fix_hours, fix.text AS fix_text,
           {afterwards_sql("fix.work_id")} AS fix_later,
           coalesce(fix.opened_at, (SELECT min(opened_at) FROM faults_episode WHERE fault_id = sister.id)) AS since,
           CASE WHEN fix.outcome IS NULL THEN sister.history::text END AS history
    FROM (
        SELECT fault.*, engine.position AS engine_position,
               {_squeezed("engine.serial")} AS serial
        FROM faults_fault fault JOIN vessels_engine engine ON engine.id = fault.engine_id
        WHERE fault.system = %(system)s AND fault.code = %(code)s AND fault.state <> 'none'
              AND engine.family_id = %(family)s AND fault.engine_id <> %(engine)s
        ORDER BY fault.last_seen_at DESC LIMIT %(most)s
    ) sister
    JOIN vessels_vessel vessel ON vessel.id = sister.vessel_id
    JOIN vessels_engine own ON own.id = %(engine)s
    LEFT JOIN LATERAL (
        SELECT episode.outcome, episode.outcome_hours, episode.work_id, episode.opened_at, work.text
        FROM faults_episode episode LEFT JOIN vessels_logentry work ON work.id = episode.work_id
        WHERE episode.fault_id = sister.id AND episode.is_repair AND episode.outcome = ANY(%(worked)s)
        ORDER BY episode.number DESC LIMIT 1
    ) fix ON true
    ORDER BY fix.outcome IS NULL, sister.last_seen_at DESC
"""  # noqa: S608


def family_faults(fault: Fault, *, most: int = MOST_FAMILY_FAULTS) -> list[FamilyFault]:
    """The same code on other engines of the same family: repairs that held first."""
    if fault.engine is None or fault.engine.family_id is None:
        return []
    asked = {
        "system": fault.system, "code": fault.code, "family": fault.engine.family_id, "engine": fault.engine_id,
        "most": most, "worked": list(_WORKED),
    }  # fmt: skip
    found: list[dict[str, Any]] = rows(dict, _SISTERS, asked)
    serials = serials_of(row["unit_id"] for row in found)
    return [_sister(serials[row.pop("unit_id")], **row) for row in found]


def _sister(serials: Sequence[SerialRead], *, history: str | None, since: datetime | None, **row: Any) -> FamilyFault:
    vessel = record(Vessel, row, "id", "name", "maker", "model", prefix="vessel_")
    another = another_unit_words(serials, since=since) if since is not None else ""
    others = {name: row[name] for name in row if not name.startswith("vessel_")}
    return FamilyFault(vessel=vessel, history=json.loads(history) if history else {}, another=another, **others)


class PersonSaw(NamedTuple):
    """Somebody who saw a fault in a scan, whoever corrected it later; how often, and when last."""

    name: str
    times: int
    last_at: datetime


_PEOPLE = f"""
    SELECT author.name, count(*) AS times, max(entry.happened_at) AS last_at
    FROM vessels_logentry entry JOIN staff_person author ON author.id = {FIRST}
    WHERE entry.id = ANY(ARRAY(SELECT scan_id FROM faults_sighting WHERE fault_id = %(fault)s)) AND NOT {SUPERSEDED}
    GROUP BY author.name ORDER BY last_at DESC
"""  # noqa: S608


def people_who_saw(fault: Fault) -> list[PersonSaw]:
    """Who saw a fault, whoever saw it last first: whom to ask about it."""
    return rows(PersonSaw, _PEOPLE, {"fault": fault.pk})
