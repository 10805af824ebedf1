"""``python -m benchmarks``: measure the pages, the report and a worker's memory on databases made for it."""

from __future__ import annotations

import argparse
import os
import sys
from typing import Any

SMALL_RUN: dict[str, Any] = {
    "hulls": 60, "entries": 4_000, "rounds": 4, "report_rounds": 2, "trip_seconds": 10, "trip_rounds": 1,
    "sightings": 20_000, "fleet_rounds": 2, "jobs": 2_000, "adoptions": 400, "money_rounds": 2,
}  # fmt: skip


def main() -> None:
    """Fill two databases of the benchmark's own, and print every ratio with its goal."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks",
        description="Measures pages, reports and memory on databases of its own under var/bench; never touches the "
        "shop's data.",
    )
    parser.add_argument("--hulls", type=int, help="vessels in the large database")
    parser.add_argument("--entries", type=int, help="log entries in the large database")
    parser.add_argument("--rounds", type=int, help="how often each page is asked for")
    parser.add_argument("--keep", action="store_true", help="measure what an earlier run of this size filled")
    parser.add_argument("--quick", action="store_true", help="a small shop and few rounds: does it run at all?")
    asked = vars(parser.parse_args())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    import django

    django.setup()
    from django.conf import settings

    from benchmarks.run import Wanted, run

    sizes = {name: asked[name] for name in ("hulls", "entries", "rounds") if asked[name] is not None}
    wanted = Wanted(**(SMALL_RUN if asked["quick"] else sizes), keep=asked["keep"])
    try:
        run(wanted, settings.VAR / "bench", _tell)
    except (RuntimeError, ValueError) as problem:
        sys.exit(str(problem))


def _tell(sentence: str) -> None:
    print(sentence, flush=True)


if __name__ == "__main__":
    main()
