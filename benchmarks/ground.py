"""The benchmark's own ground: a database and a folder that are nobody else's."""

from __future__ import annotations

import os
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

SMALL, LARGE, FLEET = "bench_small", "bench_large", "bench_fleet"


def stand_up() -> None:
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
