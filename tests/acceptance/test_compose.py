"""What docker-compose.yml says, run as processes: web, worker, beat, PostgreSQL and Redis."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from ipaddress import ip_network
from pathlib import Path
from typing import Any

import psycopg
import pytest
import yaml

from shopfloor.database import ROOT
from tests.acceptance.conftest import Start
from tests.acceptance.running import (
    Running,
    environment,
    free_port,
    get,
    kill_everything,
    processes_of,
    wait_until,
)
from tests.acceptance.services import SystemPostgres, SystemRedis
from tests.conftest import settings_of_the_environment

COMPOSE: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
OURS = ["web", "worker", "beat"]
ALIVE = timedelta(seconds=30)


class Site:
    """The five services of docker-compose.yml on this machine."""

    def __init__(self, var: Path, start: Start) -> None:
        self.var = var
        self.start = start
        self.postgresql = SystemPostgres(var)
        self.redis = SystemRedis(var, COMPOSE["services"]["redis"]["command"])
        self.port = free_port()
        self.running: dict[str, Running] = {}

    def environment(self, service: str) -> dict[str, str]:
        """The settings of the service, with this machine's addresses in place of the containers'."""
        here = {
            "PUBLIC_URL": "https://garboard.example.com",
            "SECRET_KEY": "a-key-for-tests-only-" + "0123456789abcdefghijklmnop" * 2,
            "DATABASE_URL": self.postgresql.url.replace("garboard@", "garboard_program@"),
            "DATABASE_PASSWORD": "n0t @sked/for here'",
            "MIGRATION_DATABASE_URL": self.postgresql.url,
            "REDIS_URL": self.redis.url,
            "GARBOARD_VAR": str(self.var),
            "BIND": "127.0.0.1",
            "PORT": str(self.port),
            "WEB_CONCURRENCY": "2",
        }
        passed = COMPOSE["services"][service]["environment"]
        return environment(self.var, **{name: here.get(name, "") for name in passed})

    def start_services(self, *services: str) -> None:
        """Run the commands of the services."""
        for service in services:
            command = COMPOSE["services"][service]["command"]
            self.running[service] = self.start(command, self.environment(service))
            if service == "web":
                self.running[service].wait_for_line("Ready: ")

    def url(self, path: str) -> str:
        """An address of the web service."""
        return f"http://127.0.0.1:{self.port}{path}"

    def is_well(self) -> bool:
        """Whether health says so."""
        return get(self.url("/health/")).status == 200


@pytest.fixture
def site(var: Path, start: Start) -> Iterator[Site]:
    site = Site(var, start)
    yield site
    for running in site.running.values():
        if running.process.poll() is None:
            running.interrupt()
    site.redis.running.interrupt()
    site.postgresql.stop()


def sessions_in(url: str) -> int:
    with psycopg.connect(url) as connection:
        row = connection.execute("SELECT count(*) FROM staff_session WHERE session_key = 'old'").fetchone()
    assert row is not None
    return int(row[0])


def leave_an_old_session(url: str) -> None:
    yesterday = datetime.now(UTC) - timedelta(days=1)
    with psycopg.connect(url) as connection:
        connection.execute(
            "INSERT INTO staff_session (session_key, session_data, expire_date, address, device, is_shared)"
            " VALUES ('old', '', %s, '', '', false)",
            [yesterday],
        )


@pytest.mark.long
def test_the_services_work_together_and_survive_a_kill_of_everything(site: Site, start: Start) -> None:
    site.start_services("web")
    alone = get(site.url("/health/"))
    assert alone.status == 503
    assert alone.json["worker"] == "No worker has been heard from yet. Are the Celery worker and beat running?"
    assert alone.json["database"] == "The database answers."
    assert alone.json["role"] == "The program's database role cannot switch off what protects the log."
    assert get(site.url("/accounts/login/"), Host="garboard.example.com", X_Forwarded_Proto="https").status == 200

    # A task that nobody can do yet waits for a worker.
    leave_an_old_session(site.postgresql.url)
    call = ["celery", "--app", "shopfloor", "call", "shopfloor.tasks.clear_old_sessions"]
    assert start(call, site.environment("worker")).end() == 0
    assert sessions_in(site.postgresql.url) == 1
    site.start_services("worker")
    wait_until(lambda: sessions_in(site.postgresql.url) == 0, "the worker has done the task", 90)
    site.start_services("beat")
    wait_until(site.is_well, "the worker is heard of", ALIVE.total_seconds())
    assert "The worker was last heard from" in get(site.url("/health/")).json["worker"]

    # kill -9 of everything, then the same commands again.
    leave_an_old_session(site.postgresql.url)
    assert kill_everything(site.var) >= 8
    for running in site.running.values():
        running.end()
    site.postgresql.start_again()
    site.redis.start_again()
    (site.var / "heartbeat").unlink()
    assert sessions_in(site.postgresql.url) == 1
    site.start_services(*OURS)
    assert start(call, site.environment("worker")).end() == 0
    wait_until(lambda: sessions_in(site.postgresql.url) == 0, "the new worker has done the task", 90)
    wait_until(site.is_well, "all is well again", ALIVE.total_seconds())

    for service in reversed(OURS):
        site.running[service].interrupt()
    left = [process.name() for process in processes_of(site.var) if process.name() not in {"postgres", "redis-server"}]
    assert left == []


@pytest.mark.long
def test_a_redis_that_is_gone_takes_no_page_along(site: Site) -> None:
    site.start_services("web")
    site.redis.running.process.kill()
    site.redis.running.process.wait()
    for path, status in [
        ("/accounts/login/", 200),
        ("/", 302),
        ("/verify/", 200),
        ("/verify/1001-1/ABCD-EFGH-JKMN/", 200),
    ]:
        began = time.monotonic()
        answer = get(site.url(path), Host="garboard.example.com", X_Forwarded_Proto="https")
        assert answer.status in {status, 404}, path
        assert time.monotonic() - began < 3, path
    health = get(site.url("/health/"))
    assert health.status == 503
    assert "Redis does not answer" in health.json["worker"]
    site.redis.running.close()
    site.redis.running = site.redis._start()


def test_each_service_refuses_a_bad_setting(site: Site, start: Start) -> None:
    for service in OURS:
        env = site.environment(service) | {"SECRET_KEY": "boat"}
        running = start(COMPOSE["services"][service]["command"], env)
        assert running.end() != 0, service
        assert "SECRET_KEY is too short or too plain." in running.output
        assert "Traceback" not in running.output


def test_every_service_of_ours_is_built_from_one_image_with_known_settings() -> None:
    known = settings_of_the_environment() | {"GARBOARD_VAR", "DATABASE_URL"}
    for name in OURS:
        service = COMPOSE["services"][name]
        assert service["build"] == {"context": ".", "dockerfile": "deploy/Dockerfile"}
        assert set(service["environment"]) <= known
        assert {"PUBLIC_URL", "SECRET_KEY", "DATABASE_URL", "REDIS_URL"} <= set(service["environment"])
        assert "var:/srv/garboard/var" in service["volumes"]
    assert set(COMPOSE["services"]) == {*OURS, "postgresql", "redis"}


def test_the_image_has_what_the_program_needs() -> None:
    lines = (ROOT / "deploy" / "Dockerfile").read_text().splitlines()
    assert any("--require-hashes" in line and "requirements/base.txt" in line for line in lines)
    script = (ROOT / "deploy" / "prepare.sh").read_text()
    for package in ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"]:
        assert any(package in line for line in lines)
        assert package in script
    user = [line for line in lines if line.startswith("USER ")]
    assert user == ["USER garboard"]


def test_compose_passes_every_setting_on() -> None:
    """What compose itself decides, and what only developers set, is named here; everything else can be set in .env."""
    decided = {"PUBLIC_URL", "SECRET_KEY", "DATABASE_URL", "DATABASE_PASSWORD", "REDIS_URL", "BIND", "PORT"}
    decided |= {"MIGRATION_DATABASE_URL", "MIGRATION_DATABASE_PASSWORD"}
    developers = {"DEBUG"}
    given = {name for service in OURS for name in COMPOSE["services"][service]["environment"]}
    assert given == (settings_of_the_environment() | {"GARBOARD_VAR", "DATABASE_URL"}) - developers
    for service in OURS:
        for name, value in COMPOSE["services"][service]["environment"].items():
            if name not in decided | {"GARBOARD_VAR"}:
                assert value == f"${{{name}:-}}", name


def test_a_setting_that_compose_passes_on_empty_is_its_default(var: Path, start: Start) -> None:
    site_wide = COMPOSE["services"]["web"]["environment"]
    empty = {name: "" for name, value in site_wide.items() if str(value).endswith(":-}")}
    assert len(empty) > 8
    env = environment(var, PUBLIC_URL="http://127.0.0.1:8000", DATABASE_URL="postgresql://x@127.0.0.1/x", **empty)
    done = start(["python", "manage.py", "check"], env)
    assert done.end() == 0, done.output


def test_a_password_of_any_characters_gets_to_the_database(var: Path, start: Start) -> None:
    hard = "p@ss/w#rd%41:?& €'\""
    code = "from shopfloor import settings; print(repr(settings.DATABASES['default']['PASSWORD']))"
    env = environment(var, DATABASE_URL="postgresql://garboard@postgresql/garboard", DATABASE_PASSWORD=hard)
    done = start(["python", "-c", code], env)
    assert done.end() == 0, done.output
    assert done.lines[-1] == repr(hard)


def test_the_variables_that_compose_needs_are_in_the_example() -> None:
    text = (ROOT / "docker-compose.yml").read_text()
    example = (ROOT / "deploy" / "compose.env.example").read_text()
    passed_on = {part.split("}")[0].split(":")[0] for part in text.split("${")[1:]}
    needed = {part.split(":")[0] for part in text.split("${")[1:] if part.split("}")[0].count(":?")}
    given = dict(line.split("=", 1) for line in example.splitlines() if "=" in line and not line.startswith("#"))
    # The proxy is nothing that compose insists on, but without it everybody behind it counts as one address.
    assert set(given) == needed | {"TRUSTED_PROXIES"}
    assert set(given) <= passed_on
    assert ip_network(given["TRUSTED_PROXIES"]).is_private
    assert os.access(ROOT / "manage.py", os.X_OK)
