"""The demo scenario: what it promises is there, and every page of it opens for those who may see it."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test import Client

from findings.models import Fault, Reading
from shopfloor.demo.play import play_scenario
from shopfloor.demo.reports import sign_demo_reports
from shopfloor.demo.shop import HANDS
from shopfloor.demo.visits import all_visits
from staff.models import Person
from staff.policy import Role
from vessels.models import Engine, LogEntry, Vessel
from workorders.models import Job

pytestmark = pytest.mark.django_db
LAST_DAY = date(2026, 11, 20)
LINK = re.compile(r'href="(/[^"#]*)')


@pytest.fixture(scope="module")
def scenario(django_db_setup: None, django_db_blocker) -> Iterator[None]:
    """Four years, played once for the whole module and rolled back at its end."""
    with django_db_blocker.unblock():
        outer = transaction.atomic()
        outer.__enter__()
        try:
            stage = play_scenario(LAST_DAY)
            sign_demo_reports(stage)
            with connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            yield
        finally:
            transaction.set_rollback(True)
            outer.__exit__(None, None, None)


@pytest.fixture(autouse=True)
def _on_stage(scenario: None) -> None:
    """Every test of this file looks at the same scenario."""


def test_the_fleet_is_as_large_as_promised() -> None:
    assert Vessel.objects.count() >= 12
    assert Engine.objects.count() >= 20
    assert Job.objects.count() >= 60
    assert Person.objects.count() == 6
    opened = [job.opened_at for job in Job.objects.all()]
    assert (max(opened) - min(opened)).days >= 3.75 * 365
    assert {engine.position for engine in Engine.objects.all()} >= {"port", "starboard", "single", "generator"}


def test_one_fault_returned_three_times_and_its_last_repair_held() -> None:
    fault = Fault.objects.get(vessel__name="Marguerite", code="110-0")
    assert (fault.returns, fault.state) == (3, "historic")


def test_one_comeback_within_twenty_hours() -> None:
    fault = Fault.objects.get(vessel__name="Skate", code="P0121")
    gap = fault.appearances.get(number=2).gap_hours
    assert gap is not None
    assert gap < Decimal(20)


def test_a_reading_creeps_to_its_limit() -> None:
    found = Reading.objects.filter(entry__vessel__name="Plover", parameter__name="Fuel pressure", value__lt=100)
    values = list(found.order_by("entry__happened_at").values_list("value", "verdict"))
    assert [value for value, _ in values] == sorted((value for value, _ in values), reverse=True)
    assert values[0][1] == "in range"
    assert values[-1][1] == "near"


def test_a_replaced_meter_goes_on_from_the_true_hours() -> None:
    engine = Engine.objects.get(vessel__name="Old Harmony")
    assert engine.meters.count() == 2
    hours = list(
        LogEntry.objects.filter(engine=engine, kind="hours")
        .order_by("happened_at")
        .values_list("engine_hours", flat=True)
    )
    assert hours == sorted(hours)
    assert hours[-1] > 2841


def test_a_boat_changed_its_owner_and_kept_its_history() -> None:
    vessel = Vessel.objects.get(name="Tern")
    assert [ownership.customer.name for ownership in vessel.ownerships.order_by("since")] == [
        "Corwin Vane",
        "Ottoline Farrow",
    ]
    assert vessel.jobs.values("customer").distinct().count() == 2


def test_log_and_faults_agree_with_what_was_written() -> None:
    out = io.StringIO()
    call_command("verify_log", stdout=out)
    assert "every digest agrees" in out.getvalue()
    call_command("rebuild_faults", "--check", stdout=io.StringIO())


def test_a_filled_database_is_left_alone_and_the_logins_are_told() -> None:
    before = LogEntry.objects.count()
    with pytest.raises(CommandError, match="not empty"):
        call_command("demo")
    out = io.StringIO()
    call_command("demo", "--if-empty", stdout=out)
    assert LogEntry.objects.count() == before
    lines = out.getvalue().splitlines()
    assert len(lines) == len(HANDS)
    assert {line.split()[1] for line in lines if line.startswith("login: ")} == {role.value for role in Role}


def test_played_again_the_same_things_happen() -> None:
    first = sorted(LogEntry.objects.exclude(kind__startswith="report").values_list("pk", "kind", "happened_at"))
    assert len(first) > 900
    assert all_visits() == all_visits()
    assert len({pk for pk, _, _ in first}) == len(first)


@pytest.mark.slow
@pytest.mark.timeout(300)
@pytest.mark.parametrize("role", list(Role))
def test_every_page_opens_for_those_who_may_see_it(role: Role) -> None:
    client = Client()
    person = Person.objects.filter(role=role.value).first()
    assert person is not None
    client.force_login(person)
    waiting, seen, kinds = ["/"], {"/"}, {}
    while waiting and len(seen) < 3000:
        address = waiting.pop(0)
        shape = re.sub(r"[0-9a-f]{8}-[0-9a-f-]{27}|\d+", "N", address.split("?")[0])
        kinds[shape] = kinds.get(shape, 0) + 1
        if kinds[shape] > 4:
            continue
        answer = client.get(address)
        assert answer.status_code in {200, 302}, f"{address}: {answer.status_code}"
        if not answer.get("Content-Type", "").startswith("text/html") or answer.status_code != 200:
            assert b"".join(answer) or answer.status_code == 302
            continue
        page = answer.content.decode()
        assert page.count("<h1") == 1, address
        assert "style=" not in page, address
        for found in LINK.findall(page):
            link = found.replace("&amp;", "&")
            if link not in seen and not link.startswith(("/static/", "/media/")):
                seen.add(link)
                waiting.append(link)
    assert len(kinds) > 20
