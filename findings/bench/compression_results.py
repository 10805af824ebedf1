"""From a compression set to its words: what no such engine has, the sentence, the rule and the table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from engineering.amounts import AmountProblem
from engineering.mechanical import (
    CompressionSet,
    Cylinder,
    name_cylinders,
)
from findings.bench.tool import (
    Band,
    Column,
    Figure,
    Given,
    Table,
)

GASOLINE, DIESEL = "gasoline", "diesel"

_MOST_GASOLINE_KPA = 2500.0
"""About 360 psi. Common practice, no source."""

_LEAST_DIESEL_KPA = 1400.0
"""About 200 psi: no diesel starts below. Common practice, no source."""

_NOBODY_CAN_SAY = 3
"""Of three cylinders two may be low, or one high."""

_LOW_FOR_GASOLINE_KPA = 620.0
"""About 90 psi. Common practice, no source."""


def refuse_what_no_such_engine_has(
    rows: Sequence[tuple[float | None, ...]], limits: Band | None, *, is_diesel: bool
) -> None:
    """Refuse oil in a diesel, a gasoline engine's limits for one, and pressures of the other kind of engine."""
    for number, (dry, wet) in enumerate(rows, 1):
        if is_diesel and wet is not None:
            raise AmountProblem(
                f"Cylinder {number}: no oil is put into a diesel: it can lock the piston, and start the engine on it. "
                "Leave this empty, and test for leak-down instead.",
                field="dry_kpa",
                row=number,
            )
        if not is_diesel and (dry or 0) > _MOST_GASOLINE_KPA:
            raise AmountProblem(
                f"Cylinder {number}: no gasoline engine has so much compression. Choose diesel, or check the unit.",
                field="dry_kpa",
                row=number,
            )
    if is_diesel and limits is not None and limits.low is not None and limits.low < _LEAST_DIESEL_KPA:
        raise AmountProblem(
            "That is no diesel's least compression. Enter the manual's for this engine.", field="least_kpa"
        )


def all_low(given: Given, judged: CompressionSet, *, has_least: bool) -> list[str]:
    """What to say of a set that is even, and low as a whole."""
    low_kpa = _LEAST_DIESEL_KPA if given.choice("fuel") == DIESEL else _LOW_FOR_GASOLINE_KPA
    if has_least or judged.highest_kpa >= low_kpa:
        return []
    low = given.show(low_kpa, "kPa", like="dry", significant=2)
    return [
        f"All are below {low}, which is low for any such engine: check that the throttle was wide open, the cranking "
        "speed, the gauge and the valve timing, and repeat."
    ]


_LEAST = "the least compression"


@dataclass(frozen=True)
class ToLog:
    """The one reading of a set that stands for it: that which broke a limit, with the limit it broke."""

    main: Figure
    other: Figure
    band: Band
    which: str


def figure_to_log(judged: CompressionSet, limits: Band | None, share: Band | None) -> ToLog:
    """The lowest cylinder against the least that was asked for; the highest where only too much is what is wrong."""
    lowest = min(judged.cylinders, key=lambda one: one.dry_kpa)
    highest = max(judged.cylinders, key=lambda one: one.dry_kpa)
    low_figure, high_figure = _figure("Lowest cylinder", lowest), _figure("Highest cylinder", highest)
    count = len(judged.cylinders)
    if judged.passes or judged.low:
        source = rule_source(limits, share, judged.highest_kpa)
        rule = limits if source.startswith(_LEAST) else share
        judged_by = rule.judged_by if rule is not None else None
        band = Band(judged.lowest_allowed_kpa, None, "kPa", source=source, judged_by=judged_by)
        if limits is not None and rule is limits:
            band = replace(band, typed=limits.typed, typed_unit=limits.typed_unit)
        return ToLog(low_figure, high_figure, band, f"lowest of {count}" if count > 1 else "")
    which = f"cylinder {highest.number}, highest of {count}" if count > 1 else ""
    if highest.above_most and limits is not None:
        source = f"the most compression {_told(limits)}"
        band = Band(None, limits.high, "kPa", source=source, judged_by=limits.judged_by)
        band = replace(band, typed=limits.typed, typed_unit=limits.typed_unit)
    else:
        others_kpa = max(one.dry_kpa for one in judged.cylinders if one is not highest)
        most_kpa = others_kpa * 100 / (share.low or 100) if share is not None else others_kpa
        source = "as the share of the highest cylinder allows it beside the others"
        band = Band(None, most_kpa, "kPa", source=source, judged_by=share.judged_by if share is not None else None)
    return ToLog(high_figure, low_figure, band, which)


def _figure(label: str, cylinder: Cylinder) -> Figure:
    """A cylinder's dry reading as it was typed."""
    entered = f"readings-{cylinder.number - 1}-dry"
    return Figure(label, cylinder.dry_kpa, "kPa", like="dry", entered=entered)


def compression_sentence(given: Given, judged: CompressionSet, logged: ToLog) -> str:
    """The answer in one sentence."""
    lowest = given.judge(logged.main, logged.band)
    if not judged.passes and not judged.low:
        return _too_high_sentence(given, judged, logged)
    by_least = [cylinder for cylinder in judged.cylinders if cylinder.below_least]
    if len(judged.cylinders) == _NOBODY_CAN_SAY and len(judged.low) == _NOBODY_CAN_SAY - 1 and not by_least:
        return f"The cylinders are uneven: the lowest is {lowest.shown}, and the highest asks for {lowest.low}."
    if judged.low:
        verb = "is" if len(judged.low) == 1 else "are"
        high = f"; {_too_high(judged)}" if any(one.above_most for one in judged.cylinders) else ""
        return f"{name_cylinders(judged.low).capitalize()} {verb} too low: at least {lowest.low} was asked for{high}."
    limits = given.band("limits")
    if limits is None or limits.low is None:
        return f"The cylinders are even: the lowest is {lowest.shown}, and the highest asks for {lowest.low}."
    return f"Every cylinder meets the rule: at least {lowest.low} was asked for."


def _too_high(judged: CompressionSet) -> str:
    """The cylinders above the most that the manual allows: "cylinder 6 is higher than the manual allows"."""
    too_high = [cylinder.number for cylinder in judged.cylinders if cylinder.above_most]
    return f"{name_cylinders(too_high)} {'is' if len(too_high) == 1 else 'are'} higher than the manual allows"


def _too_high_sentence(given: Given, judged: CompressionSet, logged: ToLog) -> str:
    """The answer where no cylinder is too low, and one or more are too high."""
    highest = given.judge(logged.main, logged.band)
    if not any(cylinder.above_most for cylinder in judged.cylinders):
        lowest = given.show(logged.other.value, "kPa", like="dry", entered=logged.other.entered)
        return f"Cylinder {judged.odd_high} stands far above the others: {highest.shown}; their lowest is {lowest}."
    said = _too_high(judged)
    which = f", the highest at {highest.shown}" if said.startswith("cylinders") else f": {highest.shown}"
    return f"{said[0].upper()}{said[1:]}{which}, at most {highest.high}."


def rule_source(limits: Band | None, share: Band | None, highest_kpa: float) -> str:
    """Which document the lowest allowed compression is from: that of the stricter rule."""
    by_share = (share.low or 0) / 100 * highest_kpa if share is not None else 0
    by_limit = (limits.low or 0) if limits is not None else 0
    if share is not None and by_share >= by_limit:
        return f"the share of the highest cylinder {_told(share)}"
    return f"{_LEAST} {_told(limits)}"


def _told(band: Band | None) -> str:
    """Where a limit is from, after its name."""
    if band is None or band.source.startswith("as "):
        return band.source if band is not None else "as typed"
    return f"of {band.source}"


def compression_table(judged: CompressionSet) -> Table:
    """Every cylinder; the column of wet readings only where there are any, so that the table fits a phone."""
    wet = (
        [Column("With oil", "kPa", significant=6, like="dry")]
        if any(one.wet_kpa is not None for one in judged.cylinders)
        else []
    )
    rows: list[list[float | str | None]] = []
    for cylinder in judged.cylinders:
        is_high = cylinder.above_most or cylinder.is_odd_high
        standing = "low" if cylinder.is_low else "high" if is_high else "passes"
        with_oil = [cylinder.wet_kpa] if wet else []
        rows.append([str(cylinder.number), cylinder.dry_kpa, *with_oil, standing, 100 * cylinder.share])
    columns = (Column("Cylinder"), Column("Dry", "kPa", significant=6, like="dry"), *wet, Column("Standing"))
    return Table("Cylinder by cylinder", (*columns, Column("Of the highest", "%", decimals=1)), rows)
