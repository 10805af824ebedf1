"""Recurrence across the shop over a million sightings, against a pandas group-by that says the same.

``python -m benchmarks.fleet SIGHTINGS ROUNDS`` fills the empty database that ``DATABASE_URL`` names, measures, holds
the two answers against each other, and says the figures as JSON.
"""

from __future__ import annotations

import io
import json
import os
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from benchmarks.ground import set_up_django

if TYPE_CHECKING:
    import pandas as pd  # type: ignore[import-untyped]

UNITS_OF = 100
"""A unit has so many scans, each with one code: of five codes, each is seen in 20 scans, four to an episode."""
PANDAS_GOAL, COUNT_GOAL = 3.0, 2.0

# What the query reads: engines, faults, a million scans in the log and their sightings, and the episodes. Made by the
# database itself, with the keys checked by nobody; one scan in 500 was replaced by another. Times away are of 0.1 to
# 200 hours by a fixed mix of digits, so that every run has the same.
FILLING = [
    "SET session_replication_role = replica",
    """
    INSERT INTO vessels_engine (id, position, maker, model, serial, fuel, power_unit, propeller, version, vessel_id)
    SELECT u, 'single', 'Thole', 'T6', '', '', 'hp', '', 1, u FROM generate_series(1, %(units)s) u
    """,
    """
    INSERT INTO faults_fault (id, system, code, state, status_now, is_open, episodes, returns, last_seen_at, history,
                                unit_id, vessel_id, engine_id)
    SELECT (u - 1) * 5 + slot, 'spn', 91 + (u * 3 + slot) %% 40 || '-3', 'cleared', '', false, 5, 4,
           timestamptz '2026-01-01', '{}', u, u, u
    FROM generate_series(1, %(units)s) u, generate_series(1, 5) slot
    """,
    """
    INSERT INTO vessels_logentry (id, kind, happened_at, recorded_at, engine_hours, summary, text, position, digest,
                                  author_id, vessel_id, engine_id, amends_id)
    SELECT lpad(to_hex(n), 32, '0')::uuid, 'scan', at, at, n %% 100 * 25, 'Scan of the unit.', '',
           n %% 100 + 1, '', 1, n / 100 + 1, n / 100 + 1,
           CASE WHEN n %% 500 = 1 THEN lpad(to_hex(n - 1), 32, '0')::uuid END
    FROM (SELECT n, timestamptz '2018-01-01' + n %% 100 * interval '29 days' + n / 100 * interval '1 minute' AS at
          FROM generate_series(0, %(sightings)s - 1) n) scans
    """,
    """
    INSERT INTO faults_sighting (id, system, code, status, fault_id, scan_id)
    SELECT n + 1, f.system, f.code, 'active', f.id, lpad(to_hex(n), 32, '0')::uuid
    FROM generate_series(0, %(sightings)s - 1) n JOIN faults_fault f ON f.id = n / 100 * 5 + n %% 5 + 1
    """,
    """
    INSERT INTO faults_episode (id, number, turn, opened_at, closed_at, is_repair, is_comeback, may_be_comeback,
                                  outcome, outcome_hours, outcome_least_hours, outcome_most_hours, opening_id, fault_id)
    SELECT (f.id - 1) * 5 + k, k, k, timestamptz '2018-01-01' + k * interval '500 days',
           timestamptz '2018-02-01' + k * interval '500 days', true, false, false,
           CASE WHEN k < 5 THEN 'returned' WHEN f.id %% 3 = 0 THEN 'held' ELSE 'unproven' END,
           CASE WHEN k < 5 OR f.id %% 3 = 0 THEN ((f.id * 7919 + k * 104729) %% 1999 + 1) / 10.0 END,
           CASE WHEN k < 5 THEN 0 WHEN f.id %% 3 = 0 THEN ((f.id * 7919 + k * 104729) %% 1999 + 1) / 10.0 END,
           CASE WHEN k < 5 OR f.id %% 3 = 0 THEN ((f.id * 7919 + k * 104729) %% 1999 + 1) / 10.0 END,
           lpad(to_hex((f.id - 1) / 5 * 100 + (f.id - 1) %% 5 + (k - 1) * 20), 32, '0')::uuid, f.id
    FROM faults_fault f, generate_series(1, 5) k
    """,
    "SET session_replication_role = origin",
]

TABLES = {
    "sightings": "SELECT fault_id, scan_id FROM faults_sighting",
    "superseded": """
        SELECT DISTINCT one.amends_id AS scan_id
        FROM vessels_logentry one
        JOIN vessels_logentry other ON other.id = one.amends_id
        WHERE one.kind = 'retraction' OR (one.kind = other.kind AND one.kind <> 'note')
    """,
    "episodes": "SELECT fault_id, number, outcome, outcome_hours AS hours FROM faults_episode"
    " WHERE closed_at IS NOT NULL",
    "faults": "SELECT id AS fault_id, system, code, vessel_id, episodes FROM faults_fault WHERE state <> 'none'",
}


@dataclass(frozen=True)
class Figures:
    """Median seconds of each, and how much there was."""

    ours: float
    count: float
    read_and_grouped: float
    grouped: float
    sightings: int
    episodes: int
    codes: int


def fill(sightings: int) -> None:
    """Tables, and what the query reads."""
    from django.db import connection

    from shopfloor.readiness import make_tables

    make_tables()
    with connection.cursor() as cursor:
        for sentence in FILLING:
            cursor.execute(sentence, {"sightings": sightings, "units": sightings // UNITS_OF})
        cursor.execute("VACUUM ANALYZE")


def count() -> int:
    """A sequential count of the sightings: what any look at all of them costs at least."""
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SET enable_indexonlyscan = off")
        cursor.execute("SELECT count(*) FROM faults_sighting")
        (rows,) = cursor.fetchone()
        cursor.execute("RESET enable_indexonlyscan")
    return int(rows)


def read() -> dict[str, pd.DataFrame]:
    """The tables as pandas reads them quickest: COPY as CSV."""
    import pandas as pd
    from django.db import connection

    connection.ensure_connection()
    tables = {}
    for name, sentence in TABLES.items():
        text = io.BytesIO()
        with connection.connection.cursor().copy(f"COPY ({sentence}) TO STDOUT (FORMAT csv, HEADER)") as copy:
            for part in copy:
                text.write(part)
        text.seek(0)
        tables[name] = pd.read_csv(text)
    return tables


def group(tables: dict[str, pd.DataFrame]) -> pd.DataFrame:
    """The same figures as ``findings.insight.fleet`` has, by pandas."""
    sightings, away = tables["sightings"], tables["episodes"].sort_values(["fault_id", "number"])
    seen = sightings[~sightings["scan_id"].isin(tables["superseded"]["scan_id"])].groupby("fault_id").size()
    by_fault = away.groupby("fault_id")["hours"]
    at, total = by_fault.cumsum(), by_fault.transform("sum")
    came_back = away["outcome"] == "returned"
    unknown = came_back & away["hours"].isna()
    untold = unknown.groupby(away["fault_id"]).transform("any")
    tells = came_back & (at < total) & ~untold
    away = away.assign(
        returns=came_back & away["hours"].notna(),
        unknown=unknown,
        events=tells,
        offsets=(at - total / 2).where(tells, 0.0),
        variance=(total * total / 12).where(tells, 0.0),
    )
    sums = away.groupby("fault_id")[["returns", "hours", "unknown", "events", "offsets", "variance"]].sum()
    faults = tables["faults"].set_index("fault_id").assign(sightings=seen).dropna(subset="sightings").join(sums)
    by_code = faults.groupby(["system", "code"])
    answer = by_code[["sightings", "episodes", "returns", "hours", "unknown", "events", "offsets", "variance"]].sum()
    return answer.assign(hulls=by_code["vessel_id"].nunique()).sort_values(["returns", "episodes"], ascending=False)


def ours() -> Sequence[Any]:
    """The rows that the page shows, every code of them."""
    from findings.insight.fleet import fleet_recurrence
    from findings.insight.queries import Scope

    return fleet_recurrence(Scope(), 0, 10_000)


def differences(rows: Sequence[Any], grouped: pd.DataFrame) -> list[str]:
    """Where the two answers differ; nothing, when they say the same."""
    wrong = [] if len(rows) == len(grouped) else [f"{len(rows)} codes against {len(grouped)}"]
    for row in rows:
        theirs = grouped.loc[(row.code.system.value, row.code.text)]
        pairs = {
            "sightings": row.sightings, "hulls": row.hulls, "episodes": row.appearances, "returns": row.returns,
            "hours": float(row.away_h), "unknown": row.unknown, "events": row.trend_events,
            "offsets": row.trend_offset, "variance": row.trend_variance,
        }  # fmt: skip
        wrong += [
            f"{row.label}: {name} {ours} against {theirs[name]}"
            for name, ours in pairs.items()
            if abs(ours - theirs[name]) > 1e-6 * max(1.0, abs(ours))
        ]
    return wrong


def measure(rounds: int) -> Figures:
    """Each in turns, so that a busy moment of the machine falls on all; medians, after one round of warming."""
    tables = read()
    works: list[Callable[[], Any]] = [ours, count, lambda: group(read()), lambda: group(tables)]
    taken: list[list[float]] = [[] for _ in works]
    for number in range(rounds + 1):
        for kept, work in zip(taken, works, strict=True):
            began = time.perf_counter()
            work()
            if number:
                kept.append(time.perf_counter() - began)
    one, two, three, four = (statistics.median(kept) for kept in taken)
    return Figures(one, two, three, four, sightings=count(), episodes=len(tables["episodes"]), codes=len(ours()))


def table(figures: Figures, rounds: int) -> list[str]:
    """The figures, as Markdown."""

    def judged(value: float, goal: float, *, is_least: bool) -> str:
        met = value >= goal if is_least else value <= goal
        return f"{value:.2f}" if met else f"**{value:.2f}** missed"

    quicker = judged(figures.read_and_grouped / figures.ours, PANDAS_GOAL, is_least=True)
    return [
        "",
        f"Recurrence by code over {figures.sightings:,} sightings and {figures.episodes:,} episodes, {figures.codes} "
        f"codes. Medians of {rounds}, in turns; both answers proven equal.",
        "",
        "| what | ms | ours against it | goal |",
        "| --- | ---: | ---: | --- |",
        f"| fleet recurrence, by the database | {1000 * figures.ours:.0f} | | |",
        f"| pandas, reading the tables and grouping | {1000 * figures.read_and_grouped:.0f} | {quicker} times as fast "
        f"| at least {PANDAS_GOAL:.0f} |",
        f"| pandas, grouping alone, everything in memory already | {1000 * figures.grouped:.0f} "
        f"| {figures.grouped / figures.ours:.2f} times as fast | none set |",
        f"| a sequential count of the sightings | {1000 * figures.count:.0f} "
        f"| {judged(figures.ours / figures.count, COUNT_GOAL, is_least=False)} times its time "
        f"| at most {COUNT_GOAL:.0f}, or the one above |",
    ]


def main() -> None:
    """Fill, measure, compare, and say it as JSON."""
    sightings, rounds = (int(word) for word in sys.argv[1:3])
    set_up_django()
    if "--keep" not in sys.argv:
        fill(sightings)
    wrong = differences(ours(), group(read()))
    if wrong:
        sys.exit("The database and pandas do not say the same: " + "; ".join(wrong[:5]))
    print(json.dumps(asdict(measure(rounds))))


if __name__ == "__main__":
    os.environ.setdefault("PYTHONWARNINGS", "ignore")
    main()
