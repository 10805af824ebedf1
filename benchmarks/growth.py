"""What must not grow with a boat's record: the readings tab by its readings, and a scan by the scans before it.

``python -m benchmarks.growth`` makes a database of its own in ``var/bench`` and prints a table of both at three sizes:
the medians of several turns, and how many rows the database handed out.
"""

from __future__ import annotations

import statistics
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from benchmarks.counting import rows_counted
from benchmarks.ground import in_its_own_database, set_up_django

START = datetime(2020, 1, 1, 12, tzinfo=UTC)
READINGS, SCANS, CODES = (500, 5_000, 50_000), (15, 150), 20
SERIES = 30


def main() -> None:
    """Make the database, and measure in a process that knows Django's settings."""
    found = in_its_own_database("benchmarks.growth", _measure, rounds=15, says=__doc__)
    print("| what | size | ms | rows |\n| --- | ---: | ---: | ---: |")
    for what, size, ms, rows in found:
        print(f"| {what} | {size:,} | {ms:.0f} | {rows:,} |")


def _measure(rounds: int) -> list[tuple[str, int, float, int]]:
    set_up_django()
    from shopfloor.readiness import collect_static_files, make_tables

    make_tables()
    collect_static_files()
    return [*_tabs(rounds), *_scans(rounds)]


def _tabs(rounds: int) -> list[tuple[str, int, float, int]]:
    from django.test import Client
    from django.urls import reverse

    found = []
    for size in READINGS:
        boat = a_boat(f"readings {size}")
        _fill_readings(boat, size)
        client = Client(headers={"host": "127.0.0.1"})
        client.force_login(boat["person"])
        address = reverse("findings:vessel_readings", args=[boat["vessel"].pk])

        def ask(client: Any = client, address: str = address) -> None:
            answer = client.get(address)
            if answer.status_code != 200:
                raise RuntimeError(f"{address} answered {answer.status_code}.")

        found.append(("readings tab", size, *_timed(ask, rounds)))
    return found


def _scans(rounds: int) -> list[tuple[str, int, float, int]]:
    from engineering.codes import Code, CodeStatus, CodeSystem
    from findings.faults.actions import CodeSeen, log_scan

    found = []
    codes = [Code(CodeSystem.SPN, f"{1000 + number}-3") for number in range(CODES)]
    for size in SCANS:
        boat = a_boat(f"scans {size}")
        turn = [0]

        def scan(boat: dict[str, Any] = boat, turn: list[int] = turn) -> None:
            turn[0] += 1
            seen = [CodeSeen(code, CodeStatus.ACTIVE) for index, code in enumerate(codes) if (turn[0] + index) % 5 == 0]
            log_scan(
                by=boat["person"], unit=boat["unit"], phase="arrival", is_complete=True, codes=seen,
                engine_hours=Decimal(turn[0]), happened_at=START + timedelta(days=turn[0]),
            )  # fmt: skip

        for _ in range(size):
            scan()
        found.append((f"a scan of a unit with {CODES} codes", size, *_timed(scan, min(rounds, 9))))
    return found


def a_boat(name: str) -> dict[str, Any]:
    """Somebody, and a boat with one engine and its unit, as plain rows."""
    from staff.models import Person
    from staff.policy import Role
    from vessels.models import ControlUnit, Customer, Engine, HourMeter, Vessel

    user = f"u{uuid.uuid4().hex[:12]}"
    person = Person.objects.create_person(username=user, name="Mina", role=Role.MANAGER, password="bilge-lantern-42")
    owner = Customer.objects.create(name=f"Owner of {name}")
    vessel = Vessel.objects.create(name=name, kind="inboard", owner=owner)
    engine = Engine.objects.create(vessel=vessel, position="single", fuel="diesel")
    HourMeter.objects.create(engine=engine)
    unit = ControlUnit.objects.create(vessel=vessel, engine=engine)
    return {"person": person, "vessel": vessel, "engine": engine, "unit": unit}


def _fill_readings(boat: dict[str, Any], size: int) -> None:
    """So many readings in thirty series, written at once; their digests are not asked for here."""
    from django.db import connection

    from findings.readings.models import Parameter, Reading
    from vessels.models import LogEntry

    parameter, _ = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})
    for first in range(0, size, 5_000):
        entries = [
            LogEntry(
                id=uuid.uuid4(), vessel=boat["vessel"], engine=boat["engine"], kind="reading", author=boat["person"],
                happened_at=START + timedelta(hours=number), engine_hours=Decimal(number) / 10, summary="Oil pressure",
                position=number + 1, digest="0" * 64,
            )
            for number in range(first, min(first + 5_000, size))
        ]  # fmt: skip
        LogEntry.objects.bulk_create(entries)
        Reading.objects.bulk_create(
            Reading(
                entry=entry, parameter=parameter, value=Decimal(40 + entry.position % 9), unit="psi",
                value_si=Decimal(300_000), condition=f"point {entry.position % SERIES}", low=Decimal(40),
                high=Decimal(65), near_percent=Decimal(10), verdict="in range",
            )
            for entry in entries
        )  # fmt: skip
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _timed(act: Callable[[], None], rounds: int) -> tuple[float, int]:
    """The median of some turns in ms, and the rows of one."""
    act()
    taken = []
    for _ in range(rounds):
        began = time.perf_counter()
        act()
        taken.append((time.perf_counter() - began) * 1000)
    return statistics.median(taken), _rows_of(act)


def _rows_of(act: Callable[[], None]) -> int:
    with rows_counted() as counted:
        act()
    return counted.rows


if __name__ == "__main__":
    main()
