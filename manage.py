#!/usr/bin/env python3
"""Command line of the project."""

import gc
import os
import signal
import sys
from types import FrameType

# These neither read nor write data; they need no database and work without one.
WITHOUT_DATABASE = {
    "check",
    "collectstatic",
    "compilemessages",
    "diffsettings",
    "help",
    "version",
    "--version",
    "--help",
}


def end(signal_number: int, frame: FrameType | None) -> None:
    """End in order, so that the embedded database is let go of."""
    sys.exit(128 + signal_number)


def main() -> None:
    """Run a management command, with the embedded database up for as long as it runs."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    gc.set_threshold(100_000, 20, 100)  # what is loaded stays: looking through it at each turn is a sixth of a start
    signal.signal(signal.SIGTERM, end)
    if sys.argv[1:2] == ["serve"]:
        # A shell's background job and nohup inherit a SIGINT that is ignored; what serves must end when it is told to.
        signal.signal(signal.SIGINT, signal.default_int_handler)
    if signal.getsignal(signal.SIGHUP) is not signal.SIG_IGN:  # nohup stays nohup
        signal.signal(signal.SIGHUP, end)
    from shopfloor.database import start_database
    from shopfloor.postgres import DatabaseUnavailableError

    if not WITHOUT_DATABASE & set(sys.argv[1:2]):
        try:
            start_database()
        except DatabaseUnavailableError as problem:
            sys.exit(str(problem))
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    try:
        main()
    except KeyboardInterrupt:
        sys.exit(130)
