"""The embedded PostgreSQL: shared by processes, stopped by the last, and made whole or not at all."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from shopfloor import postgres
from shopfloor.database import ROOT, start_database
from shopfloor.postgres import DatabaseUnavailableError, EmbeddedPostgres


@pytest.fixture
def folder() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="garboard-") as made:
        Path(made).chmod(0o755)
        yield Path(made) / "postgresql"


def use(folder: Path, then: str) -> subprocess.CompletedProcess[str]:
    """Another process that uses the same database."""
    code = (
        "from pathlib import Path\nfrom shopfloor.postgres import EmbeddedPostgres\n"
        f"server = EmbeddedPostgres(Path({str(folder)!r}), durable=False)\nserver.acquire()\n{then}"
    )
    return subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)


def test_the_last_one_stops_it(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False)
    url = server.acquire()
    assert use(folder, "").returncode == 0
    with psycopg.connect(url) as connection:
        assert connection.execute("SELECT current_database()").fetchone() == ("garboard",)
        found = connection.execute("SELECT datlocprovider, datlocale FROM pg_database WHERE datname = 'garboard'")
        assert found.fetchone() == ("b", "C.UTF-8")
    server.release()
    assert server.running_pid() is None
    server.release()  # twice does no harm


def test_a_user_that_was_killed_does_not_keep_it_running(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False)
    server.acquire()
    assert use(folder, "import os\nos.kill(os.getpid(), 9)").returncode == -9
    assert server.running_pid() is not None
    server.release()
    assert server.running_pid() is None


def test_a_forked_child_does_not_stop_it(folder: Path) -> None:
    done = use(
        folder,
        "import os\nif os.fork() == 0:\n    server.release()\n    os._exit(0)\nos.wait()\n"
        "import psycopg\npsycopg.connect(server.url).close()\nprint('answers')",
    )
    assert done.stdout == "answers\n", done.stderr


def test_an_interrupted_making_is_made_again(folder: Path) -> None:
    (folder / "data.new").mkdir(parents=True)
    (folder / "data.new" / "PG_VERSION").write_text("18\n")
    server = EmbeddedPostgres(folder, durable=False)
    server.acquire()
    assert not (folder / "data.new").exists()
    server.release()


def test_only_its_own_account_gets_to_the_socket(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False)
    server.acquire()
    assert server.sockets.stat().st_mode & 0o077 == 0
    server.release()


def test_a_long_path_has_its_socket_elsewhere(folder: Path) -> None:
    deep = folder.parent / ("a-shop-with-a-long-name-" * 5) / "postgresql"
    server = EmbeddedPostgres(deep, durable=False)
    psycopg.connect(server.acquire()).close()
    assert not server.sockets.is_relative_to(deep)
    assert server.sockets.stat().st_mode & 0o077 == 0
    server.release()
    server.sockets.rmdir()


def test_a_database_that_does_not_start_says_why(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False)
    server.acquire()
    server.release()
    (folder / "data" / "global" / "pg_control").unlink()
    with pytest.raises(DatabaseUnavailableError, match=r"(?s)does not start\. Its log ends:.*pg_control"):
        EmbeddedPostgres(folder, durable=False).acquire()


def test_a_cluster_that_is_no_folder_or_of_another_user_says_so(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder.mkdir(exist_ok=True)
    (folder / "data").write_text("no folder")
    with pytest.raises(DatabaseUnavailableError, match="can't be used"):
        EmbeddedPostgres(folder, durable=False).acquire()

    def refused(self: EmbeddedPostgres) -> None:
        raise PermissionError(13, "Permission denied", str(folder / "data" / "PG_VERSION"))

    monkeypatch.setattr(EmbeddedPostgres, "_make_cluster", refused)
    with pytest.raises(DatabaseUnavailableError) as said:
        EmbeddedPostgres(folder, durable=False).acquire()
    assert str(said.value) == (
        f"{folder / 'data' / 'PG_VERSION'} of the embedded database can't be used (Permission denied). "
        "If it belongs to another user, start the program as that user, or give this one the folder."
    )


def test_a_folder_that_cannot_be_made_says_so(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(DatabaseUnavailableError, match="can't be written"):
        EmbeddedPostgres(tmp_path / "file" / "postgresql").acquire()


def test_without_the_wheel_it_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(postgres.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(DatabaseUnavailableError, match="DATABASE_URL"):
        postgres.binaries()


def test_a_named_database_is_left_alone(monkeypatch: pytest.MonkeyPatch, folder: Path) -> None:
    monkeypatch.setenv("DATABASE_URL", "postgresql://shop@192.0.2.7/garboard")
    start_database(folder)
    assert os.environ["DATABASE_URL"] == "postgresql://shop@192.0.2.7/garboard"
    assert not folder.exists()


def test_its_log_holds_nothing_that_was_typed(folder: Path) -> None:
    server = EmbeddedPostgres(folder, durable=False)
    with psycopg.connect(server.acquire(), autocommit=True) as connection:
        connection.execute("CREATE TABLE typed (words text UNIQUE CHECK (words <> 'no-secret'))")
        connection.execute("INSERT INTO typed VALUES (%s)", ["a-secret"])
        for question in [
            "INSERT INTO typed VALUES ('a-secret')",
            "INSERT INTO typed VALUES ('no-secret')",
            "SELECT 'a-secret'::int",
            "SELECT 'a-secret' FROM nowhere",
        ]:
            with pytest.raises(psycopg.Error):
                connection.execute(question)  # type: ignore[call-overload]
        with pytest.raises(psycopg.Error):
            connection.execute("SELECT %s::int", ["a-secret"], prepare=True)
    server.release()
    logs = [server.log, *(server.data / "log").iterdir()]
    assert len(logs) > 1
    assert all("secret" not in log.read_text() for log in logs)


def test_another_run_of_the_tests_leaves_the_folders_of_this_one_open(tmp_path: Path) -> None:
    """A server with an account of its own passes through them; pytest closes those that it shares."""
    shared = next(folder for folder in tmp_path.parents if folder.name.startswith("pytest-of-"))
    shared.chmod(0o711)
    surroundings = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    command = [sys.executable, "-m", "pytest", "-q", "-n", "0", "tests/engineering/test_can_log_formats.py", "-x"]
    subprocess.run(command, cwd=ROOT, env=surroundings, check=True, stdout=subprocess.DEVNULL)
    assert stat.S_IMODE(shared.stat().st_mode) == 0o711
