"""From a compression set to its words: what no such engine has, the sentence, the rule and the table."""

from __future__ import annotations

from collections.abc import Sequence

from engineering.amounts import AmountProblem
from engineering.mechanical import (
    CompressionSet,
    name_cylinders,
)
from findings.bench.judged import Judged
from findings.bench.tool import (
    Band,
    Column,
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


def compression_sentence(given: Given, judged: CompressionSet, lowest: Judged) -> str:
    """The answer in one sentence."""
    if judged.odd_high is not None and not judged.low:
        high = given.show(judged.highest_kpa, "kPa", like="dry", significant=4)
        return f"Cylinder {judged.odd_high} stands far above the others: {high}; their lowest is {lowest.shown}."
    by_least = [cylinder for cylinder in judged.cylinders if cylinder.below_least]
    if len(judged.cylinders) == _NOBODY_CAN_SAY and len(judged.low) == _NOBODY_CAN_SAY - 1 and not by_least:
        return f"The cylinders are uneven: the lowest is {lowest.shown}, and the highest asks for {lowest.low}."
    if judged.low:
        verb = "is" if len(judged.low) == 1 else "are"
        return f"{name_cylinders(judged.low).capitalize()} {verb} too low: at least {lowest.low} was asked for."
    if not judged.passes:
        too_high = [cylinder.number for cylinder in judged.cylinders if cylinder.above_most]
        verb = "is" if len(too_high) == 1 else "are"
        return f"{name_cylinders(too_high).capitalize()} {verb} higher than the manual allows."
    limits = given.band("limits")
    if limits is None or limits.low is None:
        return f"The cylinders are even: the lowest is {lowest.shown}, and the highest asks for {lowest.low}."
    return f"Every cylinder meets the rule: at least {lowest.low} was asked for."


def rule_source(limits: Band | None, share: Band | None, highest_kpa: float) -> str:
    """Which document the lowest allowed compression is from: that of the stricter rule."""
    by_share = (share.low or 0) / 100 * highest_kpa if share is not None else 0
    by_limit = (limits.low or 0) if limits is not None else 0
    if share is not None and by_share >= by_limit:
        return f"the share of the highest cylinder {_told(share)}"
    return f"the least compression {_told(limits)}"


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
