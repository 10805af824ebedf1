"""Debian's PostgreSQL and Redis as plain processes, in a folder of their own."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import psycopg
import redis

from shopfloor.accounts import Account, server_account
from tests.acceptance.running import Running, free_port, wait_until


def newest_postgresql() -> Path:
    """The folder of the programs of the newest PostgreSQL that this system has."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    elsewhere = shutil.which("postgres")
    assert elsewhere, "These tests need a PostgreSQL of the system; make test installs it on Debian."
    return Path(elsewhere).parent


class SystemPostgres:
    """A cluster of the system's PostgreSQL, reached over TCP as a server elsewhere would be."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "postgresql-elsewhere"
        self.port = free_port()
        self.bin = newest_postgresql()
        self.account: Account = server_account(self.folder)
        self.folder.mkdir(mode=0o700)
        self.account.own(self.folder)
        subprocess.run(
            [
                self.bin / "initdb",
                "-D",
                self.folder,
                "-U",
                "garboard",
                "--auth=trust",
                "--encoding=UTF8",
                "--locale=C.UTF-8",
            ],
            check=True,
            capture_output=True,
            cwd="/",
            **self.account.as_subprocess_user(),
        )
        self.process = self._start()
        with psycopg.connect(self._url("postgres"), autocommit=True) as connection:
            connection.execute("CREATE DATABASE garboard")

    @property
    def url(self) -> str:
        """As ``DATABASE_URL`` takes it."""
        return self._url("garboard")

    def _url(self, database: str) -> str:
        return f"postgresql://garboard@127.0.0.1:{self.port}/{database}"

    def _start(self) -> subprocess.Popen[bytes]:
        options = [
            "-D",
            str(self.folder),
            "-p",
            str(self.port),
            "-c",
            "listen_addresses=127.0.0.1",
            "-k",
            str(self.folder),
        ]
        process = subprocess.Popen(
            [str(self.bin / "postgres"), *options],
            cwd="/",
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
            **self.account.as_subprocess_user(),
        )
        wait_until(self._answers, "PostgreSQL answers")
        return process

    def _answers(self) -> bool:
        try:
            psycopg.connect(self._url("postgres"), connect_timeout=2).close()
        except psycopg.OperationalError:
            return False
        return True

    def start_again(self) -> None:
        """After a kill."""
        self.process.wait(10)
        self.process = self._start()

    def stop(self) -> None:
        """End in order."""
        self.process.send_signal(2)
        self.process.wait(30)


class SystemRedis:
    """The system's Redis, started with the command of docker-compose.yml."""

    def __init__(self, folder: Path, command: list[str]) -> None:
        self.folder = folder / "redis"
        self.folder.mkdir()
        self.port = free_port()
        self.command = [*command, "--port", str(self.port), "--bind", "127.0.0.1", "--dir", str(self.folder)]
        self.running = self._start()

    @property
    def url(self) -> str:
        """As ``REDIS_URL`` takes it."""
        return f"redis://127.0.0.1:{self.port}/0"

    def _start(self) -> Running:
        running = Running(self.command, dict(os.environ))

        def answers() -> bool:
            client = redis.Redis(port=self.port)
            try:
                return bool(client.ping())
            except redis.RedisError:
                return False
            finally:
                client.close()

        wait_until(answers, "Redis answers")
        return running

    def start_again(self) -> None:
        """After a kill."""
        self.running.end()
        self.running = self._start()
