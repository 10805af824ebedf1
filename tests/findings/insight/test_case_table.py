"""What the shop's records add up to, case by case, as somebody who reads them carefully would count.

Each case was counted by hand before it was asked: repairs, those that held and came back, comebacks, faults that
returned, and what the fleet's row says of the code.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest

from findings.faults.models import Fault
from findings.insight.fleet import fleet_recurrence
from findings.insight.holding_times import holding_groups, holding_seen
from findings.insight.queries import Scope, figures
from findings.insight.repair_sorts import repair_sorts
from tests.cast import Cast
from tests.findings.insight.test_insight import boat, look, repair
from tests.findings.story import COOLANT, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import replace_meter

pytestmark = pytest.mark.django_db


class Boat:
    """The port engine of the cast's boat, told in days and engine hours."""

    def __init__(self, cast: Cast) -> None:
        self.cast = cast
        self.job = None

    def back(self, day, hours, status="active", **more):
        scan(self.cast, day, hours, [seen(OIL, status)], job=self.job, **more)

    def away(self, day, hours, **more):
        scan(self.cast, day, hours, job=self.job, **more)

    def clear(self, day, hours):
        clear(self.cast, day, hours, job=self.job)

    def repair(self, day, hours, cleared_at="same"):
        self.back(day, hours)
        work(self.cast, day + 0.1, hours, [fault(OIL, self.cast.port_unit)], job=self.job)
        clear(self.cast, day + 0.2, hours if cleared_at == "same" else cleared_at, job=self.job)

    def new_job(self, day):
        self.job = open_job(self.cast, day)

    def meter_replaced_unread(self, day):
        replace_meter(by=self.cast.tech, engine=self.cast.port, happened_at=at(day))


@dataclass(frozen=True)
class Counted:
    """By hand. ``away`` is in hours; ``unknown`` are returns after hours that nobody knows."""

    repairs: int = 0
    held: int = 0
    came_back: int = 0
    comebacks: int = 0
    returned: int = 0
    state: str = ""
    returns: int = 0
    away: str = "0"
    unknown: int = 0


Story = Callable[[Boat], None]


def nothing(_boat):
    """No scan at all."""


def one_scan_only(boat):
    boat.back(0, 100)


def gone_by_itself(boat):
    boat.back(0, 100)
    boat.away(30, 160)


def cleared_and_never_looked_at_again(boat):
    boat.back(0, 100)
    boat.clear(1, 100)


def cleared_without_repair_and_back(boat):
    boat.back(0, 100)
    boat.clear(1, 100)
    boat.back(20, 130)


def repaired_and_away_past_the_hold(boat):
    boat.repair(0, 100)
    boat.away(30, 160)


def repaired_and_away_just_up_to_the_hold(boat):
    boat.repair(0, 100)
    boat.away(30, 150)


def repaired_and_away_just_short_of_the_hold(boat):
    boat.repair(0, 100)
    boat.away(30, 149.9)


def repaired_and_half_a_scan_without_it(boat):
    boat.repair(0, 100)
    scan(boat.cast, 30, 160, [seen(COOLANT)], complete=False)


def repaired_and_soon_back(boat):
    boat.repair(0, 100)
    boat.back(10, 118)


def repaired_and_late_back(boat):
    boat.repair(0, 100)
    boat.back(100, 180)


def repaired_and_back_within_the_hour(boat):
    boat.repair(0, 100)
    boat.back(1, 100)


def repaired_twice_and_back_twice(boat):
    boat.repair(0, 100)
    boat.repair(10, 120)
    boat.back(20, 140)


def repaired_and_seen_on_the_same_job(boat):
    boat.new_job(0)
    boat.repair(0, 100)
    boat.back(1, 100.5, phase="sea-trial")


def repaired_and_back_on_the_next_job(boat):
    boat.new_job(0)
    boat.repair(0, 100)
    boat.new_job(10)
    boat.back(10, 118)


def cleared_with_hours_not_read_and_back(boat):
    boat.back(0, None)
    boat.clear(1, None)
    boat.back(20, 130)


def meter_replaced_unread_and_back(boat):
    boat.back(0, 100)
    boat.clear(1, 100)
    boat.meter_replaced_unread(5)
    boat.back(20, None)


def the_other_engine_has_it_later(boat):
    boat.repair(0, 100)
    boat.away(10, 160)
    scan(boat.cast, 20, 300, [seen(OIL)], unit=boat.cast.starboard_unit)


CASES = [
    (nothing, Counted()),
    (one_scan_only, Counted(state="active")),
    (gone_by_itself, Counted(state="historic")),
    (cleared_and_never_looked_at_again, Counted(state="cleared")),
    (cleared_without_repair_and_back, Counted(returned=1, state="returned", returns=1, away="30")),
    (repaired_and_away_past_the_hold, Counted(repairs=1, held=1, state="historic", away="60")),
    (repaired_and_away_just_up_to_the_hold, Counted(repairs=1, held=1, state="historic", away="50")),
    (repaired_and_away_just_short_of_the_hold, Counted(repairs=1, state="cleared", away="49.9")),
    (repaired_and_half_a_scan_without_it, Counted(repairs=1, state="cleared")),
    (
        repaired_and_soon_back,
        Counted(repairs=1, came_back=1, comebacks=1, returned=1, state="returned", returns=1, away="18"),
    ),
    (repaired_and_late_back, Counted(repairs=1, came_back=1, returned=1, state="returned", returns=1, away="80")),
    (
        repaired_and_back_within_the_hour,
        Counted(repairs=1, came_back=1, comebacks=1, returned=1, state="returned", returns=1, away="0"),
    ),
    (
        repaired_twice_and_back_twice,
        Counted(repairs=2, came_back=2, comebacks=2, returned=1, state="returned", returns=2, away="40"),
    ),
    (repaired_and_seen_on_the_same_job, Counted(state="not fixed yet")),
    (
        repaired_and_back_on_the_next_job,
        Counted(repairs=1, came_back=1, comebacks=1, returned=1, state="returned", returns=1, away="18"),
    ),
    (cleared_with_hours_not_read_and_back, Counted(returned=1, state="returned", returns=1, unknown=1)),
    (meter_replaced_unread_and_back, Counted(returned=1, state="returned", returns=1, unknown=1)),
    (the_other_engine_has_it_later, Counted(repairs=1, held=1, state="historic", away="60")),
]


@pytest.mark.parametrize(("story", "counted"), CASES, ids=[story.__name__ for story, _ in CASES])
def test_it_is_counted_as_a_careful_reader_would(story: Story, counted: Counted, cast: Cast):
    story(Boat(cast))
    found = figures(Scope())
    one = Fault.objects.filter(unit=cast.port_unit, code=OIL.text).first()
    rows = [row for row in fleet_recurrence(Scope(), 0, 5) if row.code == OIL]
    told = Counted(
        repairs=found.repairs,
        held=found.held,
        came_back=found.came_back,
        comebacks=found.comebacks,
        returned=found.returned,
        state=one.state if one else "",
        returns=one.returns if one else 0,
        away=f"{Decimal(rows[0].away_h).normalize():f}" if rows else "0",
        unknown=rows[0].unknown if rows else 0,
    )
    assert told == counted
    if rows:
        (row,) = rows
        assert row.returns == counted.returns - counted.unknown
        assert row.hulls == 1
        assert row.came_back == counted.returns
        assert (row.rate_words == "none") is (row.came_back == 0)


def test_a_hull_with_twins_is_one_hull_with_two_appearances(cast: Cast):
    the_other_engine_has_it_later(Boat(cast))
    (row,) = fleet_recurrence(Scope(), 0, 5)
    assert (row.hulls, row.appearances, row.returns, row.sightings) == (1, 2, 0, 2)
    assert {one.returns for one in Fault.objects.all()} == {0}


def _shop_of_repairs(cast: Cast, *, unread: int) -> None:
    """Fourteen repairs that were followed, eight of which came back; and some that came back at hours nobody read."""
    for number in range(14 + unread):
        unit = boat(cast, f"Boat {number}", cast.family)
        repair(cast, unit, OIL, days_ago=100, hours=100 if number < 14 else None, text="Replaced the sender.")
        hours = None if number >= 14 else 120 + number if number < 8 else 300
        look(cast, unit, [seen(OIL)] if number < 8 or number >= 14 else [], days_ago=80, hours=hours)


def test_returns_at_hours_nobody_read_do_not_flatter_the_curve(cast: Cast):
    _shop_of_repairs(cast, unread=2)
    whole = holding_seen(Scope(), Decimal(50))
    assert whole.sentence.endswith(" 2 more repairs came back at hours that nobody read: without them this flatters.")
    (group,) = holding_groups(Scope(), "code", Decimal(50), [])
    assert (group.repairs, group.came_back, group.share, group.median_h) == (16, 10, "", None)


def test_where_all_hours_are_known_the_curve_is_told(cast: Cast):
    _shop_of_repairs(cast, unread=0)
    assert "nobody read" not in holding_seen(Scope(), Decimal(50)).sentence
    (group,) = holding_groups(Scope(), "code", Decimal(50), [])
    assert (group.repairs, group.came_back) == (14, 8)
    assert group.share


def test_sorts_of_repairs_with_returns_at_unread_hours_are_not_compared(cast: Cast):
    for text, unread in (("Replaced the sender.", 1), ("Cleaned the plug.", 0)):
        for number in range(7):
            unit = boat(cast, f"{text} {number}", cast.family)
            repair(cast, unit, OIL, days_ago=100, hours=None if number < unread else 100, text=text)
            back = number < 3
            hours = None if number < unread else 130 if back else 300
            look(cast, unit, [seen(OIL)] if back else [], days_ago=80, hours=hours)
    found = repair_sorts(Scope(code=OIL), Decimal(50))
    assert found is not None
    assert found.sentence == "Not compared: 1 of them came back at hours that nobody read."
    assert {(one.text, one.repairs, one.came_back) for one in found.sorts} == {
        ("Replaced the sender.", 7, 3), ("Cleaned the plug.", 7, 3),
    }  # fmt: skip
