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
from tests.acceptance.conftest import Start
from tests.acceptance.running import (
    PYTHON,
    Running,
    environment,
    free_port,
    get,
    kill_everything,
    processes_of,
    wait_until,
)

SERVE = ["make", "--no-print-directory", "serve"]
SECOND_START_LIMIT = 30.0  # seconds of processor time, which other work on the machine does not use


def serve(start: Start, var: Path, port: int) -> tuple[Running, float]:
    running = start(SERVE, environment(var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}"))
    return running, running.wait_for_line(f"Ready: http://127.0.0.1:{port}/")


def test_serves_and_ctrl_c_leaves_no_process_and_the_second_start_is_quick(var: Path, start: Start) -> None:
    port = free_port()
    running, first = serve(start, var, port)
    health = get(f"http://127.0.0.1:{port}/health/")
    assert (health.status, health.json["well"]) == (200, True)
    assert health.json["migrations"] == "Every migration is applied."
    login = get(f"http://127.0.0.1:{port}/accounts/login/")
    assert login.status == 200
    assert "default-src 'none'" in login.headers["content-security-policy"]
    assert_static_files_are_kept_by_browsers(port, login.body.decode())
    assert running.interrupt() != 0
    assert processes_of(var) == []
    again, second = serve(start, var, port)
    took = again.processor_seconds()
    again.interrupt()
    assert processes_of(var) == []
    print(f"{took:.1f} s of processor time")
    assert took < SECOND_START_LIMIT
    print(f"first start {first:.1f} s, second start {second:.1f} s")


def assert_static_files_are_kept_by_browsers(port: int, page: str) -> None:
    sheets = re.findall(r'href="(/static/[^"]+\.css)"', page)
    assert sheets
    for sheet in sheets:
        answer = get(f"http://127.0.0.1:{port}{sheet}", Accept_Encoding="gzip")
        assert answer.status == 200
        assert "immutable" in answer.headers["cache-control"]
        assert answer.headers["content-encoding"] == "gzip"


def test_kill_of_everything_loses_nothing_committed(used_var: Path, start: Start) -> None:
    port = free_port()
    serve(start, used_var, port)
    url = EmbeddedPostgres(used_var / "postgresql").url
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
    assert kill_everything(used_var) > 3
    writer.join(20)
    assert stopped.is_set()

    again, seconds = serve(start, used_var, port)
    with psycopg.connect(url) as connection:
        row = connection.execute("SELECT count(*), max(number) FROM heard").fetchone()
        durable = connection.execute("SHOW fsync").fetchone()
    assert durable == ("on",)
    assert row is not None
    assert row[0] in {len(heard), len(heard) + 1}  # the last one may have been committed unheard
    assert row[1] >= heard[-1]
    assert get(f"http://127.0.0.1:{port}/health/").status == 200
    print(f"start after kill -9 {seconds:.1f} s")
    again.interrupt()
    assert processes_of(used_var) == []


def test_a_database_left_over_by_a_killed_web_server_is_taken_up(used_var: Path, start: Start) -> None:
    port = free_port()
    running, _ = serve(start, used_var, port)
    postmaster = EmbeddedPostgres(used_var / "postgresql").running_pid()
    assert postmaster is not None
    for process in processes_of(used_var):
        if process.name() != "postgres":
            process.kill()
    running.end()
    wait_until(
        lambda: {process.name() for process in processes_of(used_var)} == {"postgres"}, "only the database is left"
    )
    again, _ = serve(start, used_var, port)
    assert EmbeddedPostgres(used_var / "postgresql").running_pid() == postmaster
    again.interrupt()
    assert processes_of(used_var) == []


def test_a_pid_file_that_names_a_stranger_is_not_believed(used_var: Path, start: Start) -> None:
    port = free_port()
    serve(start, used_var, port)
    kill_everything(used_var)
    pid_file = used_var / "postgresql" / "data" / "postmaster.pid"
    lines = pid_file.read_text().split("\n")
    pid_file.write_text("\n".join([str(os.getpid()), *lines[1:]]))
    again, _ = serve(start, used_var, port)
    again.interrupt()


def test_a_killed_database_is_started_again_while_the_pages_say_so(used_var: Path, start: Start) -> None:
    port = free_port()
    running, _ = serve(start, used_var, port)
    server = EmbeddedPostgres(used_var / "postgresql")
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
    running.interrupt()
    assert processes_of(used_var) == []


def test_a_kill_of_the_program_leaves_no_database_running(used_var: Path, start: Start) -> None:
    port = free_port()
    running, _ = serve(start, used_var, port)
    os.kill(running.process.pid, signal.SIGKILL)  # make
    wait_until(lambda: running.process.poll() is not None, "make has ended")  # reaped: no process half gone
    master = next(one for one in processes_of(used_var) if "serve" in one.cmdline() and one.name() != "make")
    master.kill()
    wait_until(lambda: processes_of(used_var) == [], "nothing is left")
    running.end()


def test_a_command_beside_the_server_shares_the_database_and_leaves_it_running(used_var: Path, start: Start) -> None:
    port = free_port()
    running, _ = serve(start, used_var, port)
    said = subprocess.run(
        [PYTHON, "manage.py", "health"], cwd=ROOT, env=environment(used_var), capture_output=True, text=True, check=True
    )
    assert "database: The database answers." in said.stdout
    assert get(f"http://127.0.0.1:{port}/health/").status == 200
    assert_a_large_body_is_refused(port)
    os.killpg(running.process.pid, signal.SIGTERM)  # as a service manager ends it
    running.end()
    assert processes_of(used_var) == []


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


def assert_a_large_body_is_refused(port: int) -> None:
    """Announced, and not sent: the answer comes before the body."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.putrequest("POST", "/accounts/login/")
    connection.putheader("Content-Length", str(26 * 1024 * 1024))
    connection.endheaders()
    answer = connection.getresponse()
    assert answer.status == 413
    assert b"At most 25 MB" in answer.read()
    connection.close()


def test_a_taken_port_is_said_in_a_sentence(used_var: Path, start: Start) -> None:
    port = free_port()
    running, _ = serve(start, used_var, port)
    second = start(SERVE, environment(used_var, PORT=str(port), PUBLIC_URL=f"http://127.0.0.1:{port}"))
    assert second.end() != 0
    assert f"Port {port} is taken by another program" in second.output
    assert "Traceback" not in second.output
    assert get(f"http://127.0.0.1:{port}/health/").status == 200
    running.interrupt()


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
