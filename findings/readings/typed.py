"""What the limits say of a value while it is typed: the very words that the stored reading will have."""

from __future__ import annotations

from dataclasses import dataclass, field

from findings.drawing.pictures import RangeStrip, Verdict
from findings.readings.cells import CellForm
from findings.readings.checking import unusual
from findings.readings.judging import as_stored, compare
from findings.readings.queries import strip_of


@dataclass(frozen=True)
class Said:
    """The judgment of a value that is not logged yet; ``strip`` is None where nothing judges it."""

    strip: RangeStrip | None
    odd: list[str] = field(default_factory=list)

    @property
    def verdict(self) -> str:
        """In range, near, out; empty where nothing judges it."""
        return self.strip.verdict.value if self.strip else ""

    @property
    def verdict_left_out(self) -> str:
        """The verdict, where the sentence does not say it itself."""
        return "" if self.strip is None or self.verdict in self.strip.sentence else self.verdict

    @property
    def mark(self) -> str:
        """The verdict as the style sheet names it."""
        return (
            {Verdict.IN_RANGE: "in", Verdict.NEAR: "near", Verdict.OUT: "out"}.get(self.strip.verdict, "")
            if self.strip
            else ""
        )


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
