"""``make serve`` on one box: served, stopped, killed, started again, and nothing lost."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import threading
from pathlib import Path

import psycopg
import pytest

from shopfloor.database import ROOT
from shopfloor.postgres import EmbeddedPostgres
from tests.acceptance.conftest import FirstStart, Start
from tests.acceptance.running import (
    PYTHON,
    SERVE,
    Running,
    environment,
    free_port,
    get,
    kill_everything,
    processes_of,
    wait_until,
)

SECOND_START_LIMIT = 30.0  # seconds of processor time, which other work on the machine does not use


def serve(start: Start, var: Path, port: int) -> tuple[Running, float]:
    running = start(SERVE, environment(var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}"))
    return running, running.wait_for_line(f"Ready: http://127.0.0.1:{port}/")


def test_serves_and_ctrl_c_leaves_no_process_and_the_second_start_is_quick(
    first_start: FirstStart, used_var: Path, start: Start
) -> None:
    assert (first_start.health["status"], first_start.health["well"]) == (200, True)
    assert first_start.health["migrations"] == "Every migration is applied."
    assert first_start.ended_with != 0
    assert first_start.left_running == []
    port = free_port()
    again, second = serve(start, used_var, port)
    took = again.processor_seconds()
    login = get(f"http://127.0.0.1:{port}/accounts/login/")
    assert login.status == 200
    assert "default-src 'none'" in login.headers["content-security-policy"]
    assert_static_files_are_kept_by_browsers(port, login.body.decode())
    assert again.interrupt() != 0
    assert processes_of(used_var) == []
    print(f"{took:.1f} s of processor time")
    assert took < SECOND_START_LIMIT
    print(f"first start {first_start.seconds:.1f} s, second start {second:.1f} s")


def assert_static_files_are_kept_by_browsers(port: int, page: str) -> None:
    sheets = re.findall(r'href="(/static/[^"]+\.css)"', page)
    assert sheets
    for sheet in sheets:
        answer = get(f"http://127.0.0.1:{port}{sheet}", Accept_Encoding="gzip")
        assert answer.status == 200
        assert "immutable" in answer.headers["cache-control"]
        assert answer.headers["content-encoding"] == "gzip"


def test_what_is_killed_is_taken_up_and_loses_nothing(used_var: Path, start: Start) -> None:
    """One folder through every kind of end: five starts instead of one or two for each."""
    port = free_port()
    running, _ = serve(start, used_var, port)
    a_command_beside_the_server_shares_the_database(used_var, port)
    a_large_body_is_refused(port)
    a_taken_port_is_said_in_a_sentence(used_var, start, port)
    a_killed_database_is_started_again_while_the_pages_say_so(used_var, port)

    # All but the database is killed: the next start takes it up.
    postmaster = EmbeddedPostgres(used_var / "postgresql").running_pid()
    assert postmaster is not None
    for process in processes_of(used_var):
        if process.name() != "postgres":
            process.kill()
    running.end()
    wait_until(
        lambda: {process.name() for process in processes_of(used_var)} == {"postgres"}, "only the database is left"
    )
    running, _ = serve(start, used_var, port)
    assert EmbeddedPostgres(used_var / "postgresql").running_pid() == postmaster

    # Everything is killed while somebody writes.
    heard = killed_while_somebody_writes(used_var)
    running, seconds = serve(start, used_var, port)
    what_was_heard_is_there(used_var, heard)
    assert get(f"http://127.0.0.1:{port}/health/").status == 200
    print(f"start after kill -9 {seconds:.1f} s")

    # Once more, and the file with the database's process names a stranger by then.
    pid_file = used_var / "postgresql" / "data" / "postmaster.pid"
    kill_everything(used_var)
    running.end()
    lines = pid_file.read_text().split("\n")
    pid_file.write_text("\n".join([str(os.getpid()), *lines[1:]]))
    running, _ = serve(start, used_var, port)
    what_was_heard_is_there(used_var, heard)

    # The program alone is killed: no database is left running.
    os.kill(running.process.pid, signal.SIGKILL)  # make
    wait_until(lambda: running.process.poll() is not None, "make has ended")  # reaped: no process half gone
    master = next(one for one in processes_of(used_var) if "serve" in one.cmdline() and one.name() != "make")
    master.kill()
    wait_until(lambda: processes_of(used_var) == [], "nothing is left")
    running.end()

    # As a service manager ends it.
    running, _ = serve(start, used_var, port)
    what_was_heard_is_there(used_var, heard)
    os.killpg(running.process.pid, signal.SIGTERM)
    running.end()
    assert processes_of(used_var) == []


def killed_while_somebody_writes(var: Path) -> int:
    """``kill -9`` to all of it in the middle of small transactions; how many of them were heard to be committed."""
    url = EmbeddedPostgres(var / "postgresql").url
    heard: list[int] = []
    stopped = threading.Event()

    def write() -> None:
        try:
            with psycopg.connect(url, autocommit=True) as connection:
                connection.execute("CREATE TABLE heard (number integer PRIMARY KEY)")
                while True:
                    connection.execute("INSERT INTO heard VALUES (%s)", [len(heard)])
                    heard.append(len(heard))
        except psycopg.OperationalError:
            stopped.set()

    writer = threading.Thread(target=write)
    writer.start()
    wait_until(lambda: len(heard) > 500, "500 rows are committed")
    assert kill_everything(var) > 3
    writer.join(20)
    assert stopped.is_set()
    return len(heard)


def what_was_heard_is_there(var: Path, heard: int) -> None:
    """Every row whose commit was heard of; the last one may have been committed unheard."""
    with psycopg.connect(EmbeddedPostgres(var / "postgresql").url) as connection:
        row = connection.execute("SELECT count(*), max(number) FROM heard").fetchone()
        durable = connection.execute("SHOW fsync").fetchone()
    assert durable == ("on",)
    assert row is not None
    assert row[0] in {heard, heard + 1}
    assert row[1] >= heard - 1


def a_killed_database_is_started_again_while_the_pages_say_so(var: Path, port: int) -> None:
    """The pages say that it cannot be reached, until another one runs."""
    server = EmbeddedPostgres(var / "postgresql")
    postmaster = server.running_pid()
    assert postmaster is not None
    os.kill(postmaster, 9)
    said: set[tuple[int, int]] = set()

    def is_back() -> bool:
        health = get(f"http://127.0.0.1:{port}/health/")
        page = get(f"http://127.0.0.1:{port}/", Cookie="sessionid=whoever")
        said.add((health.status, page.status))
        if page.status == 503:
            assert "cannot be reached right now" in page.body.decode()
        return health.status == 200

    wait_until(lambda: get(f"http://127.0.0.1:{port}/health/").status == 503 or is_back(), "the database is away")
    wait_until(is_back, "the database is back")
    assert {status for pair in said for status in pair} <= {200, 302, 503}
    assert server.running_pid() not in {None, postmaster}


def a_command_beside_the_server_shares_the_database(var: Path, port: int) -> None:
    """And leaves it running."""
    said = subprocess.run(
        [PYTHON, "manage.py", "health"], cwd=ROOT, env=environment(var), capture_output=True, text=True, check=True
    )
    assert "database: The database answers." in said.stdout
    assert get(f"http://127.0.0.1:{port}/health/").status == 200


def a_large_body_is_refused(port: int) -> None:
    """Announced, and not sent: the answer comes before the body."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.putrequest("POST", "/accounts/login/")
    connection.putheader("Content-Length", str(26 * 1024 * 1024))
    connection.endheaders()
    answer = connection.getresponse()
    assert answer.status == 413
    assert b"At most 25 MB" in answer.read()
    connection.close()


def a_taken_port_is_said_in_a_sentence(var: Path, start: Start, port: int) -> None:
    """By a second start in the same folder, which does the first no harm."""
    second = start(SERVE, environment(var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}"))
    assert second.end() != 0
    assert f"Port {port} is taken by another program" in second.output
    assert "Traceback" not in second.output
    assert get(f"http://127.0.0.1:{port}/health/").status == 200


@pytest.mark.parametrize("heard", ["the database is starting", "it serves"])
def test_an_interrupt_ends_all_of_it_though_the_shell_had_it_ignored(
    request: pytest.FixtureRequest, start: Start, heard: str
) -> None:
    """As ``nohup`` and the background jobs of a shell start it."""
    var: Path = request.getfixturevalue("used_var" if heard == "it serves" else "var")
    port = free_port()
    env = environment(var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}")
    running = start(["sh", "-c", f"trap '' INT; exec {PYTHON} manage.py serve"], env)
    if heard == "it serves":
        running.wait_for_line("Ready: ")
        assert get(f"http://127.0.0.1:{port}/accounts/login/").status == 200
    else:
        wait_until((var / "postgresql" / "keeper.pid").exists, "the database runs", 60)
    os.kill(running.process.pid, signal.SIGINT)
    running.end()
    assert "Traceback" not in running.output
    assert ("Ready: " in running.output) is (heard == "it serves")
    wait_until(lambda: processes_of(var) == [], "nothing is left")


@pytest.mark.parametrize("arguments", [[], ["--demo"]])
def test_a_port_taken_by_a_stranger_is_said_in_one_sentence(var: Path, start: Start, arguments: list[str]) -> None:
    with socket.socket() as stranger:
        stranger.bind(("127.0.0.1", 0))
        stranger.listen()
        port = stranger.getsockname()[1]
        env = environment(var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}")
        running = start([PYTHON, "manage.py", "serve", *arguments], env)
        assert running.end() == 1
    assert running.lines == [
        f"Port {port} is taken by another program, perhaps by Garboard in another window. "
        f"Stop that one, or choose another port, for instance PORT={port + 1}."
    ]
    assert processes_of(var) == []


BAD = [
    ({}, ["PUBLIC_URL is not set."]),
    (
        {"PORT": "eighty", "SIGNING_P12": "/nowhere/shop.p12", "DATABASE_URL": "mysql://shop@127.0.0.1/shop"},
        [
            "PORT is not a whole number from 1 to 65535.",
            "can't be read (No such file or directory)",
            "DATABASE_URL is not an address that begins with",
        ],
    ),
    (
        {"DATABASE_URL": "postgresql://shop@127.0.0.1:1/shop"},
        ["The database named in DATABASE_URL does not answer"],
    ),
    ({"REDIS_URL": "redis://127.0.0.1:1/0"}, ["the database is the embedded one"]),
    ({"BIND": "203.0.113.7"}, ["is not an address of this machine"]),
]


@pytest.mark.parametrize(("settings", "sentences"), BAD, ids=["-".join(bad) or "none" for bad, _ in BAD])
def test_bad_settings_are_refused_each_with_a_sentence(
    used_var: Path, start: Start, settings: dict[str, str], sentences: list[str]
) -> None:
    port = free_port()
    good = {"PORT": str(port)} | ({"PUBLIC_URL": f"http://127.0.0.1:{port}"} if settings else {})
    running = start([PYTHON, "manage.py", "serve"], environment(used_var, **(good | settings)))
    assert running.end() != 0
    for sentence in sentences:
        assert sentence in running.output
    assert "Traceback" not in running.output


def test_a_var_folder_that_cannot_be_written_is_refused(var: Path, start: Start) -> None:
    (var / "file").write_text("not a folder")
    running = start([PYTHON, "manage.py", "serve"], environment(var / "file" / "var", PUBLIC_URL="http://127.0.0.1:1"))
    assert running.end() != 0
    assert "can't be written" in running.output
    assert "Traceback" not in running.output
