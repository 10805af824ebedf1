"""How long repairs hold: the curve of a scope, and codes and families beside each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from typing import Literal

from django.db import connection
from django.db.models import Count

from engineering.codes import Code, CodeSystem, explain
from engineering.hours import hours_words
from engineering.recurrence import FEWEST_AT_RISK, Held, HoldingCurve, NotEnough, fit_weibull, holding_curve
from findings.drawing.charts import HoldingPicture, Step
from findings.faults.listed import code_key, code_label
from findings.insight.queries import Scope, repairs_in
from vessels.models import EngineFamily

MOST_GROUPS = 12


@dataclass(frozen=True)
class HoldingSeen:
    """The curve of a scope for a page. ``picture`` is None where the record is too thin for one."""

    sentence: str
    picture: HoldingPicture | None
    shares: Sequence[tuple[float, str, str, int]]
    """Hours, share still holding, its bounds, how many were followed further: the picture as a table."""
    wear: str = ""
    """Whether they fail early or wear out, where enough came back to say."""


def holding_seen(scope: Scope, hold_hours: Decimal) -> HoldingSeen:
    """How the repairs of a scope hold, whatever came of them: one query.

    One that no scan has followed counts from zero hours: left out, those that came back would look like most.
    """
    rows = (
        repairs_in(Scope(scope.family_id, scope.since, scope.code))
        .order_by()
        .values_list("outcome_hours", "outcome_least_hours", "outcome", "fault__vessel")
        .annotate(repairs=Count("pk"))
    )
    held = [
        Held(float(hours or 0), outcome == "returned", count, hull, float(least or 0))
        for hours, least, outcome, hull, count in rows
        if is_placed(outcome, hours)
    ]
    unplaced = sum(count for hours, _, outcome, _, count in rows if not is_placed(outcome, hours))
    curve = holding_curve(held, fewest_at_risk=FEWEST_AT_RISK)
    if isinstance(curve, NotEnough):
        return HoldingSeen(f"{curve.sentence}{left_out(unplaced)}", None, ())
    sentence = f"{curve.sentence}{left_out(unplaced)}"
    start = curve.before_any_return
    picture = HoldingPicture(
        key="holding",
        sentence=f"Share of repairs still holding, over hours since the repair. {sentence}",
        steps=[
            Step(one.hours, one.most, one.low, one.high, one.least)
            for one in (start, *(point for point in curve.points if point.hours > 0))
        ],
        longest=curve.longest_h,
        median=curve.median_h,
    )
    law = fit_weibull(held)
    wear = "" if isinstance(law, NotEnough) else law.sentence
    return HoldingSeen(sentence, picture, _shares(curve, held, float(hold_hours)), wear)


def is_placed(outcome: str, hours: Decimal | None) -> bool:
    """Whether a repair has a place on a curve: one that came back at hours nobody read has none."""
    return hours is not None or outcome != "returned"


def left_out(repairs: int) -> str:
    """What to say of repairs that came back and have no place on the curve, which flatters without them."""
    if not repairs:
        return ""
    those = "One more repair" if repairs == 1 else f"{repairs:,} more repairs"
    return f" {those} came back at hours that nobody read: without {'it' if repairs == 1 else 'them'} this flatters."


def _shares(curve: HoldingCurve, held: Sequence[Held], hold_hours: float) -> list[tuple[float, str, str, int]]:
    """The share at a few hours: fractions and multiples of the shop's hold, as far as the record goes."""
    told = []
    for hours in (hold_hours / 2, hold_hours, 2 * hold_hours, 4 * hold_hours, 8 * hold_hours):
        point = curve.at(hours)
        if point is not None:
            followed = sum(one.repairs for one in held if one.hours >= hours)
            told.append((hours, point.words, point.bounds_words, followed))
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
WITH cured AS (
    SELECT CASE WHEN %(by)s = 'code' THEN f.system || ':' || f.code ELSE coalesce(g.family_id::text, '') END AS grp,
           e.id, e.work_id, e.outcome, e.outcome_hours, e.outcome_least_hours,
           f.vessel_id
    FROM faults_episode e
    JOIN faults_fault f ON f.id = e.fault_id
    LEFT JOIN vessels_engine g ON g.id = f.engine_id
    WHERE e.is_repair
      AND (%(family)s::bigint IS NULL OR g.family_id = %(family)s)
      AND (%(since)s::timestamptz IS NULL OR e.closed_at >= %(since)s)
      AND (%(system)s = '' OR (f.system = %(system)s AND f.code = %(code)s))
), repairs AS (
    SELECT DISTINCT ON (grp, work_id) grp, vessel_id, outcome = 'returned' AS back, outcome_hours AS hours,
           CASE WHEN outcome = 'returned' THEN coalesce(outcome_least_hours, 0) END AS least
    FROM cured
    ORDER BY grp, work_id, CASE outcome WHEN 'returned' THEN 0 WHEN 'held' THEN 2 ELSE 1 END,
             coalesce(outcome_hours, CASE outcome WHEN 'returned' THEN 1e9 ELSE -1 END), id
), known AS (
    SELECT grp, vessel_id, back, CASE WHEN back THEN hours ELSE coalesce(hours, 0) END AS hours, least,
           count(*) OVER (PARTITION BY grp) AS many
    FROM repairs
), ranked AS (
    SELECT *, dense_rank() OVER (ORDER BY many DESC, grp) AS place FROM known
)
SELECT grp, vessel_id, hours::float8, least::float8, back, count(*) FROM ranked WHERE place <= %(most)s
GROUP BY place, grp, vessel_id, hours, least, back ORDER BY place
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
        "most": MOST_GROUPS,
    }
    with connection.cursor() as cursor:
        cursor.execute(_GROUPS, asked)
        rows = cursor.fetchall()
    names = {str(family.pk): str(family) for family in families}
    return [
        _group(
            key,
            [(hours, Held(hours or 0, back, many, hull, least)) for _, hull, hours, least, back, many in members],
            by,
            hold_hours,
            names,
        )
        for key, members in groupby(rows, key=lambda row: row[0])
    ]


def _group(
    key: str, rows: Sequence[tuple[float | None, Held]], by: str, hold_hours: Decimal, names: dict[str, str]
) -> HoldingGroup:
    held = [one for hours, one in rows if hours is not None]
    label, meaning, kept = names.get(key, "no family"), "", key
    if by == "code":
        system, _, text = key.partition(":")
        code = Code(CodeSystem(system), text)
        label, meaning, kept = code_label(code), explain(code).title, code_key(code)
    # Those that came back at hours nobody read belong on the curve and have no place there: without them it flatters.
    is_whole = len(held) == len(rows)
    curve = holding_curve(held, fewest_at_risk=FEWEST_AT_RISK) if is_whole else NotEnough("")
    point = None if isinstance(curve, NotEnough) else curve.at(float(hold_hours))
    median = None if isinstance(curve, NotEnough) or point is None else curve.median_h
    return HoldingGroup(
        key=kept,
        label=label,
        meaning=meaning,
        repairs=sum(one.repairs for _, one in rows),
        came_back=sum(one.repairs for _, one in rows if one.came_back),
        share="" if point is None else point.words,
        bounds="" if point is None else point.bounds_words,
        median_h=None if median is None else Decimal(str(median)),
        median_bounds="" if median is None or isinstance(curve, NotEnough) else _median_words(curve),
    )


def _median_words(curve: HoldingCurve) -> str:
    """Where the half lies, 95 % sure."""
    low, high = (
        None if bound is None else hours_words(Decimal(str(bound)))
        for bound in (curve.median_low_h, curve.median_high_h)
    )
    return f"{low or 'any time'} to {high or 'no end yet'}"
