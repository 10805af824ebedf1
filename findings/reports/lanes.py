"""Fault lanes out of a record: one picture an engine, in pieces that fit on a page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import groupby, pairwise

from engineering.faults import WITHIN_A_DAY
from engineering.hours import hours_words
from findings.drawing.pictures import (
    Axis,
    Bar,
    ClearMark,
    FlagState,
    HoldLine,
    JobRule,
    Lane,
    LanesPicture,
    ReturnLoop,
    day_position,
)
from findings.reports.record import EpisodeFacts, FaultFacts, Findings

LANES_ON_A_PICTURE = 7
FEW = 7
"""So many codes of one engine are all drawn; of more, those that have more than one appearance to show."""


def lanes_pictures(findings: Findings) -> Iterator[LanesPicture]:
    """The pictures of every engine that has a code, then of the vessel's own units."""
    ordered = sorted(findings.faults, key=lambda fault: (fault.engine == "", fault.engine))
    for engine, group in groupby(ordered, key=lambda fault: fault.engine):
        faults = _worth_drawing(list(group))
        axis = Axis.HOURS if all(map(_hours_are_known, faults)) else Axis.DATES
        pieces = [faults[start : start + LANES_ON_A_PICTURE] for start in range(0, len(faults), LANES_ON_A_PICTURE)]
        for number, piece in enumerate(pieces, start=1):
            name = engine or "Vessel"
            of = {"": "the vessel", "Single": "the engine"}.get(engine, engine)
            part = f", part {number} of {len(pieces)}" if len(pieces) > 1 else ""
            yield LanesPicture(
                key=f"report-lanes-{name}-{number}",
                title=f"Codes of {of} over {axis.value}{part}",
                lanes=[_lane(fault, axis) for fault in piece],
                axis=axis,
                jobs=_job_rules(findings, faults, axis),
                now=_now(findings, engine, faults, axis),
            )


def _worth_drawing(faults: list[FaultFacts]) -> list[FaultFacts]:
    """Codes seen once are said in their table; a picture of each would fill pages."""
    return faults if len(faults) <= FEW else [fault for fault in faults if len(fault.episodes) > 1]


def _hours_are_known(fault: FaultFacts) -> bool:
    return all(
        episode.opened_hours is not None and (episode.closed_at is None or episode.closed_hours is not None)
        for episode in fault.episodes
    )


def _place(axis: Axis, at: datetime, hours: Decimal | None) -> float:
    return float(hours) if axis is Axis.HOURS and hours is not None else day_position(at)


def _end(axis: Axis, episode: EpisodeFacts) -> float | None:
    return _place(axis, episode.closed_at, episode.closed_hours) if episode.closed_at else None


def _last_seen(axis: Axis, episode: EpisodeFacts) -> float:
    """How far an episode was seen; where that has no hours, no further than its beginning."""
    if axis is Axis.HOURS and episode.last_seen_hours is None:
        return _place(axis, episode.opened_at, episode.opened_hours)
    return _place(axis, episode.last_seen_at, episode.last_seen_hours)


def _lane(fault: FaultFacts, axis: Axis) -> Lane:
    return Lane(
        code=fault.code,
        name=fault.meaning,
        state=FlagState(fault.state),
        status_now=fault.status_now,
        bars=[_bar(episode, axis, is_first=index == 0) for index, episode in enumerate(fault.episodes)],
        clears=[
            ClearMark(at=_place(axis, episode.closed_at, episode.closed_hours))
            for episode in fault.episodes
            if episode.closed_at and episode.closed_by == "clear"
        ],
        returns=list(_returns(fault.episodes, axis)),
        holds=list(_holds(fault, axis)),
    )


def _bar(episode: EpisodeFacts, axis: Axis, *, is_first: bool) -> Bar:
    is_stored = episode.last_status in {"stored", "permanent"}
    first_state = FlagState.STORED if is_stored else FlagState.ACTIVE
    back = FlagState.NOT_FIXED_YET if episode.not_fixed_yet else FlagState.RETURNED
    return Bar(
        start=_place(axis, episode.opened_at, episode.opened_hours),
        end=_end(axis, episode),
        state=first_state if is_first else back,
        start_is_known=not episode.beginning_unknown,
        seen_to=_last_seen(axis, episode),
    )


def _returns(episodes: Sequence[EpisodeFacts], axis: Axis) -> Iterator[ReturnLoop]:
    for before, after in pairwise(episodes):
        ended = _end(axis, before)
        if ended is not None:
            yield ReturnLoop(
                ended_at=ended, returned_at=_place(axis, after.opened_at, after.opened_hours), gap=gap_words(after)
            )


def gap_words(episode: EpisodeFacts) -> str:
    """How long the fault had stayed away: "84 h", or days where hours are unknown."""
    if episode.gap_hours is not None:
        return hours_words(episode.gap_hours)
    if episode.gap_days is None:
        return ""
    return f"{episode.gap_days} d" if episode.gap_days else WITHIN_A_DAY


def _holds(fault: FaultFacts, axis: Axis) -> Iterator[HoldLine]:
    last = fault.episodes[-1] if fault.episodes else None
    end = _end(axis, last) if last else None
    if end is None or fault.proven_to_at is None or (axis is Axis.HOURS and fault.proven_to_hours is None):
        return
    proven = _place(axis, fault.proven_to_at, fault.proven_to_hours)
    if proven > end:
        yield HoldLine(start=end, end=proven)


def _job_rules(findings: Findings, faults: Sequence[FaultFacts], axis: Axis) -> list[JobRule]:
    """Jobs that worked on these faults, each at its first work."""
    codes = {fault.code for fault in faults}
    first: dict[str, float] = {}
    for work in [*(fault.last_work for fault in faults if fault.last_work), *findings.work]:
        if work.job and codes & set(work.codes) and not (axis is Axis.HOURS and work.hours is None):
            place = _place(axis, work.at, work.hours)
            first[work.job] = min(place, first.get(work.job, place))
    return [JobRule(at=at, number=number) for number, at in sorted(first.items())]


def _now(findings: Findings, engine: str, faults: Sequence[FaultFacts], axis: Axis) -> float | None:
    """The right edge: the latest hours known of the engine, or the day of the latest scan."""
    if axis is Axis.HOURS:
        known = [one.hours for one in findings.engines if one.position == engine and one.hours is not None]
        known += [episode.last_seen_hours for fault in faults for episode in fault.episodes if episode.last_seen_hours]
        known += [fault.proven_to_hours for fault in faults if fault.proven_to_hours is not None]
        return float(max(known)) if known else None
    days = [scan.at for scan in findings.scans]
    days += [fault.proven_to_at for fault in faults if fault.proven_to_at]
    days += [episode.last_seen_at for fault in faults for episode in fault.episodes]
    return day_position(max(days)) if days else None
