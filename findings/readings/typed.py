"""What the limits say of a value while it is typed: the very words that the stored reading will have."""

from __future__ import annotations

from findings.readings.cells import CellForm
from findings.readings.checking import unusual
from findings.readings.judging import as_stored, compare
from findings.readings.queries import strip_of
from findings.readings.said import Said


def said_of(cell: CellForm) -> Said | None:
    """What is said of a cell that was filled in and is right; None where nothing is in it."""
    data = cell.cleaned_data
    if data.get("number") is None:
        return None
    value, unit = as_stored(data["number"]), data["unit"]
    minimum, maximum = (None if one is None else as_stored(one) for one in (data["low_seen"], data["high_seen"]))
    name = cell.line.parameter.name
    figures = {"value": value, "minimum": minimum, "maximum": maximum}
    odd = list(unusual(name, unit, figures).values())
    if cell.limit is None:
        return Said(None, odd)
    strip = strip_of(
        f"j{cell.prefix}",
        name,
        value,
        unit,
        compare(value, unit, cell.limit, minimum=minimum, maximum=maximum),
        condition=cell.condition or cell.limit.condition,
        minimum=minimum,
        maximum=maximum,
    )
    return Said(strip, odd)
