"""What the work function gets: the inputs, converted, by field name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from engineering.measures import Measure
from engineering.units import System
from findings.bench.judged import Judged
from findings.bench.outcome import Band, Figure
from findings.bench.showing import figure_words, judge

T = TypeVar("T")


@dataclass(frozen=True)
class Given:
    """The inputs of one calculation. An optional field that was left empty is None.

    ``typed_units`` says in which unit each quantity was typed, ``today`` is the shop's date, ``system`` its units.
    """

    values: Mapping[str, Any]
    system: System = "us"
    today: date = field(default_factory=date.today)
    typed_units: Mapping[str, str] = field(default_factory=dict)
    typed: Mapping[str, Measure] = field(default_factory=dict)
    """Each quantity as it was typed, by its control; empty where the work is called by a program."""

    def number(self, name: str) -> float:
        """A required ``Quantity``, in the unit that the field says."""
        return float(self.values[name])

    def number_or_none(self, name: str) -> float | None:
        """An optional ``Quantity``."""
        value = self.values.get(name)
        return None if value is None else float(value)

    def whole(self, name: str) -> int:
        """A required ``Whole``."""
        return int(self.values[name])

    def whole_or_none(self, name: str) -> int | None:
        """An optional ``Whole``."""
        value = self.values.get(name)
        return None if value is None else int(value)

    def choice(self, name: str) -> str:
        """The key of a ``Choice``; empty where an optional one was left open."""
        return str(self.values.get(name) or "")

    def words(self, name: str) -> str:
        """What was written into ``Words``; may be empty."""
        return str(self.values.get(name) or "")

    def day(self, name: str) -> date:
        """A required ``Day``."""
        value = self.values[name]
        if not isinstance(value, date):
            raise TypeError(f"{name} is no date")
        return value

    def rows(self, name: str) -> list[tuple[float | None, ...]]:
        """The filled ``Rows``; None in a row where an optional column was left empty."""
        return [tuple(row) for _, row in self.values[name]]

    def row_numbers(self, name: str) -> list[int]:
        """The number of each filled row, counted from 1: the cylinder, where rows are cylinders."""
        return [number for number, _ in self.values[name]]

    def pairs(self, name: str) -> list[tuple[float, float]]:
        """``Rows`` of two required columns."""
        return [(float(first), float(second)) for _, (first, second) in self.values[name]]

    def numbers(self, name: str) -> list[float]:
        """``Rows`` of one required column."""
        return [float(row[0]) for _, row in self.values[name]]

    def band(self, name: str) -> Band | None:
        """The limits of a ``Bounds`` field with their source; None where both were left empty."""
        band = self.values.get(name)
        return band if isinstance(band, Band) else None

    def loaded(self, name: str, of: type[T]) -> T:
        """What ``FromRecords`` loaded for the chosen record."""
        value = self.values[name]
        if not isinstance(value, of):
            raise TypeError(f"{name} loaded {type(value).__name__}, not {of.__name__}")
        return value

    def show(self, value: float, unit: str = "count", **how: Any) -> str:
        """A value as the page will show it, for a sentence: ``given.show(12.4, "kn")`` is "14.3 mph" in a US shop.

        ``how`` is what ``Figure`` takes: significant, decimals, us, metric, like, word, entered.
        """
        return figure_words(Figure("", value, unit, **how), self.system, self.typed_units, self.typed)

    def judge(self, figure: Figure, band: Band | None) -> Judged:
        """What the page, the log and the strip will say of the main figure: its words and its verdict for a sentence.

        No work function compares by itself what a band judges: two comparisons round twice.
        """
        return judge(figure, band, self.system, self.typed_units, self.typed)

    def show_all(self, values: Sequence[float], unit: str = "count", **how: Any) -> str:
        """Several values for a sentence: "150 psi, 145 psi and 112 psi"."""
        shown = [self.show(value, unit, **how) for value in values]
        return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}" if shown else "none"
