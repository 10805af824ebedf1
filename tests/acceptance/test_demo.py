"""``make demo``: one command to an invented shop, a login for each role, and nothing lost by stopping it."""

from __future__ import annotations

import http.cookiejar
import re
import signal
import urllib.parse
import urllib.request
from pathlib import Path

import psycopg
import pytest

from shopfloor.demo.shop import HANDS
from shopfloor.postgres import EmbeddedPostgres
from staff.policy import Role
from tests.acceptance.conftest import Start
from tests.acceptance.demo_once import DEMO, FILLING_LIMIT, FirstDemo, counts
from tests.acceptance.folders import fill_from
from tests.acceptance.running import Running, environment, free_port, get, kill_everything, processes_of, wait_until

SECOND_START_LIMIT = 30.0  # seconds of processor time, which other work on the machine does not use


def start_demo(start: Start, var: Path, port: int) -> tuple[Running, float]:
    running = start(DEMO, environment(var, PORT=str(port)))
    return running, running.wait_for_line(f"Ready: http://127.0.0.1:{port}/", FILLING_LIMIT)


def logins(lines: list[str]) -> list[tuple[str, str, str]]:
    found = re.findall(r"^login: (\S+) (\S+) (\S+)$", "\n".join(lines), re.MULTILINE)
    return [(role, user, password) for role, user, password in found]


def all_said(running: Running) -> list[tuple[str, str, str]]:
    wait_until(lambda: running.output.count("login: ") >= len(HANDS), "a login for each hand is printed")
    return logins(running.lines)


def logged_in(port: int, user: str, password: str) -> urllib.request.OpenerDirector:
    """A browser of this person, logged in through the page as people do it."""
    opener = urllib.request.build_opener(
        urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    )
    address = f"http://127.0.0.1:{port}/accounts/login/"
    with opener.open(address, timeout=30) as page:
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page.read().decode())
    assert token
    form = urllib.parse.urlencode({"csrfmiddlewaretoken": token[1], "login": user, "password": password})
    request = urllib.request.Request(address, form.encode(), {"Referer": address})
    with opener.open(request, timeout=30) as page:
        assert page.status == 200
        assert page.url == f"http://127.0.0.1:{port}/", page.url
    return opener


def test_an_invented_shop_with_a_login_for_each_role_that_stays(
    demo_once: Path, first_demo: FirstDemo, var: Path, start: Start
) -> None:
    said = logins(first_demo.lines)
    output = "\n".join(first_demo.lines)
    assert re.search(r"^[0-9]+ of [0-9]+ boats, [0-9]+ of [0-9]+ jobs$", output, re.MULTILINE), output
    ready = first_demo.lines.index(f"Ready: http://127.0.0.1:{first_demo.port}/")
    assert all(line.startswith("login: ") for line in first_demo.lines[ready + 1 :]), output
    assert {role for role, _, _ in said} == {role.value for role in Role}
    assert first_demo.rows["vessels_vessel"] >= 12
    assert first_demo.rows["workorders_job"] >= 60
    assert first_demo.rows["reports_issuedreport"] >= 1
    assert first_demo.ended_with != 0
    assert first_demo.left_running == []

    fill_from(demo_once, var)
    url, port = EmbeddedPostgres(var / "postgresql").url, free_port()
    again, second = start_demo(start, var, port)
    took = again.processor_seconds()
    print(f"{took:.1f} s of processor time")
    assert took < SECOND_START_LIMIT
    assert all_said(again) == said
    for _, user, password in said:
        logged_in(port, user, password)
    assert counts(url) == first_demo.rows
    print(f"first start {first_demo.seconds:.1f} s, second start {second:.1f} s")

    kill_everything(var)
    after_kill, _ = start_demo(start, var, port)
    assert counts(url) == first_demo.rows
    assert after_kill.processor_seconds() < SECOND_START_LIMIT
    assert get(f"http://127.0.0.1:{port}/health/").json["well"] is True
    after_kill.interrupt()
    assert processes_of(var) == []


@pytest.mark.long
def test_a_demo_that_was_stopped_while_filling_is_filled_by_the_next_start(var: Path, start: Start) -> None:
    port = free_port()
    running = start(DEMO, environment(var, PORT=str(port)))
    url = EmbeddedPostgres(var / "postgresql").url

    def is_filling() -> bool:
        try:
            with psycopg.connect(url) as connection:
                found = connection.execute(
                    "SELECT count(*) FROM pg_stat_activity WHERE datname = 'garboard' AND xact_start IS NOT NULL "
                    "AND query ILIKE 'INSERT INTO \"vessels_%'"
                ).fetchone()
        except psycopg.OperationalError:
            return False
        return found is not None and int(str(found[0])) > 0

    wait_until(is_filling, "the demo scenario is being written", 120)
    running.process.send_signal(signal.SIGKILL)
    kill_everything(var)
    running.end()
    again, _ = start_demo(start, var, port)
    assert len(all_said(again)) >= len(Role)
    assert counts(url)["workorders_job"] >= 60
    again.interrupt()
