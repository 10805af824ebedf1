"""The readings of a report, arranged: strips where they help to see, and compact tables for the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from itertools import count, groupby

from django.utils.safestring import SafeString

from findings.drawing.pictures import RangeStrip, Verdict
from findings.drawing.strip import range_strip
from findings.readings.queries import OVER_LOG, limits_words
from findings.reports.amounts import (
    amount,
    band_of,
    extremes_words,
    is_over_log,
    judged_by,
    verdict_words,
    why_unjudged,
)
from findings.reports.instruments import MadeWith, made_with
from findings.reports.record import ReadingFacts

FEW = 12
"""So many readings with limits are all drawn; of more, those that are out of their limits or close to them."""


@dataclass(frozen=True)
class ReadingRow:
    """One reading in words. ``strip`` is there where it is drawn; ``source`` numbers the document of its limits."""

    reading: ReadingFacts
    shown: str
    extremes: str
    limits: str
    limits_said: str
    says: str
    strip: SafeString | None = None
    source: int | None = None

    @property
    def is_out(self) -> bool:
        """Whether it lies outside its limits."""
        return self.reading.verdict == Verdict.OUT

    @property
    def is_left_unjudged(self) -> bool:
        """Whether its tool says why it does not judge it, although there may be limits."""
        return bool(why_unjudged(self.reading))

    @property
    def in_other_unit(self) -> bool:
        """Whether the shop reads such values in another unit, so that both are given."""
        return self.shown.endswith(")")

    @property
    def made_with(self) -> MadeWith:
        """What it was read with, and how that stood in its calibration."""
        one = self.reading
        return made_with(one)


@dataclass(frozen=True)
class ReadingGroup:
    """Readings that one person took with one instrument on one day of one phase."""

    phase: str
    day: date
    first: datetime
    last: datetime
    by: str
    hours: tuple[Decimal, Decimal] | None
    made_with: MadeWith
    rows: list[ReadingRow]
    sources: list[tuple[int, str]]
    """The documents of its limits, by the number that its rows give them."""


@dataclass(frozen=True)
class EngineReadings:
    """What was measured on one engine, or on the vessel where ``name`` says so."""

    name: str
    drawn: list[ReadingRow]
    sittings: list[ReadingGroup]


def engine_readings(readings: Sequence[ReadingFacts], system: str) -> Iterator[EngineReadings]:
    """The readings by engine, the vessel's own last."""
    numbers = count(1)
    limited = sum(1 for one in readings if has_limits(one))
    ordered = sorted(readings, key=lambda one: (one.engine == "", one.engine))
    for engine, group in groupby(ordered, key=lambda one: one.engine):
        members = list(group)
        sources: dict[str, int] = {}
        drawn, plain = [], []
        for one in members:
            if has_limits(one) and (limited <= FEW or one.verdict in {Verdict.OUT, Verdict.NEAR}):
                drawn.append(_row(one, system, strip=_strip(one, next(numbers))))
            else:
                number = sources.setdefault(one.limits_from, len(sources) + 1) if one.limits_from else None
                plain.append(_row(one, system, source=number))
        yield EngineReadings(engine or "Vessel", drawn, list(_sittings(plain)))


def has_limits(reading: ReadingFacts) -> bool:
    """Whether it was held against a limit."""
    return reading.low is not None or reading.high is not None


def _row(
    reading: ReadingFacts, system: str, *, strip: SafeString | None = None, source: int | None = None
) -> ReadingRow:
    return ReadingRow(
        reading=reading,
        shown=amount(reading.value, reading.unit, system, of=reading.parameter),
        extremes=extremes_words(reading),
        limits=band_of(reading),
        limits_said=limits_words(band_of(reading), reading.limits_from),
        says=verdict_words(reading),
        strip=strip,
        source=source,
    )


def _sittings(rows: Sequence[ReadingRow]) -> Iterator[ReadingGroup]:
    together: dict[tuple[object, ...], list[ReadingRow]] = {}
    for row in rows:
        one = row.reading
        key = (one.phase, one.at.date(), one.by, one.hours is None, row.made_with)
        together.setdefault(key, []).append(row)
    for members in sorted(together.values(), key=lambda some: min(row.reading.at for row in some)):
        one = members[0].reading
        hours = [row.reading.hours for row in members if row.reading.hours is not None]
        yield ReadingGroup(
            phase=one.phase,
            day=one.at.date(),
            first=min(row.reading.at for row in members),
            last=max(row.reading.at for row in members),
            by=one.by,
            hours=(min(hours), max(hours)) if hours else None,
            made_with=members[0].made_with,
            rows=members,
            sources=sorted({(row.source, row.reading.limits_from) for row in members if row.source}),
        )


def _strip(reading: ReadingFacts, number: int) -> SafeString:
    def plain(name: str) -> float | None:
        value = getattr(reading, name)
        return None if value is None else float(value)

    drawn = RangeStrip(
        key=f"report-strip-{number}",
        parameter=reading.parameter,
        value=float(reading.value),
        unit=reading.unit_label,
        verdict=Verdict(reading.verdict),
        low=plain("low"),
        high=plain("high"),
        minimum=plain("minimum"),
        maximum=plain("maximum"),
        nominal=plain("nominal"),
        sentence=reading.says,
        by=judged_by(reading),
        seen=OVER_LOG if is_over_log(reading) else "",
    )
    return range_strip(drawn)
