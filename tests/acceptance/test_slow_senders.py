"""Requests that never end do not keep anybody else from being served."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from tests.acceptance.conftest import Start
from tests.acceptance.running import PYTHON, environment, free_port, get, wait_until

MANY = 200
HEAD = b"GET /accounts/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "
BODY = b"POST /accounts/login/ HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/x-www-form-urlencoded\r\n"
WAYS = {
    "half a head": HEAD,
    "nothing": b"",
    "half a body": BODY + b"Content-Length: 5000\r\n\r\nlogin=wes",
    "half a file": BODY + b"Content-Length: 20000000\r\n\r\n" + b"x" * 300_000,
    "half a chunk": BODY + b"Transfer-Encoding: chunked\r\n\r\n1000\r\nlogin",
    "half a second request": b"GET /health/ HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n" + HEAD,
}


pytestmark = pytest.mark.long  # its limits on time want the machine for themselves


@pytest.fixture
def site(used_var: Path, start: Start) -> Iterator[int]:
    """The port of a running site."""
    port = free_port()
    settings = {"PORT": str(port), "PUBLIC_URL": f"http://127.0.0.1:{port}"}
    running = start([PYTHON, "manage.py", "serve"], environment(used_var, **settings))
    running.wait_for_line("Ready: ")
    yield port
    assert "Traceback" not in running.output
    running.interrupt()


@contextmanager
def half_sent(port: int, begun: bytes, count: int = MANY) -> Iterator[list[socket.socket]]:
    """So many connections that have sent this much and send no more."""
    with ExitStack() as stack:
        made = []
        for _ in range(count):
            one = stack.enter_context(socket.create_connection(("127.0.0.1", port), timeout=10))
            one.sendall(begun[:150_000])
            made.append(one)
        yield made


def waits(port: int, times: int = 9) -> list[float]:
    """How long the site took to answer, the shortest first."""
    took = []
    for _ in range(times):
        began = time.monotonic()
        assert get(f"http://127.0.0.1:{port}/accounts/login/").status == 200
        took.append(time.monotonic() - began)
    return sorted(took)


def test_the_site_answers_beside_two_hundred_half_sent_requests(site: int) -> None:
    waits(site)  # everything is loaded
    for way, begun in WAYS.items():
        with half_sent(site, begun) as senders:
            if begun.startswith(b"GET /health/"):  # each is answered once before it begins another
                assert all(sender.recv(9) == b"HTTP/1.1 " for sender in senders)
            took = waits(site)
            print(f"{way}: {took[len(took) // 2]:.2f} s, at most {took[-1]:.2f} s")
            assert took[len(took) // 2] < 1, f"{way}: {took}"
            assert took[-1] < 5, f"{way}: {took}"


def test_half_sent_requests_are_sent_away_in_time(site: int) -> None:
    with half_sent(site, HEAD, 3) as senders:
        began = time.monotonic()
        for one in senders:
            one.settimeout(30)
            assert one.recv(100) == b""
        assert 8 < time.monotonic() - began < 20


def test_a_head_without_end_is_refused(site: int) -> None:
    with socket.create_connection(("127.0.0.1", site), timeout=10) as one:
        try:
            for _ in range(200):
                one.sendall(b"X-More: " + b"x" * 1000 + b"\r\n")
        except OSError:
            return
        try:
            heard = one.recv(100)
        except ConnectionResetError:
            return
        assert heard == b"" or b" 431 " in heard


def test_a_request_in_small_pieces_is_answered_as_any_other(site: int) -> None:
    """A head cut anywhere, a body that follows late, and two requests at once on one connection."""
    ask = b"GET /health/ HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    with socket.create_connection(("127.0.0.1", site), timeout=10) as one:
        for piece in range(0, len(ask), 7):
            one.sendall(ask[piece : piece + 7])
            time.sleep(0.01)
        heard = b""
        while b"HTTP/1.1 " not in heard:
            heard += one.recv(10_000)
        one.sendall(ask + ask)
        heard = b""
        wait = time.monotonic() + 10
        while heard.count(b"HTTP/1.1 ") < 2 and time.monotonic() < wait:
            heard += one.recv(10_000)
        assert heard.count(b"HTTP/1.1 ") == 2


def test_large_bodies_take_their_turn_and_all_are_answered(site: int) -> None:
    """More large files at once than half of the threads: each is read, refused or answered, and none is forgotten."""
    body = b"x" * 1_000_000
    head = BODY + b"Content-Length: %d\r\nConnection: close\r\n\r\n" % len(body)
    with half_sent(site, head, 20) as senders:
        for one in senders:
            one.settimeout(60)
            try:
                one.sendall(body)
            except OSError:
                continue
        answers = []
        for one in senders:
            try:
                answers.append(one.recv(12))
            except OSError:
                answers.append(b"reset")
        assert len(answers) == 20
        assert {answer[:9] for answer in answers} <= {b"HTTP/1.1 ", b"reset"}
        assert answers.count(b"reset") < 20
    wait_until(lambda: waits(site, 1)[0] < 2, "the site answers after them")
