"""``python -m benchmarks.service_due``: service due at 20,000 adoptions of plans, and at a tenth of it.

Two plans an engine, one by hours and months and one by months, ten readings of its meter over two years, one service
done of two; boats that are laid up, and some of which nothing is known. Measured as ``benchmarks.money`` measures, the
tables and the calendar with their whole length.
"""

from __future__ import annotations

import json
import sys
import time

from benchmarks.both_sizes import WHOLE, Bench, Looked
from benchmarks.ground import set_up_django

KEY = "measured-and-no-secret-of-anybody"
PAGES = [
    Looked("service due", "/service/"),
    Looked("service due: all", "/service/?standing=all"),
    Looked("service due: a boat by its name", "/service/?standing=all&q=boat+77"),
    Looked("service due: to call", "/service/reminders/"),
    Looked("Today", "/"),
    Looked("service due as CSV", "/service.csv?standing=all", WHOLE),
    Looked("to call, as CSV", "/service/reminders.csv", WHOLE),
    Looked("calendar feed", f"/calendar/{KEY}.ics", WHOLE),
]


BENCH = Bench(
    "Service due", "adoptions", "benchmarks.service_due", ("bench_service_small", "bench_service_large"), PAGES, 20_000
)


def put_in(adoptions: int) -> dict[str, float]:
    """Fill the empty database that the environment names; seconds that the first judging took."""
    from django.db import connection

    from benchmarks.filling import _make_shop, _set_sequences
    from benchmarks.money_filling import Filling, _heads, judge_service_due
    from shopfloor.readiness import collect_static_files, make_tables
    from staff.models import Person
    from vessels.models import Customer, Engine, HourMeter, LogEntry, Ownership, Vessel
    from workorders.calendar.actions import digest_of_key
    from workorders.calendar.models import CalendarFeed
    from workorders.upkeep.models import Adoption, LayUp, PlanVersion, ServiceDone, ServiceOf, ServicePlan

    make_tables()
    collect_static_files()
    _make_shop()
    made = Filling(adoptions * 5)
    hulls, person = "generate_series(1, {hulls}) n", "(SELECT min(id) FROM staff_person)"
    made.put(Customer, hulls, id="n", name="'Customer ' || n", kind="'person'")
    made.put(
        Vessel, hulls, id="n", name="'Boat ' || n", kind="'inboard'", owner_id="n", length_unit="'ft'",
        berth="'A-' || n %% 90",
    )  # fmt: skip
    made.put(Ownership, hulls, id="n", vessel_id="n", customer_id="n", since="DATE '2000-01-01'")
    made.put(
        Engine, hulls, id="n", vessel_id="n", position="'single'", family_id="1", maker="'Thole'", model="'T6'",
        serial="'T' || n", fuel="'diesel'", power_unit="'hp'",
    )  # fmt: skip
    made.put(
        HourMeter, hulls, id="n", engine_id="n", fitted_at="now() - interval '30 years'", shown_when_fitted="0",
        engine_hours_when_fitted="0",
    )  # fmt: skip
    plans = "(VALUES (1, 'Oil and filter', 100, 12), (2, 'Impeller', NULL, 24)) plan(n, name, hours, months)"
    every = {"name": "name", "every_hours": "hours::numeric", "every_months": "months", "tasks": "'Change it'"}
    made.put(ServicePlan, plans, id="n", family_id="1", added_by_id=person, **every)
    made.put(PlanVersion, plans, id="n", plan_id="n", number="1", by_id=person, **every)
    made.put(
        Adoption, f"{hulls}, generate_series(1, 2) p", id="2 * n + p", engine_id="n", plan_id="p", added_by_id=person,
        basis="CASE WHEN n %% 20 = 0 THEN 'unknown' ELSE 'done' END",
        source="CASE WHEN n %% 20 = 0 THEN '' ELSE 'own' END",
        last_on="CASE WHEN n %% 20 > 0 THEN current_date - ((n * 37 + p * 211) %% 700) END",
        last_hours="CASE WHEN n %% 20 > 0 AND p = 1 THEN 300 END",
    )  # fmt: skip
    readings = f"{hulls}, generate_series(1, 10) r"
    at = "now() - (720 - r * 70 - n %% 20) * interval '1 day'"
    key = "md5(n || '-' || r)::uuid"
    made.put(
        LogEntry, readings, id=key, vessel_id="n", engine_id="n", author_id=person, happened_at=at, recorded_at=at,
        kind="CASE WHEN r = 5 AND n %% 2 = 0 THEN 'service-done' ELSE 'hours' END", summary="'Hours read'",
        engine_hours="300 + r * (5 + n %% 15)", position="r", digest="repeat('0', 64)",
    )  # fmt: skip
    services = f"{readings} WHERE r = 5 AND n %% 2 = 0"
    made.put(ServiceDone, services, entry_id=key)
    made.put(ServiceOf, services, id="n", done_id=key, plan_version_id="1")
    made.put(
        LayUp, f"{hulls} WHERE n %% 10 = 0", id="n", vessel_id="n", from_on="current_date - 20", added_by_id=person,
        until_on="CASE WHEN n %% 20 = 0 THEN current_date + 120 END",
    )  # fmt: skip
    _heads()
    _set_sequences()
    CalendarFeed.objects.create(
        name="Measured", person=Person.objects.get(username="owner"), sources=["service"], key_sha256=digest_of_key(KEY)
    )
    began = time.monotonic()
    judge_service_due()
    judged = time.monotonic() - began
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")
        cursor.execute("CHECKPOINT")
    return {"seconds to judge all of them": round(judged, 1), **_counts()}


def _counts() -> dict[str, float]:
    from vessels.models import LogEntry
    from workorders.upkeep.models import Adoption, Judgment

    return {
        "adoptions": Adoption.objects.count(),
        "judgments": Judgment.objects.count(),
        "log entries": LogEntry.objects.count(),
    }


def main() -> None:
    """Fill two databases of the benchmark's own, and print every ratio with its goal; with a number alone, fill one."""
    if len(sys.argv) == 2 and sys.argv[1].isdigit():
        set_up_django()
        began = time.monotonic()
        counts = put_in(int(sys.argv[1]))
        print(json.dumps({"seconds": time.monotonic() - began, "counts": counts}))
        return
    BENCH.main(__doc__)


if __name__ == "__main__":
    main()
