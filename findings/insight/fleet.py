"""Recurrence across the shop, code by code: counted by the database over every sighting and every episode."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db import connection

from engineering.codes import Code, CodeSystem
from engineering.recurrence import (
    EventRecord,
    HullSquares,
    HullSums,
    NotEnough,
    PooledRate,
    PowerLaw,
    TrendTest,
    away_of,
    fit_power_law,
    laplace_of_sums,
    mean_cumulative_function,
    military_handbook_test,
    pooled_rate,
)
from engineering.recurrence.events import FEWEST_FOR_A_TREND, ONE_OCCASION_H
from engineering.recurrence.held import FEWEST_HULLS
from engineering.recurrence.wording import figure
from findings.faults.history import history_from_json
from findings.faults.listed import OfCode
from findings.faults.models import Fault
from findings.insight.queries import Scope
from vessels.log.evidence import SUPERSEDED_KEYS

FEWEST_HOURS = 10
"""Away for less, and never back: no figure says anything yet (common practice, no source)."""
MOST_FAULTS = 1_000
"""What one code does over its hulls is worked out over so many faults, those last seen."""


BETWEEN = "Not told: when it came back is only known between two scans. The rate above allows for it."


@dataclass(frozen=True)
class FleetRow(OfCode):
    """One code across the shop. Hours are those that the fault was away, proven by a scan or ended by its return."""

    code: Code
    sightings: int
    hulls: int
    appearances: int
    returns: int
    away_h: Decimal
    unknown: int
    """Returns after a time away whose hours are not known: they are none of ``returns``, and no rate counts them."""
    untimed: int
    """All times away whose hours are not known, those returns among them; without such as no scan has followed."""
    trend_events: int
    trend_offset: float
    trend_variance: float
    watched: int
    """Hulls with hours away on record."""
    hours_squared: float
    spread: float
    after_h: float
    after_expected_h: float
    least_h: Decimal
    most_h: Decimal
    trend_hulls: int
    trend_squares: float
    trend_both: float
    trend_variance_squared: float
    near: int
    """Returns less than an hour away after the one before: they may be of one occasion."""
    near_reach: float
    """By how much they can move the sum of the trend, in hours."""

    @property
    def came_back(self) -> int:
        """How often it came back, at known hours or not."""
        return self.returns + self.unknown

    @cached_property
    def rate(self) -> PooledRate | None:
        """Returns per hour away, with bounds that allow that hulls differ; None without hours."""
        if self.away_h <= 0:
            return None
        return pooled_rate(
            HullSums(
                hulls=self.watched,
                events=self.returns,
                hours=float(self.away_h),
                hours_squared=self.hours_squared,
                spread=self.spread,
                after_h=self.after_h,
                after_expected_h=self.after_expected_h,
                hours_least=float(self.least_h),
                hours_most=float(self.most_h),
            )
        )

    @property
    def rate_words(self) -> str:
        """Returns per 100 h away; empty where it only came back at unknown hours."""
        if not self.came_back:
            return "none"
        if not self.returns:
            return ""
        return figure(100 * self.rate.per_hour, 2) if self.rate else ""

    @property
    def bounds_words(self) -> str:
        """The bounds of that rate; empty where the hours are too few to be worth a figure."""
        if self.rate is None or (not self.returns and (self.unknown or self.away_h < FEWEST_HOURS)):
            return ""
        low, high = self.rate.low_per_hour, self.rate.high_per_hour
        if high is None:
            return "no bounds" if low is None or not self.returns else f"at least {figure(100 * low, 2)}"
        if low is None or not self.returns:
            return f"at most {figure(100 * high, 2)}"
        return f"{figure(100 * low, 2)} to {figure(100 * high, 2)}"

    @property
    def no_rate_words(self) -> str:
        """Why there is no rate."""
        return "came back at unknown hours only" if self.unknown and not self.returns else "too few hours"

    @property
    def why_words(self) -> str:
        """Why a bound is missing, or that it is of one hull alone."""
        if self.rate is None or self.rate.why:
            return self.rate.why if self.rate else ""
        return "on one hull" if self.watched == 1 else ""

    @cached_property
    def trend(self) -> TrendTest | NotEnough:
        """Whether hulls have it come back more often the longer they have had it: Laplace's test over all of them.

        A return less than an hour after the one before may be of the same occasion (decision 0161). Each lies at most
        half of its record from the middle of it, and by so much the sum is less.
        """
        if self.trend_events - self.near < FEWEST_FOR_A_TREND or self.trend_variance <= 0:
            return NotEnough("not enough data")
        offset = math.copysign(max(0.0, abs(self.trend_offset) - self.near_reach), self.trend_offset)
        if self.trend_hulls == 1:
            return laplace_of_sums(offset, self.trend_variance, self.trend_events)
        alike = self.trend_variance**2 / self.trend_variance_squared
        if alike < FEWEST_HULLS:
            return NotEnough("too few hulls")
        each = self.trend_offset / self.trend_variance
        squares = self.trend_squares - 2 * each * self.trend_both + each**2 * self.trend_variance_squared
        over = HullSquares(self.trend_hulls, max(0.0, squares), alike)
        return laplace_of_sums(offset, self.trend_variance, self.trend_events, over)

    @property
    def trend_words(self) -> str:
        """The trend in a cell of a table."""
        if isinstance(self.trend, NotEnough):
            return self.trend.sentence
        if self.trend.strength.says_something:
            where = " (on one hull)" if self.trend_hulls == 1 else ""
            return f"seen {self.trend.leans}: {self.trend.strength}{where}"
        return str(self.trend.strength)


# The times away of one fault are its turns in order, and all of them but the last ended with a return. So
# the hours of its returns on its own clock, t = h1, h1 + h2 …, add up to the sum of h × (returns at or after it): no
# row needs to know the row before it, which takes half of the time off.
FLEET = f"""
WITH superseded AS (
    SELECT s.fault_id, count(*) AS sightings
    FROM ({SUPERSEDED_KEYS}) gone JOIN faults_sighting s ON s.scan_id = gone.id
    GROUP BY s.fault_id
), seen AS (
    SELECT fault_id, count(*) AS sightings FROM faults_sighting GROUP BY fault_id
), away AS (
    SELECT fault_id,
           count(*) FILTER (WHERE outcome = 'returned' AND outcome_hours IS NOT NULL) AS returns,
           count(*) FILTER (WHERE outcome = 'returned' AND outcome_hours IS NULL) AS unknown,
           count(*) FILTER (WHERE outcome <> 'unproven' AND outcome_hours IS NULL) AS untimed,
           coalesce(sum(outcome_hours), 0) AS hours,
           coalesce(sum(CASE WHEN outcome = 'returned' THEN coalesce(outcome_least_hours, 0)
                             ELSE outcome_hours END), 0) AS least,
           coalesce(sum(greatest(outcome_hours, outcome_most_hours)) FILTER (WHERE outcome_hours IS NOT NULL), 0)
               AS most,
           coalesce(sum(outcome_hours) FILTER (WHERE outcome = 'returned'), 0) AS last_at,
           coalesce(sum(outcome_hours * turn) FILTER (WHERE outcome = 'returned'), 0) AS weighted,
           min(turn) AS first_turn,
           count(*) FILTER (WHERE outcome = 'returned' AND outcome_hours < %(occasion)s) AS near
    FROM faults_episode
    WHERE turn IS NOT NULL AND (%(since)s::timestamptz IS NULL OR closed_at >= %(since)s)
    GROUP BY fault_id
), by_fault AS (
    SELECT fault_id, returns, unknown, untimed, hours, least, most, events,
           total - last_at AS after, total / (returns + 1) AS expected,
           CASE WHEN events > 0 THEN ats - events * total / 2 ELSE 0 END AS offsets,
           CASE WHEN events > 0 THEN events * total * total / 12 ELSE 0 END AS variance,
           least(near, events) AS near, CASE WHEN events > 0 THEN near * total / 2 ELSE 0 END AS near_reach
    FROM (
        SELECT fault_id, returns, unknown, untimed, hours, least, most, hours::float8 AS total,
               last_at::float8 AS last_at, near,
               CASE WHEN unknown = 0 THEN returns - (hours = last_at)::int ELSE 0 END AS events,
               ((returns + first_turn - (hours = last_at)::int) * last_at - weighted)::float8 AS ats
        FROM away
        OFFSET 0
    ) clocks
)
SELECT system, code,
       sum(sightings)::bigint AS sightings, count(*) AS hulls, sum(appearances)::bigint AS appearances,
       sum(returns)::bigint AS returns, sum(hours) AS hours, sum(unknown)::bigint AS unknown,
       sum(untimed)::bigint AS untimed,
       sum(events)::bigint AS events, sum(offsets) AS offsets, sum(variance) AS variance,
       count(*) FILTER (WHERE watched > 0) AS watched, sum(watched * watched) AS hours_squared,
       coalesce(sum(((returns - all_returns / all_hours * watched) / (1 - watched / all_hours)) ^ 2)
                FILTER (WHERE watched > 0 AND watched < all_hours), 0)::float8 AS spread,
       sum(after) AS after, sum(expected) AS expected, sum(least) AS least, sum(most) AS most,
       count(*) FILTER (WHERE variance > 0) AS trend_hulls, sum(offsets * offsets) AS trend_squares,
       sum(offsets * variance) AS trend_both,
       sum(variance * variance) AS trend_variance_squared,
       sum(near)::bigint AS near, sum(near_reach)::float8 AS near_reach
FROM (
    SELECT by_hull.*, sum(watched) OVER of_code AS all_hours, (sum(returns) OVER of_code)::float8 AS all_returns
    FROM (
        SELECT f.system, f.code, f.vessel_id,
               sum(seen.sightings - coalesce(u.sightings, 0)) AS sightings,
               sum(f.episodes) AS appearances,
               coalesce(sum(b.returns), 0) AS returns,
               coalesce(sum(b.hours), 0) AS hours,
               coalesce(sum(b.hours), 0)::float8 AS watched,
               coalesce(sum(b.least), 0) AS least,
               coalesce(sum(b.most), 0) AS most,
               coalesce(sum(b.after), 0) AS after,
               coalesce(sum(b.expected), 0) AS expected,
               coalesce(sum(b.unknown), 0) AS unknown,
               coalesce(sum(b.untimed), 0) AS untimed,
               coalesce(sum(b.events), 0) AS events,
               coalesce(sum(b.offsets), 0) AS offsets,
               coalesce(sum(b.variance), 0) AS variance,
               coalesce(sum(b.near), 0) AS near,
               coalesce(sum(b.near_reach), 0) AS near_reach
        FROM faults_fault f
        JOIN seen ON seen.fault_id = f.id
        LEFT JOIN superseded u ON u.fault_id = f.id
        LEFT JOIN by_fault b ON b.fault_id = f.id
        LEFT JOIN vessels_engine g ON g.id = f.engine_id
        WHERE f.state <> 'none'
          AND (%(family)s::bigint IS NULL OR g.family_id = %(family)s)
          AND (%(since)s::timestamptz IS NULL OR f.last_seen_at >= %(since)s OR b.fault_id IS NOT NULL)
          AND (%(system)s = '' OR (f.system = %(system)s AND f.code = %(code)s))
        GROUP BY f.system, f.code, f.vessel_id
    ) by_hull
    WINDOW of_code AS (PARTITION BY system, code)
) beside
GROUP BY system, code
ORDER BY sum(returns) + sum(unknown) DESC, appearances DESC, system, code
LIMIT %(most)s OFFSET %(start)s
"""  # noqa: S608  (put together from what the program says)


def fleet_recurrence(scope: Scope, start: int, most: int) -> list[FleetRow]:
    """Codes of a scope, those that came back most first; one more than ``most`` where there are more. One query.

    The clock of each fault is the one of ``engineering.recurrence.of_fault``. A fault with a return at unknown hours
    tells of no trend; nor does the return with which a record ends. With a period,
    the times away count that began in it; sightings and appearances are counted over all time.
    """
    asked = {
        "family": scope.family_id,
        "since": scope.since,
        "system": scope.code.system.value if scope.code else "",
        "code": scope.code.text if scope.code else "",
        "occasion": ONE_OCCASION_H,
        "most": most + 1,
        "start": start,
    }
    with connection.cursor() as cursor:
        cursor.execute(FLEET, asked)
        return [_fleet_row(row) for row in cursor.fetchall()]


def _fleet_row(row: Sequence[Any]) -> FleetRow:
    system, text, *counted = row
    return FleetRow(Code(CodeSystem(system), text), *counted)


@dataclass(frozen=True)
class CodeRecurrence:
    """One code over its hulls: each hull's record, and what they say together."""

    answers: Sequence[tuple[str, str]]
    """What was asked, and the answer."""
    faults: int
    unusable: int
    """Faults whose hours away are not known, or that have not been away yet."""
    are_more: bool


def code_recurrence(scope: Scope) -> CodeRecurrence:
    """The mean count, the tests and the fit over the hulls that had one code. One query; ``scope.code`` is given."""
    faults = (
        Fault.objects.filter(scope.of_faults())
        .exclude(state="none")
        .order_by("-last_seen_at", "pk")
        .values_list("history", "vessel_id")
    )
    records: list[EventRecord] = []
    others: list[list[EventRecord]] = [[], []]
    are_narrow = True
    rows = list(faults[: MOST_FAULTS + 1])
    for stored, hull in rows[:MOST_FAULTS]:
        away = away_of(history_from_json(stored))
        record = away.record()
        if record is None:
            continue
        records.append(replace(record, hull=hull))
        are_narrow = are_narrow and away.is_narrow
        for kept, extreme in zip(others, away.halves(), strict=True):
            kept.append(replace(extreme, hull=hull))
    answers = [
        ("How often on one engine", mean_cumulative_function(records).sentence if are_narrow else BETWEEN),
        ("More often? (MIL-HDBK-189 test)", _more_often(records, others)),
        ("How fast (power law, one shape for all hulls)", _how_fast(records, are_narrow=are_narrow)),
    ]
    counted = min(len(rows), MOST_FAULTS)
    return CodeRecurrence(answers, counted, counted - len(records), len(rows) > MOST_FAULTS)


def _more_often(records: Sequence[EventRecord], others: Sequence[Sequence[EventRecord]]) -> str:
    """What the test says; where other hours that the scans allow say otherwise, of what was seen only."""
    seen = military_handbook_test(records)
    if isinstance(seen, NotEnough):
        return seen.sentence
    told = [military_handbook_test(other) for other in others]
    agree = all(isinstance(one, TrendTest) and one.direction is seen.direction for one in told)
    return seen.sentence if agree else seen.seen_sentence


def _how_fast(records: Sequence[EventRecord], *, are_narrow: bool) -> str:
    fit = fit_power_law(records)
    if not isinstance(fit, PowerLaw):
        return fit.sentence
    return fit.shape_sentence if are_narrow else BETWEEN
