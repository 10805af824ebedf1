"""What the envelope and its journal cost an act: with both, and the action alone, in turns.

``python -m benchmarks.acts`` makes a database of its own in ``var/bench`` and prints a table: the medians of many
turns in ms, the processor's time of the process that does it, and how many questions the database was asked.
"""

from __future__ import annotations

import inspect
import statistics
import time
import uuid
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from benchmarks.ground import in_its_own_database, set_up_django
from benchmarks.growth import a_boat

Act = Callable[..., Any]


def main() -> None:
    """Make the database, and measure in a process that knows Django's settings."""
    found = in_its_own_database("benchmarks.acts", _measure, rounds=200, says=__doc__)
    print("| act | ms | action alone | processor, ms | alone | queries | alone |")
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    for name, *figures in found:
        print(
            f"| {name} | " + " | ".join(f"{one:.2f}" if isinstance(one, float) else str(one) for one in figures) + " |"
        )


def _measure(rounds: int) -> list[list[Any]]:
    set_up_django()
    from shopfloor.readiness import make_tables

    make_tables()
    return [[name, *_compared(*found, rounds)] for name, found in _acts().items()]


def _acts() -> dict[str, tuple[Act, Callable[[], dict[str, Any]]]]:
    """Each act with what makes its arguments anew."""
    from findings.readings.actions import log_reading
    from findings.readings.models import Parameter
    from vessels.actions import add_customer, change_vessel, log_hours, write_note
    from workorders.actions import open_job

    boat = a_boat("acts")
    by = {"by": boat["person"]}
    oil = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})[0]
    turn = [0]

    def vessel_changed() -> dict[str, Any]:
        turn[0] += 1
        boat["vessel"].refresh_from_db()
        changes = {"color": f"blue {turn[0]}"}
        return by | {"vessel": boat["vessel"], "seen_version": boat["vessel"].version, "changes": changes}

    return {
        "add_customer": (add_customer, lambda: by | {"name": "Ada Finch"}),
        "write_note": (write_note, lambda: by | {"vessel": boat["vessel"], "text": "Bilge dry."}),
        "log_hours": (log_hours, lambda: by | {"engine": boat["engine"], "shown": Decimal(100)}),
        "log_reading": (
            log_reading,
            lambda: by | {"vessel": boat["vessel"], "engine": boat["engine"], "parameter": oil, "value": Decimal(40),
                          "unit": "psi"},
        ),
        "change_vessel": (change_vessel, vessel_changed),
        "open_job": (open_job, lambda: by | {"vessel": boat["vessel"], "concerns": ["Alarm"]}),
    }  # fmt: skip


def _compared(act: Act, told: Callable[[], dict[str, Any]], rounds: int) -> list[Any]:
    """ms, ms alone, processor, processor alone, queries, queries alone."""
    from django.db import connection, transaction
    from django.test.utils import CaptureQueriesContext

    from commands import envelope

    bare = inspect.unwrap(act)

    def alone(**given: Any) -> None:
        with transaction.atomic(), envelope._as(envelope._Act()):
            bare(**given)

    taken: dict[Act, list[tuple[float, float]]] = {act: [], alone: []}
    for _ in range(rounds + 3):
        for one, times in taken.items():
            given = told() | {"entry_id": uuid.uuid4()}
            wall, busy = time.perf_counter(), time.process_time()
            one(**given)
            times.append(((time.perf_counter() - wall) * 1000, (time.process_time() - busy) * 1000))
    asked = []
    for one in taken:
        given = told() | {"entry_id": uuid.uuid4()}
        with CaptureQueriesContext(connection) as found:
            one(**given)
        asked.append(len(found))
    medians = [[statistics.median(column) for column in zip(*times[3:], strict=True)] for times in taken.values()]
    return [medians[0][0], medians[1][0], medians[0][1], medians[1][1], *asked]


if __name__ == "__main__":
    main()
