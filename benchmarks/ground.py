"""The benchmark's own ground: a database and a folder that are nobody else's."""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit, urlunsplit

import psycopg

SMALL, LARGE, FLEET = "bench_small", "bench_large", "bench_fleet"


def set_up_django() -> None:
    """Make Django ready in a process of the benchmark."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    import django

    django.setup()


def own_environment(var: Path) -> dict[str, str]:
    """The environment of the benchmark's processes: no setting of the shop's gets in."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG", "TMPDIR") if name in os.environ}
    return kept | {
        "GARBOARD_SETTINGS": os.devnull,
        "GARBOARD_VAR": str(var),
        "DJANGO_SETTINGS_MODULE": "shopfloor.settings",
        "WEB_CONCURRENCY": "1",
    }


def with_database(url: str, name: str) -> str:
    """The URL of another database of the same server."""
    return urlunsplit(urlsplit(url)._replace(path=f"/{name}"))


def in_its_own_database(module: str, measure: Callable[[int], Any], *, rounds: int, says: str | None) -> list[Any]:
    """What ``measure`` finds in a process of its own, which knows Django's settings and an empty database.

    ``module`` is started a second time for that, with ``--inside``; then what was found goes to standard output, and
    the process ends here. ``--rounds`` is ``rounds`` unless it is given.
    """
    asked = argparse.ArgumentParser(description=says)
    asked.add_argument("--rounds", type=int, default=rounds)
    asked.add_argument("--inside", action="store_true", help=argparse.SUPPRESS)
    wanted = asked.parse_args()
    if wanted.inside:
        print(json.dumps(measure(wanted.rounds)))
        raise SystemExit
    from shopfloor.database import ROOT
    from shopfloor.postgres import EmbeddedPostgres

    var = Path(os.environ.get("GARBOARD_VAR") or ROOT / "var") / "bench"
    server = EmbeddedPostgres(var / "postgresql")
    url = server.acquire()
    database = module.replace("benchmarks.", "bench_")
    try:
        with psycopg.connect(url, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE IF EXISTS {database} WITH (FORCE)")
            connection.execute(f"CREATE DATABASE {database}")
        environment = own_environment(var) | {"DATABASE_URL": with_database(url, database)}
        command = [sys.executable, "-m", module, "--inside", f"--rounds={wanted.rounds}"]
        done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=True)
    finally:
        server.release()
    found: list[Any] = json.loads(done.stdout.splitlines()[-1])
    return found
