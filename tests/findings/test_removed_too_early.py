"""An engine or unit is not removed on a day before something that was found on it in the boat."""

from __future__ import annotations

import html
import re
from decimal import Decimal

import pytest
from django.urls import reverse

from commands.refusals import Refused
from findings.faults.models import Fault
from tests.findings.story import COOLANT, at, clear, fault, scan, seen, work
from vessels.actions import add_unit, log_hours, remove_engine, remove_unit, replace_meter, retract
from vessels.models import ControlUnit

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client, cast):
    client.force_login(cast.manager)
    return client


def words(page):
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode())).split())


LATER = {
    "a scan": lambda cast: scan(cast, 60, None, [seen(COOLANT)]),
    "a clear": lambda cast: clear(cast, 60, None),
    "hours": lambda cast: log_hours(by=cast.tech, engine=cast.port, shown=Decimal(20), happened_at=at(60)),
    "a meter": lambda cast: replace_meter(by=cast.tech, engine=cast.port, happened_at=at(60)),
}


@pytest.mark.parametrize("what", LATER)
def test_an_engine_is_not_removed_before_what_was_logged_of_it_later(cast, what):
    LATER[what](cast)
    with pytest.raises(Refused) as refusal:
        remove_engine(by=cast.manager, engine=cast.port, happened_at=at(10))
    assert list(refusal.value.fields) == ["happened_at"]
    assert "of this engine on May 31, 2025, after this: it was still aboard." in refusal.value.sentence
    cast.port.refresh_from_db()
    assert cast.port.removed_on is None
    remove_engine(by=cast.manager, engine=cast.port, happened_at=at(61))
    cast.port.refresh_from_db()
    assert cast.port.removed_on == at(61).date()


def test_on_the_day_itself_either_may_have_come_first(cast):
    scan(cast, 60, 100, [seen(COOLANT)])
    remove_engine(by=cast.manager, engine=cast.port, happened_at=at(59.9))


def test_what_was_voided_or_is_of_another_engine_stands_in_nobodys_way(cast):
    wrong = scan(cast, 60, 100, [seen(COOLANT)])
    scan(cast, 70, 100, [seen(COOLANT)], unit=cast.starboard_unit)
    retract(by=cast.manager, entry=wrong.entry, reason="The other engine.")
    remove_engine(by=cast.manager, engine=cast.port, happened_at=at(10))


def test_work_on_an_engine_that_is_in_the_shop_does_not_say_that_it_was_aboard(cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 60, None, [fault()])
    remove_engine(by=cast.manager, engine=cast.port, happened_at=at(10))


def test_a_unit_is_not_removed_before_its_own_scan_and_may_be_before_that_of_another(cast):
    other = add_unit(by=cast.tech, vessel=cast.vessel, engine=cast.port, name="Gateway", happened_at=at(1))
    scan(cast, 60, 100, [seen(COOLANT)])
    remove_unit(by=cast.manager, unit=other, happened_at=at(10))
    with pytest.raises(Refused, match="of this unit on May 31, 2025, after this"):
        remove_unit(by=cast.manager, unit=cast.port_unit, happened_at=at(10))


def test_the_form_says_so_beside_its_day(manager, cast):
    scan(cast, 60, 100, [seen(COOLANT)])
    page = manager.post(reverse("vessels:engine-remove", args=[cast.port.pk]), {"happened_at": "2025-04-11T12:00"})
    assert page.status_code == 422
    assert "“Scan” is logged of this engine on May 31, 2025, after this" in words(page)


def test_hours_are_those_that_were_last_known_and_not_those_of_the_removal(manager, cast):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1070), happened_at=at(0))
    replace_meter(by=cast.tech, engine=cast.port, happened_at=at(10))
    remove_engine(by=cast.manager, engine=cast.port, happened_at=at(40))
    told = words(manager.get(reverse("vessels:engines", args=[cast.vessel.pk])))
    assert "removed May 11, 2025 · last known 1,070 h, Apr 1, 2025" in told
    assert "at 1,070 h" not in told


def test_what_is_dated_wrong_from_before_is_not_said_to_have_stood_open(manager, cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 1, 100)
    scan(cast, 60, 140, [seen(COOLANT)])
    ControlUnit.objects.filter(pk=cast.port_unit.pk).update(removed_on=at(10).date())
    boat = words(manager.get(f"/vessels/{cast.vessel.pk}/"))
    assert "stood open" not in boat
    assert "1 is open by scans from after the day on which its unit is said to have been removed." in boat
    assert "is not open" not in boat
    page = words(manager.get(reverse("findings:fault", args=[Fault.objects.get().pk])))
    assert "removed on Apr 11, 2025 by its record, and what is told here is from after that day." in page


@pytest.mark.parametrize("found", [scan, clear])
def test_nothing_is_found_on_a_unit_after_it_was_removed(cast, found):
    scan(cast, 0, 100, [seen(COOLANT)])
    remove_unit(by=cast.manager, unit=cast.port_unit, happened_at=at(10))
    cast.port_unit.refresh_from_db()
    with pytest.raises(Refused, match="was removed from the boat on Apr 11, 2025"):
        found(cast, 60, 120)
    found(cast, 10, 120)
    found(cast, 5, 110)
