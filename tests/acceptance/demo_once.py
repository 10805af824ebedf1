"""The demo as ``make demo`` fills it, once for all who look at it: what was seen of that, and what it left behind."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path

import dj_database_url
import psycopg

from shopfloor.postgres import EmbeddedPostgres
from tests.acceptance.folders import make_folder, remove
from tests.acceptance.running import Running, environment, free_port, processes_of, wait_until

DEMO = ["make", "--no-print-directory", "demo"]
FILLING_LIMIT = 600.0
SEEN_OF_DEMO = "first_demo.json"


@dataclass(frozen=True)
class FirstDemo:
    """What was seen of the first start of a demo in an empty folder."""

    seconds: float
    port: int
    lines: list[str]
    rows: dict[str, int]
    ended_with: int
    left_running: list[str]


def fill() -> Path:
    """The folder of a demo that was started in it, and stopped when it was filled."""
    from shopfloor.demo.shop import HANDS

    folder, port = make_folder(), free_port()
    running = Running(DEMO, environment(folder, PORT=str(port)))
    try:
        seconds = running.wait_for_line(f"Ready: http://127.0.0.1:{port}/", FILLING_LIMIT)
        wait_until(lambda: running.output.count("login: ") >= len(HANDS), "a login for each hand is printed")
        lines = list(running.lines)
        rows = counts(EmbeddedPostgres(folder / "postgresql").url)
        ended_with = running.interrupt()
        left = [str(process) for process in processes_of(folder)]
        (folder / SEEN_OF_DEMO).write_text(json.dumps(asdict(FirstDemo(seconds, port, lines, rows, ended_with, left))))
    except BaseException:
        running.close()
        remove(folder)
        raise
    return folder


def counts(url: str) -> dict[str, int]:
    """How many there are of what the scenario makes."""
    found = {}
    with psycopg.connect(url) as connection:
        for table in ["vessels_logentry", "vessels_vessel", "workorders_job", "reports_issuedreport"]:
            row = connection.execute(f"SELECT count(*) FROM {table}").fetchone()
            assert row is not None
            found[table] = int(row[0])
    return found


@contextmanager
def worked_in(folder: Path) -> Iterator[None]:
    """Have this process and its threads work with the database and the files of a var folder that nobody serves."""
    from django.contrib.contenttypes.models import ContentType
    from django.db import connections
    from django.test import override_settings

    server = EmbeddedPostgres(folder / "postgresql", durable=False)
    place = dj_database_url.parse(server.acquire())
    settings_of_all = connections["default"].settings_dict  # one for the connections of every thread
    before = dict(settings_of_all)
    connections.close_all()
    settings_of_all.update({name: place[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")})
    settings_of_all["OPTIONS"] = before["OPTIONS"] | place["OPTIONS"]
    ContentType.objects.clear_cache()
    try:
        with override_settings(VAR=folder, MEDIA_ROOT=folder / "media"):
            yield
    finally:
        connections.close_all()
        settings_of_all.update(before)
        ContentType.objects.clear_cache()
        server.release()
