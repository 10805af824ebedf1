"""Keeps an embedded PostgreSQL: starts it again when it died, and stops it when nobody is left who uses it.

``python -m shopfloor.keeper FOLDER``, started by whoever first uses the cluster and ended by whoever uses it last. It
is a process of its own: a killed program takes its own threads along, but not this, so no cluster is left running.
"""

from __future__ import annotations

import fcntl
import signal
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from shopfloor.postgres import DatabaseUnavailableError, EmbeddedPostgres

LOOK_EVERY = 1.0
FIRST_WAIT = 1.0
LONGEST_WAIT = 30.0
GOOD_AFTER = 60.0


class Keeper:
    """Looks after one cluster."""

    def __init__(self, server: EmbeddedPostgres) -> None:
        self.server = server
        self.wait = FIRST_WAIT
        self.next_try = 0.0
        self.started_at = time.monotonic()

    def look(self) -> bool:
        """Do what is to be done now; whether to go on."""
        if self._stop_if_unused():
            return False
        if self.server.running_pid() is None and time.monotonic() >= self.next_try:
            self._start_again()
        return True

    def _stop_if_unused(self) -> bool:
        """Stop the server when nobody has hold of it any more. Whoever comes or goes holds the turn meanwhile."""
        try:
            with self.server.turn(wait=False):
                if self._is_used():
                    return False
                self.server.stop()
                return True
        except BlockingIOError:
            return False

    def _is_used(self) -> bool:
        with (self.server.folder / "users.lock").open("ab") as users:
            try:
                fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                return True
            return False

    def _start_again(self) -> None:
        """Start the server, and wait longer before the next try each time that it does not last."""
        if time.monotonic() - self.started_at > GOOD_AFTER:
            self.wait = FIRST_WAIT
        _tell("The database is not running. It is being started again.")
        try:
            with self.server.turn():
                self.server.start()
        except (DatabaseUnavailableError, OSError) as problem:
            _tell(f"{problem} The next try is in {self.wait:.0f} s.")
        else:
            _tell("The database is running again.")
        self.started_at = time.monotonic()
        self.next_try = self.started_at + self.wait
        self.wait = min(self.wait * 2, LONGEST_WAIT)


def _tell(sentence: str) -> None:
    print(f"{datetime.now(UTC):%Y-%m-%d %H:%M:%S} UTC: {sentence}", file=sys.stderr, flush=True)


def main() -> None:
    """Look after the cluster until nobody uses it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the program, which ends this one when it is the last
    server = EmbeddedPostgres(Path(sys.argv[1]))
    keeper = Keeper(server)
    try:
        while keeper.look():
            time.sleep(LOOK_EVERY)
    except FileNotFoundError:  # the folder was taken away
        return


if __name__ == "__main__":
    main()
