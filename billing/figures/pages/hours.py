"""Hours sold against hours worked."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from billing.figures.pages import Asked
from billing.figures.pictures import Bar, BarsPicture
from billing.figures.queries.hours import HUNDREDTH, KINDS, Besides, Worked, hours_behind, hours_worked
from billing.figures.shown import Cell, Column, Figure, Row, Table, in_hundred
from engineering.canonical import plain_decimal
from engineering.plurals import counted
from web.addresses import address_of
from workorders.labor.reckoning import plain_hours
from workorders.reckoning import shared

_COLUMNS = [
    Column("Worked", "hours"),
    Column("In a charge", "hours"),
    Column("Sold as", "hours"),
    Column("Share", "num"),
    Column("Credited", "hours", is_kept_only=True),
    Column("Labor by hand", "hours"),
    Column("Not charged", "hours"),
    Column("Of it on ended jobs", "hours", is_kept_only=True),
]
MEANING = (
    "Worked is what was clocked or noted for these days; hours that were corrected count as corrected, voided ones do "
    "not count.",
    "Sold as is what the charges that were made of these hours say, after the shop’s rounding; a charge made of "
    "several people’s hours is shared out by them. A voided charge sells nothing, and one that was credited whole "
    "stands apart.",
    "Labor by hand: hours in no charge of their own, where labor was typed as a charge on their line or for their job "
    "as a whole. Whether those hours were sold, or at what flat price, is not on record, and so they are not counted "
    "as sold.",
    "Kind of work: a line is service where it was opened for a plan’s service or names one that was done, work on "
    "fault codes where work about a code is logged on it.",
)


def figure(asked: Asked) -> Figure:
    """The page."""
    found = hours_worked(asked.period, asked.start, asked.most)
    return Figure(
        told=[_told(found.whole), *_parted(found.whole), *_besides(found.besides)],
        meaning=MEANING,
        picture=_picture(found.people, found.whole) if found.people else None,
        parts=[
            _parts("By person", "by-person", "Person", found.people, found.whole),
            _parts("By kind of work", "by-kind", "Kind of work", found.kinds, found.whole),
        ]
        if found.people
        else [],
        rows=_rows(found.behind, asked),
    )


def rows_behind(asked: Asked) -> Table:
    """Each person's hours on each job."""
    return _rows(hours_behind(asked.period, asked.start, asked.most), asked)


def _rows(behind: Sequence[Worked], asked: Asked) -> Table:
    columns = [Column("Person"), Column("Job", "code"), Column("Vessel"), *_COLUMNS]
    days = asked.period.asked
    made = [
        [
            _person(one, days),
            Cell(str(one.job), address_of("labor:job", one.job or 0)),
            Cell(one.vessel, address_of("vessels:vessel", one.vessel_id or 0)),
            *_cells(one),
        ]
        for one in behind
    ]
    return Table("Each person on each job", columns, made, key="rows", empty="No hours are on record for these days.")


def _told(whole: Worked) -> str:
    if not whole.minutes:
        return "No hours of work are on record for these days."
    share = in_hundred(whole.hours, _hours(whole.minutes))
    return f"{whole.hours:,.2f} h were sold of {plain_hours(whole.minutes):,} h worked: {share}."


def _parted(whole: Worked) -> list[str]:
    told = []
    if whole.credited:
        told.append(f"{plain_hours(whole.credited):,} h were charged and credited again: they count as not sold.")
    if whole.ended:
        told.append(f"{plain_hours(whole.ended):,} h that stand in no charge were worked on jobs that have ended.")
    return told


def _besides(found: Besides) -> list[str]:
    told = []
    if found.running:
        told.append(f"{counted(found.running, 'clock')} that began on these days still {_runs(found.running)}.")
    if found.left:
        told.append(f"Of {counted(found.left, 'more clock')} it is not known until when: no hours are counted.")
    if found.charges:
        typed = f"Besides, labor was charged by hand on these days: {counted(found.charges, 'charge')}, together "
        typed += f"a quantity of {plain_decimal(found.quantity)}, as hours or at a flat price"
        alone = f", {found.alone:,} of them where nobody’s hours are on record" if found.alone else ""
        told.append(f"{typed}{alone}.")
    return told


def _runs(clocks: int) -> str:
    return "runs" if clocks == 1 else "run"


def _hours(minutes: int) -> Decimal:
    return Decimal(minutes) / 60


def _parts(title: str, key: str, what: str, groups: Sequence[Worked], whole: Worked) -> Table:
    rows: list[Row] = [[_name(one), *cells] for one, cells in zip(groups, _adding_up(groups, whole), strict=True)]
    return Table(title, [Column(what), *_COLUMNS], rows, [Cell("All"), *_cells(whole)], key=key)


def _adding_up(groups: Sequence[Worked], whole: Worked) -> list[list[Cell]]:
    """The cells of groups, with hours to two places that add up to those of the whole, column by column."""
    columns = []
    for name in ("minutes", "sold", "credited", "by_hand", "rest", "ended"):
        total, weights = plain_hours(_of(whole, name)), [Decimal(_of(one, name)) for one in groups]
        columns.append(shared(total, weights, HUNDREDTH) if any(weights) else [Decimal(0)] * len(groups))
    return [_cells(one, hours) for one, *hours in zip(groups, *columns, strict=True)]


def _of(one: Worked, name: str) -> int:
    minutes: int = one.open + one.ended if name == "rest" else getattr(one, name)
    return minutes


def _name(one: Worked) -> Cell:
    return Cell(one.name) if one.person is not None else Cell(KINDS[one.kind])


def _person(one: Worked, days: str) -> Cell:
    return Cell(one.name, f"{address_of('labor:person', one.person or 0)}?{days}")


def _cells(one: Worked, hours: Sequence[Decimal] = ()) -> list[Cell]:
    """``hours`` are those of the columns where they have to add up with others; otherwise they are rounded here."""
    names = ("minutes", "sold", "credited", "by_hand", "rest", "ended")
    worked, charged, *rest = hours or [plain_hours(_of(one, name)) for name in names]
    sold = Cell(f"{one.hours:,.2f} h", plain=f"{one.hours:.2f}")
    share = in_hundred(one.hours, _hours(one.minutes))
    return [
        _cell(worked),
        _cell(charged),
        sold,
        Cell(share),
        *(_cell(one) if one else Cell(plain="0.00") for one in rest),
    ]


def _cell(hours: Decimal) -> Cell:
    return Cell(f"{hours:,} h", plain=str(hours))


def _picture(people: Sequence[Worked], whole: Worked) -> BarsPicture:
    bars = [
        Bar(
            one.name,
            float(_hours(one.minutes)),
            f"{one.hours:,.1f} of {plain_hours(one.minutes):,.1f} h",
            float(one.hours),
        )
        for one in people
    ]
    return BarsPicture("hours", f"Hours worked and sold by person. {_told(whole)}", bars, "worked", "sold")
