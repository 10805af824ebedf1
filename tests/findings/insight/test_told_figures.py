"""What stands beside the figures of Insight: one and none of a thing, the filter and its day, a filter with nothing."""

from __future__ import annotations

import html
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from findings.faults.actions import log_scan, log_work
from findings.faults.models import Fault
from findings.insight.queries import Scope, figures
from tests.findings.insight.test_insight import boat, look, repair
from tests.findings.story import COOLANT, OIL, seen
from vessels.models import EngineFamily

HOLD = "away for 50 h (365 days where hours are unknown) and not back since"


def told(client, cast, address):
    """The words of a page, each run of spaces as one."""
    client.force_login(cast.manager)
    body = client.get(address).content.decode()
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split()).replace(" ,", ",").replace(" .", ".")


def held(cast):
    unit = boat(cast, "Held", cast.family)
    repair(cast, unit, OIL, days_ago=100, hours=100)
    look(cast, unit, [], days_ago=10, hours=160)


def held_by_days(cast):
    unit = boat(cast, "Days", cast.family)
    repair(cast, unit, OIL, days_ago=500, hours=None)
    look(cast, unit, [], days_ago=10, hours=None)


def came_back(cast):
    unit = boat(cast, "Back", cast.family)
    repair(cast, unit, COOLANT, days_ago=100, hours=100)
    look(cast, unit, [seen(COOLANT)], days_ago=90, hours=118)


def open_ended(cast):
    repair(cast, boat(cast, "Young", cast.family), OIL, days_ago=5, hours=100)


@pytest.mark.parametrize(
    ("stories", "repairs", "comebacks", "said"),
    [
        ([], "0 pieces of work", "0 times that", f"0 of 0 {HOLD}"),
        ([held], "1 piece of work", "0 times that", f"1 of 1 {HOLD}; none of 1 came back"),
        ([held_by_days], "1 piece of work", "0 times that", f"1 of 1 {HOLD}; none of 1 came back"),
        ([came_back], "1 piece of work", "1 time that", f"0 of 1 {HOLD}; 1 of 1 came back"),
        ([open_ended], "1 piece of work", "0 times that", f"0 of 0 {HOLD}; of 1, no scan has shown either yet"),
        (
            [held, came_back, open_ended],
            "3 pieces of work",
            "1 time that",
            f"1 of 2 {HOLD}; 1 of 2 came back; of 1 more, no scan has shown either yet",
        ),
    ],
)
def test_one_and_none_are_told_as_such(cast, client, stories, repairs, comebacks, said):
    for story in stories:
        story(cast)
    words = told(client, cast, "/insight/")
    assert f"Repairs {repairs}" in words
    assert f"Comebacks {comebacks}" in words
    assert f"Repairs that held {said} Faults" in words
    found = figures(Scope())
    assert found.repairs == found.held + found.came_back + found.undecided == len(stories)


def test_every_page_tells_its_filter_and_since_which_day(cast, client):
    came_back(cast)
    other = EngineFamily.objects.create(maker="Ostwind", name="V8")
    unit = boat(cast, "Foreign", other)
    repair(cast, unit, OIL, days_ago=700, hours=10)
    since = timezone.localtime() - timedelta(days=365)
    day = f"{since:%b} {since.day}, {since.year}"
    for page in ("", "returned/", "comebacks/", "repairs/", "recurrence/"):
        assert "Every engine family, over all time." in told(client, cast, f"/insight/{page}"), page
        asked = f"/insight/{page}?months=12&family={other.pk}"
        assert f"Ostwind V8, since {day}." in told(client, cast, asked), page
    words = told(client, cast, "/insight/repairs/?code=spn:110-0&outcome=held")
    assert "Every engine family, over all time, SPN 110 FMI 0, only “held”." in words


def test_a_filter_with_nothing_says_nothing_is_there(cast, client):
    came_back(cast)
    other = EngineFamily.objects.create(maker="Ostwind", name="V8")
    repair(cast, boat(cast, "Foreign", other), OIL, days_ago=700, hours=10)
    asked = f"?months=12&family={other.pk}"
    words = told(client, cast, f"/insight/{asked}")
    assert "No fault has returned here." in words
    assert "No fault came back within the hold time after our repair." in words
    assert "No repair is on record here yet." in words
    assert "No repair like this is on record." in told(client, cast, f"/insight/repairs/{asked}")
    assert "No fault has returned here." in told(client, cast, f"/insight/returned/{asked}")


def test_a_repair_whose_hours_nobody_read_is_not_said_to_have_known_hours(cast, client):
    held_by_days(cast)
    words = told(client, cast, "/insight/repairs/")
    assert "Not enough data for a curve: 1 repair, of which 0 came back;" in words
    assert "with known hours" not in words


def back_between_two_scans(cast):
    """Repaired at 1,000 h, no codes at 1,030 h, stored at 1,051 h."""
    unit = boat(cast, "Between", cast.family)
    repair(cast, unit, COOLANT, days_ago=100, hours=1000)
    look(cast, unit, [], days_ago=60, hours=1030)
    look(cast, unit, [seen(COOLANT, "stored")], days_ago=20, hours=1051)


@pytest.mark.parametrize("page", ["", "comebacks/"])
def test_whether_a_return_between_two_scans_is_a_comeback_is_not_claimed(cast, client, page):
    back_between_two_scans(cast)
    words = told(client, cast, f"/insight/{page}")
    assert "No fault is known to have come back within the hold time after our repair." in words
    assert "Of 1 return after our repairs it is not known whether it was within that time" in words
    assert "No fault came back within" not in words
    came_back(cast)
    words = told(client, cast, f"/insight/{page}")
    assert "Of 1 more return after our repairs it is not known whether it was within that time" in words
    assert figures(Scope()).comebacks == 1


def test_work_after_a_scan_had_found_it_gone_is_no_repair(cast, client):
    """No codes at noon, with no clear; the work is of one o'clock."""
    unit = boat(cast, "Gone", cast.family)
    then = timezone.now() - timedelta(days=30)
    shared = {"by": cast.tech, "engine_hours": Decimal(100)}
    log_scan(unit=unit, phase="arrival", is_complete=True, codes=[seen(OIL)], happened_at=then, **shared)
    log_scan(unit=unit, phase="arrival", is_complete=True, codes=[], happened_at=then + timedelta(hours=3), **shared)
    one = Fault.objects.get(unit=unit)
    log_work(
        vessel=unit.vessel, faults=[one], text="Renewed the plug.", happened_at=then + timedelta(hours=4), **shared
    )
    assert figures(Scope()).repairs == 0
    assert "No repair like this is on record." in told(client, cast, "/insight/repairs/")
    words = told(client, cast, f"/faults/{one.pk}/")
    assert "none on record before it ended" in words
    assert "Renewed the plug." in words


def test_a_return_is_told_as_seen_after_so_long_and_not_as_back_then(cast, client):
    back_between_two_scans(cast)
    assert re.search(r"came back seen again after 51 h · \d+ days", told(client, cast, "/insight/repairs/"))
    page = told(client, cast, f"/faults/{Fault.objects.get().pk}/")
    assert re.search(r"came back seen again 51 h · \d+ days after", page)
    assert "whether within the hold time after our repair is not known" in page
