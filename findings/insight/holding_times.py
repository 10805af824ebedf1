"""How long repairs hold: the curve of a scope, and codes and families beside each other, summed by the database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from django.db import connection
from django.db.models import Count

from engineering.codes import Code, CodeStatus, CodeSystem, explain
from engineering.hours import hours_words
from engineering.recurrence import (
    FEWEST_REPAIRS,
    FEWEST_RETURNS,
    Held,
    HoldingCurve,
    NotEnough,
    all_held_bound,
    holding_curve,
    share_bounds,
)
from findings.drawing.charts import HoldingPicture, Step
from findings.faults.capture import ListedCode, code_key
from findings.insight.queries import Scope, repairs_in
from vessels.models import EngineFamily

MOST_STEPS = 240
"""A curve has no more steps than the paper has room for."""
MOST_GROUPS = 12
Z = 1.959963984540054
"""For bounds that are 95 % sure."""


@dataclass(frozen=True)
class HoldingSeen:
    """The curve of a scope for a page. ``picture`` is None where the record is too thin for one."""

    sentence: str
    picture: HoldingPicture | None
    shares: Sequence[tuple[float, str, str]]
    """Hours, share still holding, its bounds: the picture as a table."""


def holding_seen(scope: Scope, hold_hours: Decimal) -> HoldingSeen:
    """How the repairs of a scope hold, whatever came of them: one query."""
    rows = (
        repairs_in(Scope(scope.family_id, scope.since, scope.code))
        .filter(outcome_hours__isnull=False)
        .order_by()
        .values_list("outcome_hours", "outcome")
        .annotate(repairs=Count("pk"))
    )
    curve = holding_curve(Held(float(hours), outcome == "returned", count) for hours, outcome, count in rows)
    if isinstance(curve, NotEnough):
        return HoldingSeen(curve.sentence, None, ())
    start = curve.before_any_return
    picture = HoldingPicture(
        key="holding",
        sentence=f"Share of repairs still holding, over hours since the repair. {curve.sentence}",
        steps=[Step(0.0, start.share, start.low, start.high), *_few_steps(curve)],
        longest=curve.longest_h,
        median=curve.median_h,
    )
    return HoldingSeen(curve.sentence, picture, _shares(curve, float(hold_hours)))


def _few_steps(curve: HoldingCurve) -> list[Step]:
    """The steps of a curve; of those that would fall on one place of the paper, the last."""
    places = {int(point.hours / max(curve.longest_h, 1) * MOST_STEPS): point for point in curve.points}
    return [Step(point.hours, point.share, point.low, point.high) for point in places.values()]


def _shares(curve: HoldingCurve, hold_hours: float) -> list[tuple[float, str, str]]:
    """The share at a few hours: fractions and multiples of the shop's hold, as far as the record goes."""
    told = []
    for hours in (hold_hours / 2, hold_hours, 2 * hold_hours, 4 * hold_hours, 8 * hold_hours):
        point = curve.at(hours)
        if point is not None:
            told.append((hours, f"{point.share:.0%}", f"{point.low:.0%} to {point.high:.0%}"))
    return told


@dataclass(frozen=True)
class HoldingGroup:
    """The repairs of one code or of one family. Shares are percentages in words; empty where nothing can be told."""

    key: str
    label: str
    meaning: str
    repairs: int
    came_back: int
    share: str
    bounds: str
    median_h: Decimal | None
    median_bounds: str


_GROUPS = """
WITH held AS (
    SELECT CASE WHEN %(by)s = 'code' THEN f.system || ':' || f.code ELSE coalesce(g.family_id::text, '') END AS grp,
           e.outcome_hours AS hours,
           count(*) AS gone,
           count(*) FILTER (WHERE e.outcome = 'returned') AS back
    FROM findings_episode e
    JOIN findings_fault f ON f.id = e.fault_id
    LEFT JOIN vessels_engine g ON g.id = f.engine_id
    WHERE e.is_repair AND e.outcome_hours IS NOT NULL
      AND (%(family)s::bigint IS NULL OR g.family_id = %(family)s)
      AND (%(since)s::timestamptz IS NULL OR e.closed_at >= %(since)s)
      AND (%(system)s = '' OR (f.system = %(system)s AND f.code = %(code)s))
    GROUP BY grp, hours
), risk AS (
    SELECT *, (sum(gone) OVER (PARTITION BY grp ORDER BY hours DESC))::float8 AS at_risk FROM held
), steps AS (
    SELECT *, ln(greatest(1 - back / at_risk, 1e-300)) AS falls,
           CASE WHEN at_risk > back THEN back / (at_risk * (at_risk - back)) ELSE 0 END AS spread
    FROM risk
), sums AS (
    SELECT *, sum(falls) OVER (PARTITION BY grp ORDER BY hours) AS fallen,
           sum(spread) OVER (PARTITION BY grp ORDER BY hours) AS spreads
    FROM steps
), curve AS (
    SELECT *, fallen <= ln(0.5) + 1e-12 AS is_half,
           fallen < 0 AND fallen * exp(%(z)s * sqrt(spreads) / -nullif(fallen, 0)) <= ln(0.5) AS low_is_half,
           fallen < 0 AND fallen * exp(-%(z)s * sqrt(spreads) / -nullif(fallen, 0)) <= ln(0.5) AS high_is_half
    FROM sums
)
SELECT grp, sum(gone)::bigint, sum(back)::bigint, max(hours),
       exp(coalesce(sum(falls) FILTER (WHERE hours <= %(hold)s), 0)),
       coalesce(sum(spread) FILTER (WHERE hours <= %(hold)s), 0),
       coalesce(sum(gone) FILTER (WHERE hours >= %(hold)s), 0)::bigint,
       min(hours) FILTER (WHERE is_half), min(hours) FILTER (WHERE low_is_half), min(hours) FILTER (WHERE high_is_half)
FROM curve GROUP BY grp ORDER BY 2 DESC, 1 LIMIT %(most)s
"""


def holding_groups(
    scope: Scope, by: Literal["code", "family"], hold_hours: Decimal, families: Sequence[EngineFamily]
) -> list[HoldingGroup]:
    """The codes or the families with the most repairs, and how many still hold at the shop's hold: one query."""
    asked = {
        "by": by,
        "family": scope.family_id,
        "since": scope.since,
        "system": scope.code.system.value if scope.code else "",
        "code": scope.code.text if scope.code else "",
        "hold": hold_hours,
        "z": Z,
        "most": MOST_GROUPS,
    }
    with connection.cursor() as cursor:
        cursor.execute(_GROUPS, asked)
        rows = cursor.fetchall()
    names = {str(family.pk): str(family) for family in families}
    return [_group(row, by, hold_hours, names) for row in rows]


def _group(row: Sequence[Any], by: str, hold_hours: Decimal, names: dict[str, str]) -> HoldingGroup:
    key, repairs, came_back, longest, share, greenwood, at_risk, median, median_low, median_high = row
    label, meaning, kept = names.get(key, "no family"), "", key
    if by == "code":
        system, _, text = key.partition(":")
        code = Code(CodeSystem(system), text)
        label, meaning, kept = ListedCode(code, CodeStatus.ACTIVE).label, explain(code).title, code_key(code)
    is_enough = repairs >= FEWEST_REPAIRS and came_back >= FEWEST_RETURNS and longest >= hold_hours
    low, high = share_bounds(share if share > 1e-290 else 0.0, greenwood)
    if share >= 1:
        low = all_held_bound(at_risk)
    return HoldingGroup(
        key=kept,
        label=label,
        meaning=meaning,
        repairs=repairs,
        came_back=came_back,
        share=f"{share:.0%}" if is_enough else "",
        bounds=f"{low:.0%} to {high:.0%}" if is_enough else "",
        median_h=median if is_enough else None,
        median_bounds=_median_words(median_low, median_high) if is_enough and median is not None else "",
    )


def _median_words(low: Decimal | None, high: Decimal | None) -> str:
    """Where the half lies, 95 % sure."""
    return f"{'any time' if low is None else hours_words(low)} to {'no end yet' if high is None else hours_words(high)}"
