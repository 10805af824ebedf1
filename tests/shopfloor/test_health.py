"""``/health/`` and ``manage.py health``: what is well, and a sentence for what is not."""

from __future__ import annotations

import io
import time
from typing import Any

import pytest
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.db import OperationalError, connection
from django.test import Client
from pytest_django import Settings
from redis.exceptions import ConnectionError as RedisConnectionError

from shopfloor import health
from shopfloor.tasks import beat_the_heart

pytestmark = pytest.mark.django_db


def test_well_without_a_login(client: Client) -> None:
    answer = client.get("/health/")
    assert answer.status_code == 200
    assert answer.json() == {
        "well": True,
        "database": "The database answers.",
        "migrations": "Every migration is applied.",
    }
    assert "no-store" in answer["Cache-Control"]


def test_only_looking_is_allowed(client: Client) -> None:
    assert client.head("/health/").status_code == 200
    assert client.post("/health/").status_code == 405


def test_a_database_that_is_away(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def away(*args: Any, **kwargs: Any) -> None:
        raise OperationalError("password for shop at 192.0.2.7")

    monkeypatch.setattr(connection, "cursor", away)
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json() == {"well": False, "database": "The database does not answer. Is PostgreSQL running?"}


def test_a_migration_that_is_not_applied(client: Client) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
    answer = client.get("/health/")
    assert answer.status_code == 503
    assert answer.json()["migrations"].startswith("1 migration(s) are not applied. Run manage.py migrate")
    with pytest.raises(CommandError, match="Not everything is well"):
        call_command("health", stdout=io.StringIO())


class TestWorker:
    @pytest.fixture(autouse=True)
    def queue(self, settings: Settings) -> None:
        settings.REDIS_URL = "redis://127.0.0.1:1/0"

    def test_never_heard_of(self, client: Client) -> None:
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("No worker has been heard of yet.")

    def test_heard_of_just_now(self, client: Client) -> None:
        beat_the_heart()
        answer = client.get("/health/")
        assert answer.status_code == 200
        assert answer.json()["worker"] == "The worker was heard of 0 s ago."

    def test_not_heard_of_for_long(self, client: Client) -> None:
        cache.set(health.HEARTBEAT, time.time() - 400, timeout=None)
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("The worker was last heard of 0:06:40 ago.")

    def test_redis_away(self, client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        def away(*args: Any) -> None:
            raise RedisConnectionError

        monkeypatch.setattr(health, "cache", type("Away", (), {"get": away})())
        answer = client.get("/health/")
        assert answer.status_code == 503
        assert answer.json()["worker"].startswith("Redis does not answer")


def test_the_command_says_each_finding() -> None:
    said = io.StringIO()
    call_command("health", stdout=said)
    assert said.getvalue().splitlines() == [
        "database: The database answers.",
        "migrations: Every migration is applied.",
    ]
