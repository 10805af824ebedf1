"""Addresses of many records, and rows of hand-written questions."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import NamedTuple
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import ProgrammingError, connection, transaction
from django.template import engines
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from web.addresses import address_of
from web.rows import figures, rows


@pytest.mark.parametrize(
    ("name", "key"),
    [("vessels:vessel", 7), ("vessels:log", 12345), ("workorders:job", 1032), ("vessels:entry", uuid4())],
)
def test_an_address_is_what_reverse_gives(name, key):
    assert address_of(name, key) == reverse(name, args=[key])


def test_an_address_that_does_not_exist_is_an_error():
    with pytest.raises(NoReverseMatch):
        address_of("vessels:no-such-page", 7)


def drawn(template: str, value: object) -> str:
    return engines["django"].from_string("{% load look %}" + template).render({"value": value})


@pytest.mark.parametrize("zone", ["UTC", "America/Los_Angeles", "Pacific/Auckland"])
@pytest.mark.parametrize(
    "value",
    [
        date(2026, 1, 1), date(1999, 12, 31), datetime(2026, 3, 8, 1, 30, tzinfo=UTC),
        datetime(2026, 9, 30, 23, 59, tzinfo=UTC), None, "",
    ],
)  # fmt: skip
def test_a_day_in_a_row_is_written_as_everywhere(value, zone):
    with timezone.override(ZoneInfo(zone)):
        assert drawn("{{ value|day }}", value) == drawn('{{ value|date:"M j, Y" }}', value)


@pytest.mark.parametrize(("name", "key"), [("workorders:job", 1032), ("vessels:entry", uuid4())])
def test_an_address_in_a_row_is_the_one_of_everywhere(name, key):
    assert drawn("{{ value|address:'" + name + "' }}", key) == drawn("{% url '" + name + "' value %}", key)


class Pair(NamedTuple):
    number: int
    word: str


@pytest.mark.django_db
def test_rows_come_in_order_and_values_stay_values():
    asked = {"word": "it's %s; DROP TABLE x", "most": 2}
    sql = "SELECT %(word)s::text AS word, number FROM generate_series(1, %(most)s) AS number ORDER BY number DESC"
    assert rows(Pair, sql, asked) == [Pair(2, asked["word"]), Pair(1, asked["word"])]
    found = figures("SELECT count(*), max(n) AS last FROM generate_series(1, %(most)s) AS n", asked)
    assert found == {"count": 2, "last": 2}


@pytest.mark.django_db
def test_a_question_is_counted_and_written_down_with_its_values():
    with CaptureQueriesContext(connection) as captured:
        figures("SELECT %(number)s + 1", {"number": 41})
    assert [one["sql"] for one in captured] == ["SELECT 41 + 1"]


@pytest.mark.django_db
def test_a_question_is_planned_once_for_a_connection():
    sql = "SELECT count(*) AS asked_once FROM staff_person WHERE id = %(key)s"
    for key in (1, 2, 3):
        figures(sql, {"key": key})
    kept = figures(
        "SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE 'SELECT count(*) AS asked_once%%'", {}
    )
    assert kept == {"count": 1}


@pytest.mark.django_db
def test_a_wrong_question_is_djangos_error_and_part_of_the_transaction():
    with pytest.raises(ProgrammingError), transaction.atomic():
        rows(Pair, "SELECT nothing FROM nowhere", {})
    assert figures("SELECT 1 AS one", {}) == {"one": 1}


@pytest.mark.django_db
def test_behind_a_pooler_nothing_is_prepared_and_all_is_answered(monkeypatch):
    connection.ensure_connection()
    monkeypatch.setattr(connection.connection, "prepare_threshold", None)
    assert figures("SELECT %(number)s::int AS asked_of_a_pooler", {"number": 4}) == {"asked_of_a_pooler": 4}
    kept = figures("SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE '%%asked_of_a_pooler'", {})
    assert kept == {"count": 0}
