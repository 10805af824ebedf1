"""From faults to the picture of their lanes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.codes import CodeStatus
from engineering.days import days_words
from engineering.faults import WITHIN_A_DAY
from engineering.faults import Episode as ReplayedEpisode
from engineering.hours import hours_words
from engineering.plurals import plural
from findings.drawing.pictures import (
    Axis,
    Bar,
    ClearMark,
    FittedMark,
    FlagState,
    HoldLine,
    JobRule,
    Lane,
    LanesPicture,
    ReturnLoop,
    day_position,
)
from findings.faults.queries import FaultSeen, latest_hours_by_engine
from vessels.log.evidence import SUPERSEDED
from vessels.models import Engine, Vessel
from vessels.queries.doubts import hours_in_doubt
from web.rows import rows
from workorders.jobparts.models import part_words

MOST_LANES = 40


@dataclass(frozen=True)
class PartSeen:
    """A part that was fitted on an engine, and counts."""

    pk: UUID
    engine_id: int | None
    at: datetime
    hours: Decimal | None
    number: str
    maker: str
    description: str
    quantity: Decimal

    @property
    def words(self) -> str:
        """How many of what."""
        return f"{plain_decimal(self.quantity)} × {part_words(self.number, self.maker, self.description)}"


@dataclass(frozen=True)
class EngineLanes:
    """The lanes of one engine, or of the units that belong to no engine."""

    engine: Engine | None
    picture: LanesPicture
    left_out: int
    doubts: Sequence[str] = ()
    fitted: Sequence[PartSeen] = ()


def lanes_by_engine(
    vessel: Vessel, faults: Sequence[FaultSeen], *, latest: Mapping[int, Decimal] | None = None
) -> list[EngineLanes]:
    """One picture for each engine, as each has its own hours: four queries for all, three where ``latest`` is known."""
    engines: dict[int | None, list[FaultSeen]] = {}
    for seen in faults:
        engines.setdefault(seen.fault.engine_id, []).append(seen)
    ids = [key for key in engines if key is not None]
    if latest is None:
        latest = latest_hours_by_engine(ids) if ids else {}
    jobs, fitted = (_jobs_of(vessel), _fitted_into(vessel)) if faults else ([], [])
    doubts = hours_in_doubt(ids) if ids else {}
    return [
        _lanes_of(
            members,
            latest=latest.get(key) if key is not None else None,
            jobs=[job for job in jobs if job.engine_id == key],
            fitted=[part for part in fitted if part.engine_id == key],
            doubts=doubts.get(key, ()) if key is not None else (),
        )
        for key, members in sorted(engines.items(), key=lambda item: (item[0] is None, item[0] or 0))
    ]


@dataclass(frozen=True)
class _JobSeen:
    number: int
    engine_id: int | None
    at: datetime
    hours: Decimal | None


_JOBS = f"""
    SELECT job.number, entry.engine_id, min(entry.happened_at) AS at, min(entry.engine_hours) AS hours
    FROM vessels_logentry entry JOIN workorders_job job ON job.id = entry.job_id
    WHERE entry.vessel_id = %(vessel)s AND entry.kind IN ('scan', 'clear', 'work-done') AND NOT {SUPERSEDED}
    GROUP BY job.number, entry.engine_id ORDER BY at
"""  # noqa: S608  (put together from what the program says)


def _jobs_of(vessel: Vessel) -> list[_JobSeen]:
    """When and at which hours each job first found something on each engine."""
    return rows(_JobSeen, _JOBS, {"vessel": vessel.pk})


_FITTED = f"""
    SELECT entry.id AS pk, entry.engine_id, entry.happened_at AS at, entry.engine_hours AS hours, fitted.number,
           fitted.maker, fitted.description, fitted.quantity
    FROM vessels_logentry entry JOIN jobparts_partfitted fitted ON fitted.entry_id = entry.id
    WHERE entry.vessel_id = %(vessel)s AND entry.kind = 'part-fitted' AND NOT {SUPERSEDED}
    ORDER BY entry.happened_at, entry.position
"""  # noqa: S608  (put together from what the program says)


def _fitted_into(vessel: Vessel) -> list[PartSeen]:
    """What was fitted on each engine, and on the boat itself."""
    return rows(PartSeen, _FITTED, {"vessel": vessel.pk})


def _marks(fitted: Sequence[PartSeen], place: _Placing) -> list[FittedMark]:
    """One mark for what was fitted at one place; what has none is named under the picture alone."""
    at: dict[float, list[str]] = {}
    for part in fitted:
        where = place.of(part.at, part.hours)
        if where is not None:
            at.setdefault(where, []).append(part.words)
    return [FittedMark(at=where, words="; ".join(words)) for where, words in at.items()]


def _lanes_of(
    members: Sequence[FaultSeen],
    *,
    latest: Decimal | None,
    jobs: Sequence[_JobSeen],
    fitted: Sequence[PartSeen],
    doubts: Sequence[str],
) -> EngineLanes:
    shown = list(members[:MOST_LANES])
    axis = _axis(shown, latest)
    engine = shown[0].fault.engine
    where = engine.get_position_display().lower() + " engine" if engine else "boat"
    place = _Placing(axis)
    picture = LanesPicture(
        key=f"lanes-{shown[0].fault.engine_id or 'boat'}",
        title=f"Faults of the {where} over {axis.value}",
        lanes=[_lane(seen, place) for seen in shown],
        axis=axis,
        jobs=[
            JobRule(at=at, number=str(job.number)) for job in jobs if (at := place.of(job.at, job.hours)) is not None
        ],
        fitted=_marks(fitted, place),
        now=float(latest) if axis is Axis.HOURS and latest is not None else day_position(timezone.localtime()),
    )
    return EngineLanes(engine, picture, len(members) - len(shown), doubts, fitted)


def _axis(faults: Sequence[FaultSeen], latest: Decimal | None) -> Axis:
    """Hours where most episodes have them; what has none is then named in its lane."""
    opened = [episode.opened_hours for seen in faults for episode in seen.history.episodes]
    with_hours = sum(hours is not None for hours in opened)
    return Axis.HOURS if latest is not None and with_hours * 2 > len(opened) else Axis.DATES


@dataclass(frozen=True)
class _Placing:
    """Where a moment stands on the axis; None where it has no place on it."""

    axis: Axis

    def of(self, at: datetime | None, hours: Decimal | None) -> float | None:
        if self.axis is Axis.DATES:
            return day_position(timezone.localtime(at)) if at is not None else None
        return None if hours is None else float(hours)

    def of_mark(self, mark: Sequence[Any]) -> float | None:
        """The place of a mark as the history stores it: time and hours."""
        return self.of(datetime.fromisoformat(mark[0]), None if mark[1] is None else Decimal(mark[1]))


def _lane(seen: FaultSeen, place: _Placing) -> Lane:
    bars: list[Bar] = []
    clears: list[ClearMark] = []
    returns: list[ReturnLoop] = []
    holds: list[HoldLine] = []
    unplaced = 0
    stored = {row["number"]: row for row in seen.fault.history.get("episodes", [])}
    ended: float | None = None
    for replayed in seen.history.episodes:
        start = place.of(replayed.opened_at, replayed.opened_hours)
        if start is None:
            unplaced += 1
            ended = None
            continue
        end = _end(replayed, start, place)
        last_seen = place.of(replayed.last_seen_at, replayed.last_seen_hours)
        bars.append(
            Bar(
                start=start,
                end=end,
                state=_bar_state(replayed),
                start_is_known=not replayed.beginning_unknown,
                seen_to=start if last_seen is None else last_seen,
            )
        )
        if ended is not None and start >= ended:
            returns.append(ReturnLoop(ended_at=ended, returned_at=start, gap=_gap(replayed, place.axis)))
        marks = [at for mark in stored[replayed.number]["clears"] if (at := place.of_mark(mark)) is not None]
        clears += [ClearMark(at=at) for at in marks]
        proof = stored[replayed.number]["proof"]
        proven = place.of_mark(proof) if proof else None
        since = place.of(replayed.since_at, replayed.since_hours)
        if (marks or replayed.after_work) and since is not None and proven is not None and proven > since:
            holds.append(HoldLine(start=since, end=proven))
        ended = end
    missing = f"{unplaced} {plural(unplaced, 'episode')} without hours" if unplaced else ""
    return Lane(
        code=seen.fault.label,
        name=seen.meaning.title,
        state=FlagState(seen.fault.state),
        status_now=FlagState(seen.fault.state).status_told(seen.fault.status_now),
        bars=bars,
        clears=clears,
        returns=returns,
        holds=holds,
        note=missing,
    )


def _end(replayed: ReplayedEpisode, start: float, place: _Placing) -> float | None:
    """Where an episode ended; where that has no hours, where it was last seen."""
    if replayed.closed_at is None:
        return None
    end = place.of(replayed.closed_at, replayed.closed_hours)
    if end is None:
        end = place.of(replayed.last_seen_at, replayed.last_seen_hours)
    return max(start, end if end is not None else start)


def _bar_state(replayed: ReplayedEpisode) -> FlagState:
    if replayed.number > 1:
        return FlagState.NOT_FIXED_YET if replayed.not_fixed_yet else FlagState.RETURNED
    return FlagState.ACTIVE if replayed.last_status in (CodeStatus.ACTIVE, CodeStatus.PENDING) else FlagState.STORED


def _gap(replayed: ReplayedEpisode, axis: Axis) -> str:
    if axis is Axis.HOURS and replayed.gap_hours is not None:
        return hours_words(replayed.gap_hours)
    if replayed.gap_days is None:
        return ""
    return days_words(replayed.gap_days) if replayed.gap_days else WITHIN_A_DAY
