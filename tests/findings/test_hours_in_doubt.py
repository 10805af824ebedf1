"""Hours that were kept although they ran faster than the clock: what is said of them later, wherever they are used."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from files.paper.drawing import Stationery
from findings.reports.actions import draft_report
from findings.reports.build import build_findings
from findings.reports.record import FORMAT, Record
from findings.reports.render import paper_html
from staff.queries import shop_profile
from tests.findings import story
from tests.findings.story import COOLANT, at, fault, scan, seen
from vessels.actions import identify_unit, log_hours, remove_engine, remove_unit, replace_meter, retract
from vessels.models import LogEntry
from vessels.queries.doubts import hours_in_doubt

DOUBT = (
    "800 h on Apr 1, 2025 12:00 PM and 810.2 h on Apr 1, 2025 2:00 PM cannot both be right: more hours than have "
    "passed. Lengths in engine hours from before to after are in doubt."
)


@pytest.fixture(autouse=True)
def _days_of_the_story() -> Iterator[None]:
    """The story is told in UTC: its midnight is one there."""
    with timezone.override("UTC"):
        yield


def read(cast, hours, day, engine=None):
    return log_hours(by=cast.tech, engine=engine or cast.port, shown=Decimal(str(hours)), happened_at=at(day))


@pytest.mark.parametrize(
    ("readings", "doubts"),
    [
        ([(800, 0), (802, 2 / 24)], 0),  # as fast as the clock
        ([(800, 0), (803, 2 / 24)], 0),  # whole hours may click right after and right before
        ([(800, 0), ("803.1", 2 / 24)], 1),
        ([(800, 0), ("810.2", 2 / 24)], 1),
        ([(800, 0), (850, 10)], 0),
        ([(800, 0), (810, 2 / 24), (815, 3 / 24)], 2),
        ([(800, -0.5), (820, 0)], 0),  # Apr 1, midnight: a day without its time
        ([(800, 0), (800, 0)], 0),
        ([(800, 0)], 0),
        ([], 0),
    ],
)
def test_what_contradicts_the_clock(cast, readings, doubts):
    for hours, day in readings:
        read(cast, hours, day)
    read(cast, 5, 0, cast.starboard)
    found = hours_in_doubt([cast.port.pk, cast.starboard.pk])
    assert {key: len(said) for key, said in found.items()} == ({cast.port.pk: doubts} if doubts else {})


def test_only_what_counts_and_was_by_then(cast):
    read(cast, 800, 0)
    wrong = read(cast, "810.2", 2 / 24)
    assert hours_in_doubt([cast.port.pk], until=at(1 / 24)) == {}
    assert hours_in_doubt([cast.port.pk]) == {cast.port.pk: [DOUBT]}
    retract(by=cast.tech, entry=LogEntry.objects.get(pk=wrong.pk), reason="Read off the other engine", entry_id=None)
    assert hours_in_doubt([cast.port.pk]) == {}


def test_a_replaced_meter_is_no_contradiction(cast):
    read(cast, 800, 0)
    shown = {"old_shown": Decimal(801), "new_shown": Decimal(0)}
    replace_meter(by=cast.tech, engine=cast.port, happened_at=at(0) + timedelta(hours=2), **shown)
    read(cast, 2, 5 / 24)
    assert hours_in_doubt([cast.port.pk]) == {}


def test_it_is_said_wherever_lengths_in_hours_are(cast, tech):
    job = story.open_job(cast)
    scan(cast, 0, 800, [seen(COOLANT)], job=job)
    scan(cast, 2 / 24, 810.2, [seen(COOLANT)], job=job, phase="after-repair")
    said = "cannot both be right: more hours than have passed."
    for page in (
        reverse("findings:vessel_faults", args=[cast.vessel.pk]),
        reverse("findings:fault", args=[fault().pk]),
        reverse("findings:job", args=[job.number]),
        reverse("vessels:hours", args=[cast.port.pk]),
    ):
        assert said in tech.get(page).content.decode(), page
    found = build_findings(draft_report(by=cast.tech, job=job))
    local = DOUBT.replace("12:00 PM", "8:00 AM").replace("2:00 PM", "10:00 AM")  # by the shop's clock
    assert [one.hours_in_doubt for one in found.engines] == [(local,), ()]
    paper = " ".join(paper_html(Record(format=FORMAT, issue=None, findings=found), Stationery("letter")).split())
    assert "hours in doubt: see “Engines and control units”" in paper
    assert "cannot both be right" in paper


def test_days_of_the_record_are_the_shops_without_a_request(cast):
    """What a worker or a command line puts into the record is told by the shop's clock too."""
    profile = shop_profile()
    profile.time_zone = "Pacific/Auckland"
    profile.save()
    late = at(0) + timedelta(hours=13)  # Apr 2, 2:00 AM and later in Auckland, Apr 1 in UTC
    job = story.open_job(cast)
    read(cast, 800, 0)
    identify_unit(by=cast.tech, unit=cast.port_unit, serial="U-7", happened_at=late - timedelta(hours=1))
    identify_unit(by=cast.tech, unit=cast.port_unit, software="2", happened_at=late + timedelta(days=1))
    with timezone.override("UTC"):
        found = build_findings(draft_report(by=cast.tech, job=job))
        remove_engine(by=cast.tech, engine=cast.port, happened_at=late + timedelta(days=2))
        remove_unit(by=cast.tech, unit=cast.starboard_unit, happened_at=late + timedelta(days=2))
    assert found.units[0].read_earlier == ("serial read Apr 2, 2025",)
    cast.port.refresh_from_db()
    cast.starboard_unit.refresh_from_db()
    assert {cast.port.removed_on, cast.starboard_unit.removed_on} == {date(2025, 4, 4)}
