"""Comebacks, and what they cost."""

from __future__ import annotations

from django.urls import reverse

from billing.figures.pages import Asked
from billing.figures.pictures import Bar, BarsPicture
from billing.figures.queries.comebacks import Comeback, Comebacks, comebacks, comebacks_behind
from billing.figures.shown import Cell, Column, Figure, Table, hours_cell, moment_cell, money_cell
from engineering.codes import Code, CodeSystem
from engineering.faults import Hold
from engineering.hours import hours_words
from engineering.plurals import counted
from findings.faults.listed import code_label
from staff.queries import hold
from workorders.labor.reckoning import plain_hours
from workorders.money import money_words, step_of


def figure(asked: Asked) -> Figure:
    """The page."""
    held = hold()
    found = comebacks(asked.period, held.hours, _places(asked))
    return Figure(
        told=_told(found, held, asked),
        meaning=_meaning(held),
        picture=_picture(found) if found.repairs else None,
        parts=[_outcomes(found, held)] if found.repairs else [],
        rows=rows_behind(asked),
    )


def rows_behind(asked: Asked) -> Table:
    """Each fault that came back."""
    columns = [
        Column("Code", "code"), Column("Vessel"), Column("Repaired on job", "code"), Column("Away since"),
        Column("Seen again"), Column("After", "hours"), Column("Worked on again on", "code"),
        Column("Hours worked", "hours"), Column("Parts fitted", "num"),
    ]  # fmt: skip
    if asked.sees_prices:
        columns.append(Column("Parts charged", "money"))
    made = [_row(one, asked) for one in comebacks_behind(asked.period, _places(asked), asked.start, asked.most)]
    return Table("Faults that came back", columns, made, key="rows", empty="No fault came back after these repairs.")


def _row(one: Comeback, asked: Asked) -> list[Cell]:
    label = code_label(Code(CodeSystem(one.system), one.code))
    is_known = bool(one.lines)
    cells = [
        Cell(label, reverse("findings:fault", args=[one.fault_id])),
        Cell(one.vessel, reverse("vessels:vessel", args=[one.vessel_id])),
        Cell(str(one.job), reverse("workorders:job", args=[one.job])),
        moment_cell(one.repaired_at, asked.period.zone),
        moment_cell(one.back_at, asked.period.zone),
        _gap(one),
        Cell(", ".join(map(str, one.jobs)), reverse("workorders:job", args=[one.jobs[0]]) if one.jobs else "")
        if one.jobs
        else Cell("none yet", plain=""),
        hours_cell(one.minutes or 0) if is_known else Cell("not known"),
        Cell(str(one.fitted or 0)) if is_known else Cell("not known"),
    ]
    if asked.sees_prices:
        sum_ = money_cell(one.parts, asked.currency) if one.parts is not None else None
        cells.append(sum_ if is_known and sum_ else Cell("not known"))
    return cells


def _gap(one: Comeback) -> Cell:
    if one.gap_hours is not None:
        return Cell(hours_words(one.gap_hours), plain=str(one.gap_hours))
    if one.gap_days is None:
        return Cell("")
    return Cell(counted(one.gap_days, "day") if one.gap_days else "less than a day")


def _told(found: Comebacks, held: Hold, asked: Asked) -> list[str]:
    if not found.counted:
        return ["No repair under a job is on record for these days.", *_apart(found)]
    told = [
        _came_back(found, held),
        f"Of all such repairs, {found.share} come back within {hours_words(held.hours)}."
        if found.share
        else found.why_no_share,
    ]
    if found.returns > found.unanswered:
        cost = f"{plain_hours(found.minutes):,} h of work and {counted(found.fitted, 'part')} fitted"
        if asked.sees_prices:
            cost += f"; parts were charged at {money_words(found.parts, asked.currency)}"
        known = ", as far as is known" if found.unanswered else ""
        told.append(f"What came back has cost until today{known}: {cost}.")
    if found.unanswered:
        told.append(
            f"Of {counted(found.unanswered, 'fault')} that came back, no work on a line of another job is logged: what "
            f"{'it' if found.unanswered == 1 else 'they'} cost is not known."
        )
    return [*told, *_apart(found)]


def _came_back(found: Comebacks, held: Hold) -> str:
    of, within = f"Of {counted(found.counted, 'repair')}, {found.came_back:,}", f"within {_hold(held)}"
    if not found.in_doubt:
        return f"{of} came back {within}."
    more = f"{found.in_doubt:,} more" if found.came_back else f"{found.in_doubt:,}"
    return (
        f"{of} {'is' if found.came_back == 1 else 'are'} known to have come back {within}. Of {more} that came back it "
        "is not known: no scan in between shows when."
    )


def _apart(found: Comebacks) -> list[str]:
    told = []
    if found.same_job:
        told.append(f"{counted(found.same_job, 'more repair')} failed on the very job, before the boat left.")
    if found.no_job:
        told.append(f"{counted(found.no_job, 'more repair')} of these days stand under no job and are not counted.")
    return told


def _meaning(held: Hold) -> list[str]:
    return [
        f"A comeback is a fault that was seen again within {_hold(held)} of a repair under an earlier job. A repair is "
        "one piece of logged work after which its codes were gone, however many they were; clearing a code is none.",
        "A boat that is brought back with no code on record, or with another code, is not counted: nothing on record "
        "says that it is the same trouble.",
        "The cost is all that is on record on the lines of other jobs on which work about the very code is logged "
        "while it was back: hours that count, parts fitted, and parts charged at their price. Such a line may hold "
        "other work as well. A part that was fitted and not charged has no price here.",
        "The days are those on which the repairs were made; what came of them is told as of today.",
    ]


def _outcomes(found: Comebacks, held: Hold) -> Table:
    outcomes = [
        (f"Came back within {_hold(held)}", found.came_back),
        ("Came back, within that or later", found.in_doubt),
        ("Came back later", found.late),
        ("Held, and is not back", found.held),
        ("Not known yet", found.unknown),
    ]
    rows = [[Cell(name), Cell(f"{count:,}")] for name, count in outcomes]
    sums = [Cell("All"), Cell(f"{found.counted:,}")]
    return Table("What came of the repairs", [Column("Outcome"), Column("Repairs", "num")], rows, sums, key="outcomes")


def _picture(found: Comebacks) -> BarsPicture:
    outcomes = [
        ("Came back", found.came_back), ("Came back, perhaps later", found.in_doubt), ("Came back later", found.late),
        ("Held", found.held), ("Not known yet", found.unknown),
    ]  # fmt: skip
    bars = [Bar(name, float(count), f"{count:,}") for name, count in outcomes]
    said = ", ".join(f"{name.lower()}: {count:,}" for name, count in outcomes)
    return BarsPicture("comebacks", f"What came of {counted(found.counted, 'repair')}. {said}.", bars)


def _hold(held: Hold) -> str:
    return f"{hours_words(held.hours)} ({held.days} days where hours are unknown)"


def _places(asked: Asked) -> int:
    return -int(step_of(asked.currency).as_tuple().exponent)
