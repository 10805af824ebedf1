"""Days that jobs spend in each state."""

from __future__ import annotations

from collections.abc import Sequence

from django.urls import reverse
from django.utils import timezone

from billing.figures.pages import Asked
from billing.figures.pictures import Bar, BarsPicture
from billing.figures.queries.stays import FEWEST, Stay, Stays, stays_behind, stays_of
from billing.figures.shown import Cell, Column, Figure, Table, moment_cell
from engineering.plurals import counted
from workorders.states import LABELS, JobState

MEANING = (
    "A stay begins with the move into a state and ends with the move out of it; days are of 24 hours. A job that comes "
    "back to a state stays there a second time. Closed and canceled are not counted.",
    "The stays are those that began on these days. One that goes on counts as at least that long, not as ended: the "
    "median allows for it (Kaplan and Meier, 1958).",
    f"Of fewer than {FEWEST} stays no median is told.",
)


def figure(asked: Asked) -> Figure:
    """The page."""
    groups, behind = stays_of(asked.period, timezone.now(), asked.start, asked.most)
    found = _in_order(groups)
    contradict = sum(one.contradict for one in found)
    told = [_told(found)]
    if contradict:
        told.append(
            f"{counted(contradict, 'stay')} {'ends' if contradict == 1 else 'end'} before it began, by the times that "
            "were given for the moves: not counted."
        )
    return Figure(
        told=told,
        meaning=MEANING,
        picture=_picture(found) if any(one.gone or one.going_on for one in found) else None,
        parts=[_by_state(found)] if found else [],
        rows=_rows(behind, asked),
    )


def rows_behind(asked: Asked) -> Table:
    """Each stay."""
    return _rows(stays_behind(asked.period, timezone.now(), asked.start, asked.most), asked)


def _rows(behind: Sequence[Stay], asked: Asked) -> Table:
    columns = [
        Column("Job", "code"), Column("Vessel"), Column("State"), Column("From"), Column("Until"),
        Column("Days", "num"),
    ]  # fmt: skip
    made = [_row(one, asked) for one in behind]
    return Table("Each stay", columns, made, key="rows", empty="No job came into a state on these days.")


def _row(one: Stay, asked: Asked) -> list[Cell]:
    zone = asked.period.zone
    return [
        Cell(str(one.job), reverse("workorders:job", args=[one.job])),
        Cell(one.vessel, reverse("vessels:vessel", args=[one.vessel_id])),
        Cell(_label(one.state)),
        moment_cell(one.since, zone),
        Cell("goes on", plain="goes on") if one.until is None else moment_cell(one.until, zone),
        Cell("times contradict each other") if one.days < 0 else _days(one.days),
    ]


def _told(found: Sequence[Stays]) -> str:
    stays, going_on = sum(one.gone + one.going_on for one in found), sum(one.going_on for one in found)
    if not stays:
        return "No job came into a state on these days."
    rest = f"{going_on:,} of them {'goes' if going_on == 1 else 'go'} on" if going_on else "all of them have ended"
    return f"Jobs came into a state {counted(stays, 'time')} on these days; {rest}."


def _by_state(found: Sequence[Stays]) -> Table:
    columns = [
        Column("State"), Column("Stays", "num"), Column("Go on", "num"), Column("Median, days", "num"),
        Column("Shortest that ended", "num"), Column("Longest that ended", "num"),
        Column("Longest that goes on", "num"),
    ]  # fmt: skip
    rows = [
        [
            Cell(_label(one.state)),
            Cell(f"{one.gone + one.going_on:,}"),
            Cell(f"{one.going_on:,}"),
            _median(one),
            *(_days(days) for days in (one.shortest, one.longest, one.longest_on)),
        ]
        for one in found
    ]
    return Table("By state", columns, rows, key="by-state")


def _median(one: Stays) -> Cell:
    if one.gone + one.going_on < FEWEST:
        return Cell("too few to say")
    return Cell("half have not ended yet") if one.median is None else _days(one.median)


def _days(days: float | None) -> Cell:
    if days is None:
        return Cell()
    return Cell("under 0.1" if 0 < days < 0.05 else f"{days:,.1f}", plain=f"{days:.3f}")


def _picture(found: Sequence[Stays]) -> BarsPicture:
    bars = []
    for one in found:
        is_told = one.median is not None and one.gone + one.going_on >= FEWEST
        words = f"{_days(one.median).words} days" if is_told else "not told"
        bars.append(
            Bar(_label(one.state), (one.median or 0.0) if is_told else 0.0, words, None, one.shortest, one.longest)
        )
    said = "; ".join(f"{bar.name}: {bar.words}" for bar in bars)
    return BarsPicture(
        "states",
        f"Median days in each state. {said}.",
        bars,
        "median",
        "",
        "from the shortest to the longest that ended",
    )


def _in_order(found: Sequence[Stays]) -> list[Stays]:
    """In the order in which jobs go through the states; one that is no longer known comes last."""
    known = {state.value: place for place, state in enumerate(JobState)}
    return sorted(found, key=lambda one: known.get(one.state, len(known)))


def _label(state: str) -> str:
    return LABELS[JobState(state)] if state in set(JobState) else state
