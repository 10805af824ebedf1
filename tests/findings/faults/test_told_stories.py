"""Some four dozen stories of one fault, told through the actions, and the sentence of a careful surveyor for each.

The sentences were judged first: late, doubled, voided and corrected entries, clears without hours, hours that go back,
replaced meters and units, returns within a minute, and work without a clear.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest

from engineering.codes import Code, CodeSystem
from engineering.recurrence import away_of, coming_back
from findings.faults.models import Episode, Fault
from findings.faults.queries import FaultSeen
from findings.insight.queries import Scope, figures
from tests.cast import Cast
from tests.findings.story import COOLANT, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import add_unit, remove_unit, replace_meter, retract

OVERHEAT = Code(CodeSystem.OBD, "P0217")
BLINKED = Code(CodeSystem.FLASH, "23")
A_MINUTE = 1 / 24 / 60
NOTHING_AWAY = "Not enough data: no complete scan has shown it away for any known hours since it came up."
NO_RUNNING = "Not enough data: it came back with no hours run in between, by the readings on record."


class Told:
    """The port unit of the cast's boat, in days and engine hours."""

    def __init__(self, cast: Cast) -> None:
        self.cast = cast
        self.job = None

    def seen(self, day, hours, status="active", **more):
        return scan(self.cast, day, hours, [seen(COOLANT, status)], job=self.job, **more)

    def away(self, day, hours, **more):
        return scan(self.cast, day, hours, job=self.job, **more)

    def clear(self, day, hours):
        return clear(self.cast, day, hours, job=self.job)

    def work(self, day, hours):
        return work(self.cast, day, hours, [fault(COOLANT, self.cast.port_unit)], job=self.job)

    def void(self, made):
        retract(by=self.cast.tech, entry=made.entry, reason="Read on another boat")

    def on_job(self, day):
        self.job = open_job(self.cast, day)


def cleared_without_hours(t):
    t.seen(0, None)
    t.clear(1, None)


def cleared_without_hours_absent_with(t):
    t.seen(0, 100)
    t.clear(1, None)
    t.away(20, 130)


def cleared_without_hours_absent_a_year_later(t):
    t.seen(0, 100)
    t.clear(1, None)
    t.away(400, 101)


def cleared_without_hours_and_not_run_for_a_year(t):
    t.seen(0, 100)
    t.clear(1, None)
    t.away(400, 100)


def cleared_without_hours_and_run_for_a_year(t):
    t.seen(0, 100)
    t.clear(1, None)
    t.away(400, 150)


def repaired_without_hours_and_back_after_a_year_of_an_hour(t):
    t.seen(0, 100)
    t.work(0.1, None)
    t.clear(0.2, None)
    t.seen(400, 101)


def repaired_and_not_run_for_a_year(t):
    t.seen(0, 100)
    t.work(0.1, 100)
    t.clear(0.2, 100)
    t.away(400, 100)


def repaired_and_away_for_a_year_without_hours(t):
    t.seen(0, None)
    t.work(0.1, None)
    t.clear(0.2, None)
    t.away(400, None)


def meter_replaced_unread(t):
    t.seen(0, 1000)
    t.clear(1, 1000)
    replace_meter(by=t.cast.tech, engine=t.cast.port, happened_at=at(5))
    t.away(20, None)


def meter_replaced_and_read(t):
    t.seen(0, 1000)
    t.clear(1, 1000)
    replace_meter(by=t.cast.tech, engine=t.cast.port, old_shown=Decimal(1000), happened_at=at(5))
    t.away(20, 1020)


def cleared_twice(t):
    t.seen(0, 100)
    t.clear(1, 100)
    t.clear(10, 110)
    t.away(20, 130)


def cleared_twice_and_back(t):
    t.seen(0, 100)
    t.clear(1, 100)
    t.clear(10, 110)
    t.seen(20, 130)


def back_within_the_minute(t):
    t.seen(0, 100)
    t.clear(1, 100)
    t.seen(1 + A_MINUTE / 2, 100)


def back_over_midnight(t):
    """Cleared at 10 minutes to midnight by the shop's clock, seen 15 minutes later."""
    midnight = (4 - 12) / 24 + 1  # 04:00 UTC is midnight in the shop's zone
    t.seen(0, 100)
    t.clear(midnight - 10 * A_MINUTE, 100)
    t.seen(midnight + 5 * A_MINUTE, 100)


def seen_at_the_instant_of_the_clear(t):
    t.seen(0, 100)
    t.clear(1, 100)
    t.seen(1, 100)


def repaired_again_on_the_day_of_return(t):
    t.seen(0, 100)
    t.work(0.1, 100)
    t.clear(0.2, 100)
    t.seen(30, 130)
    t.work(30.1, 130)
    t.clear(30.2, 130)
    t.away(30.3, 130)


def clear_written_down_late(t):
    t.seen(0, 100)
    t.seen(20, 130)
    t.clear(1, 100)


def everything_in_the_wrong_order(t):
    t.away(30, 160)
    t.clear(1, 100)
    t.seen(0, 100)


def gone_by_itself_and_back_stored(t):
    t.seen(0, 100)
    t.away(10, 110)
    t.seen(20, 120, "stored")


def back_after_a_month_without_running(t):
    t.seen(0, 100)
    t.clear(0.1, 100)
    t.seen(30, 100)


def clear_voided(t):
    t.seen(0, 100)
    made = t.clear(1, 100)
    t.seen(10, 110)
    t.void(made)


def only_scan_voided(t):
    t.void(t.seen(0, 100))


def return_voided(t):
    t.seen(0, 100)
    t.clear(1, 100)
    t.void(t.seen(10, 110))


def scan_corrected_to_none(t):
    made = t.seen(0, 100)
    t.away(0, 100, amends=made.entry)


def scan_corrected_to_stored(t):
    made = t.seen(0, 100)
    t.seen(0, 100, "stored", amends=made.entry)


def unit_replaced(t):
    t.seen(0, 100)
    remove_unit(by=t.cast.tech, unit=t.cast.port_unit, happened_at=at(5))
    other = add_unit(by=t.cast.tech, vessel=t.cast.vessel, engine=t.cast.port, name="Engine control unit", address=7)
    scan(t.cast, 6, 101, [seen(COOLANT)], unit=other)


def the_other_format_comes_back(t):
    t.seen(0, 100)
    t.clear(1, 100)
    scan(t.cast, 20, 130, [seen(OVERHEAT)])


def both_formats_are_listed_and_one_stays_away(t):
    t.seen(0, 100)
    t.clear(1, 100)
    scan(t.cast, 20, 130, [seen(OVERHEAT), seen(OIL)])


def open_and_then_read_in_the_other_format(t):
    t.seen(0, 100)
    scan(t.cast, 20, 130, [seen(OVERHEAT)])


def a_lamp_blinks_what_an_instrument_lists(t):
    scan(t.cast, 0, 90, [seen(BLINKED)])
    t.seen(1, 100)
    scan(t.cast, 2, 110, [seen(BLINKED)])
    t.seen(20, 120)


def back_three_times(t):
    for day in (0, 10, 20, 30):
        t.seen(day, 100 + day)
        t.clear(day + 0.1, 100 + day)


def only_the_permanent_copy_stays(t):
    scan(t.cast, 0, 100, [seen(COOLANT), seen(COOLANT, "permanent")])
    t.clear(1, 100)
    t.seen(10, 110, "permanent")


def worked_on_and_gone_at_the_same_hours(t):
    t.seen(0, 100)
    t.work(0.1, 100)
    t.away(1, 100)


def worked_on_and_held(t):
    t.seen(0, 100)
    t.work(0.1, 100)
    t.away(30, 160)


def held_and_came_back(t):
    worked_on_and_held(t)
    t.seen(60, 200)


def every_scan_doubled(t):
    for _ in range(2):
        t.seen(0, 100)
    t.clear(1, 100)
    for _ in range(2):
        t.away(30, 120)


def still_there_on_the_same_job(t):
    t.on_job(0)
    t.seen(0, 100)
    t.work(0.1, 100)
    t.clear(0.2, 100)
    t.seen(0.3, 100.2, phase="sea-trial")


def fixed_at_the_second_try(t):
    still_there_on_the_same_job(t)
    t.clear(0.4, 100.2)
    t.away(0.5, 101, phase="sea-trial")


def gone_then_cleared(t):
    t.seen(0, 100)
    t.away(10, 110)
    t.clear(11, 110)
    t.away(30, 170)


def held_to_the_very_hour(t):
    t.seen(0, 100, "stored")
    t.clear(0.1, 100)
    t.away(3, 150)


def back_on_the_day_with_hours_not_read(t):
    t.seen(0, 100)
    t.clear(0.1, None)
    t.seen(0.2, None)


def comes_and_goes(t):
    for day, status in enumerate(["active", "stored", "active", "stored"]):
        t.seen(day, 100 + day, status)


def worked_on_gone_and_back_the_same_day(t):
    t.seen(0, 100)
    t.work(0.1, 100)
    t.away(0.2, 100)
    t.seen(0.3, 100)


TWICE_IN = "Not enough data to say whether it is coming back more often. It has come back once in {} h without it."
NEVER_IN = (
    "It has not come back. Never in {} h: in the long run at most {} per 100 h (95% sure, two-sided). "
    "Whether it comes more often cannot be told from one appearance."
)
# story, the sentence, what came of each episode, whether it comes more often (None: not judged),
# and the shop's figures: returned, comebacks, repairs, held, came back
CASES = [
    (
        cleared_without_hours,
        "Cleared on Apr 2, 2025; no complete scan has shown it away since, so nothing is proven yet.",
        "unproven",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_without_hours_absent_with,
        "Cleared on Apr 2, 2025 and absent at 130 h: holding for 19 days, in which the engine ran for 30 h at most.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_without_hours_absent_a_year_later,
        "Cleared on Apr 2, 2025 and absent at 101 h: holding for 399 days, in which the engine ran for 1 h at most.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_without_hours_and_not_run_for_a_year,
        "Cleared on Apr 2, 2025 and absent at 100 h: no hours run in between, so nothing is proven yet.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_without_hours_and_run_for_a_year,
        "Historic: cleared on Apr 2, 2025 and held, absent 399 days later.",
        "held",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        repaired_without_hours_and_back_after_a_year_of_an_hour,
        "Returned · active: seen again 400 days after it was cleared; it has returned once.",
        "returned open",
        "Not enough data to say whether it is coming back more often: after how many hours one return came is not "
        "known. No hours are noted with the clear before: note the hour meter with every clear.",
        (1, 1, 1, 0, 1),
    ),
    (
        repaired_and_not_run_for_a_year,
        "Cleared at 100 h and absent at 100 h: no hours run in between, so nothing is proven yet.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 1, 0, 0),
    ),
    (
        repaired_and_away_for_a_year_without_hours,
        "Historic: cleared on Apr 1, 2025 and held, absent 400 days later.",
        "held",
        NOTHING_AWAY,
        (0, 0, 1, 1, 0),
    ),
    (
        meter_replaced_unread,
        "Cleared at 1,000 h and absent on Apr 21, 2025: holding for 19 days.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        meter_replaced_and_read,
        "Cleared at 1,000 h and absent at 1,020 h: holding for 20 h.",
        "holding",
        NEVER_IN.format(20, 18),
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_twice,
        "Cleared at 100 h and absent at 130 h: holding for 30 h. "
        "It was cleared again at 110 h, and no scan before that shows whether it had come back by then.",
        "holding",
        NEVER_IN.format(30, 12),
        (0, 0, 0, 0, 0),
    ),
    (
        cleared_twice_and_back,
        "Returned · active: seen again 30 h (19 days) after it was cleared; it has returned once. "
        "In between it was cleared again at 110 h.",
        "returned open",
        TWICE_IN.format("at most 30"),
        (1, 0, 0, 0, 0),
    ),
    (
        back_within_the_minute,
        "Returned · active: seen again 0 h (the same day) after it was cleared; it has returned once.",
        "returned open",
        NO_RUNNING,
        (1, 0, 0, 0, 0),
    ),
    (
        back_over_midnight,
        "Returned · active: seen again 0 h (the next day) after it was cleared; it has returned once.",
        "returned open",
        NO_RUNNING,
        (1, 0, 0, 0, 0),
    ),
    (
        seen_at_the_instant_of_the_clear,
        "Cleared at 100 h; no complete scan has shown it away since, so nothing is proven yet.",
        "unproven",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        repaired_again_on_the_day_of_return,
        "Cleared at 130 h and absent at 130 h: no hours run in between, so nothing is proven yet.",
        "returned holding",
        TWICE_IN.format("at most 30"),
        (1, 1, 2, 0, 1),
    ),
    (
        clear_written_down_late,
        "Returned · active: seen again 30 h (19 days) after it was cleared; it has returned once.",
        "returned open",
        TWICE_IN.format("at most 30"),
        (1, 0, 0, 0, 0),
    ),
    (
        everything_in_the_wrong_order,
        "Historic: cleared at 100 h and held, absent 60 h later.",
        "held",
        NEVER_IN.format(60, "6.1"),
        (0, 0, 0, 0, 0),
    ),
    (
        gone_by_itself_and_back_stored,
        "Returned · stored: seen again 10 h (10 days) after it was found gone; it has returned once.",
        "returned open",
        TWICE_IN.format("at most 20"),
        (1, 0, 0, 0, 0),
    ),
    (
        back_after_a_month_without_running,
        "Returned · active: seen again 0 h (30 days) after it was cleared; it has returned once.",
        "returned open",
        NO_RUNNING,
        (1, 0, 0, 0, 0),
    ),
    (clear_voided, "Active: first seen at 100 h, last at 110 h.", "open", NOTHING_AWAY, (0, 0, 0, 0, 0)),
    (only_scan_voided, "Never seen.", "", NOTHING_AWAY, (0, 0, 0, 0, 0)),
    (
        return_voided,
        "Cleared at 100 h; no complete scan has shown it away since, so nothing is proven yet.",
        "unproven",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (scan_corrected_to_none, "Never seen in the scans so far.", "", NOTHING_AWAY, (0, 0, 0, 0, 0)),
    (
        scan_corrected_to_stored,
        "Stored: seen once, at 100 h, so it began at some time before.",
        "open",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (unit_replaced, "Active: seen once, at 100 h.", "open", NOTHING_AWAY, (0, 0, 0, 0, 0)),
    (
        the_other_format_comes_back,
        "Cleared at 100 h; no complete scan has shown it away since, so nothing is proven yet.",
        "unproven",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        both_formats_are_listed_and_one_stays_away,
        "Cleared at 100 h and absent at 130 h: holding for 30 h.",
        "holding",
        NEVER_IN.format(30, 12),
        (0, 0, 0, 0, 0),
    ),
    (
        open_and_then_read_in_the_other_format,
        "Active: seen once, at 100 h.",
        "open",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        a_lamp_blinks_what_an_instrument_lists,
        "Active: first seen at 100 h, last at 120 h.",
        "open",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        back_three_times,
        "Cleared at 130 h; no complete scan has shown it away since, so nothing is proven yet.",
        "returned returned returned unproven",
        "Not enough data to say whether it is coming back more often. It has come back 3 times in at most 30 h "
        "without it.",
        (1, 0, 0, 0, 0),
    ),
    (
        only_the_permanent_copy_stays,
        "Cleared at 100 h; no complete scan has shown it away since, so nothing is proven yet. The unit keeps a "
        "permanent copy, which no instrument can clear.",
        "unproven",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        worked_on_and_gone_at_the_same_hours,
        "Historic: worked on at 100 h and absent at 100 h, with no clear on record in between: no hours run in "
        "between, so nothing is proven yet.",
        "holding",
        NOTHING_AWAY,
        (0, 0, 1, 0, 0),
    ),
    (
        worked_on_and_held,
        "Historic: worked on at 100 h and held, absent 60 h later, with no clear on record in between.",
        "held",
        NEVER_IN.format(60, "6.1"),
        (0, 0, 1, 1, 0),
    ),
    (
        held_and_came_back,
        "Returned · active: seen again 100 h (60 days) after the work on it; it has returned once.",
        "returned open",
        TWICE_IN.format("60 h to 100"),
        (1, 0, 1, 0, 1),
    ),
    (
        every_scan_doubled,
        "Cleared at 100 h and absent at 120 h: holding for 20 h.",
        "holding",
        NEVER_IN.format(20, 18),
        (0, 0, 0, 0, 0),
    ),
    (
        still_there_on_the_same_job,
        "Not fixed yet · active: seen again 0.2 h (the same day) after it was cleared, on the same job.",
        "unfixed open",
        None,
        (0, 0, 0, 0, 0),
    ),
    (
        fixed_at_the_second_try,
        "Cleared at 100.2 h and absent at 101 h: holding for 0.8 h.",
        "unfixed holding",
        None,
        (0, 0, 0, 0, 0),
    ),
    (
        gone_then_cleared,
        "Historic: last seen at 100 h and gone at 110 h, with no clear on record in between, still absent at 170 h.",
        "gone",
        NEVER_IN.format(60, "6.1"),
        (0, 0, 0, 0, 0),
    ),
    (
        held_to_the_very_hour,
        "Historic: cleared at 100 h and held, absent 50 h later.",
        "held",
        NEVER_IN.format(50, "7.4"),
        (0, 0, 0, 0, 0),
    ),
    (
        back_on_the_day_with_hours_not_read,
        "Returned · active: seen again the same day after it was cleared; it has returned once.",
        "returned open",
        "Not enough data to say whether it is coming back more often: the engine's hours at one return are not known. "
        "Note the hour meter with every scan.",
        (1, 0, 0, 0, 0),
    ),
    (
        comes_and_goes,
        "Stored: first seen at 100 h, last at 103 h; it comes and goes.",
        "open",
        NOTHING_AWAY,
        (0, 0, 0, 0, 0),
    ),
    (
        worked_on_gone_and_back_the_same_day,
        "Returned · active: seen again 0 h (the same day) after the work on it; it has returned once.",
        "returned open",
        NO_RUNNING,
        (1, 1, 1, 0, 1),
    ),
]


@pytest.mark.parametrize(
    ("story", "sentence", "outcomes", "more_often", "counted"), CASES, ids=[case[0].__name__ for case in CASES]
)
def test_a_story_is_told_as_a_surveyor_would(
    cast: Cast,
    story: Callable[[Told], None],
    sentence: str,
    outcomes: str,
    more_often: str | None,
    counted: tuple[int, ...],
) -> None:
    story(Told(cast))
    one = FaultSeen(fault(COOLANT, cast.port_unit))
    assert one.sentence == sentence
    rows = Episode.objects.filter(fault=one.fault).order_by("number")
    assert " ".join(row.outcome for row in rows) == outcomes
    if more_often is not None:
        assert coming_back(away_of(one.history)).sentence == more_often
    told = figures(Scope())
    assert (told.returned, told.comebacks, told.repairs, told.held, told.came_back) == counted


@pytest.mark.parametrize("story", [case[0] for case in CASES], ids=[case[0].__name__ for case in CASES])
def test_pages_say_no_other_thing_than_the_fault(cast: Cast, client, story) -> None:
    story(Told(cast))
    client.force_login(cast.manager)
    for row in Fault.objects.exclude(state="none").select_related("unit"):
        one = FaultSeen(row)
        assert one.sentence.replace("'", "&#x27;") in client.get(f"/faults/{row.pk}/").content.decode()
        overview = client.get(f"/vessels/{row.vessel_id}/").content.decode()
        assert (one.sentence in overview) is (row.is_open and row.unit.removed_on is None)


def test_a_fault_of_a_removed_unit_says_when_it_was_removed(cast: Cast, client) -> None:
    unit_replaced(Told(cast))
    client.force_login(cast.manager)
    old, new = Fault.objects.order_by("pk")
    said = "The unit was removed on Apr 6, 2025."
    assert f"Active: seen once, at 100 h. {said}" in client.get(f"/faults/{old.pk}/").content.decode()
    assert said not in client.get(f"/faults/{new.pk}/").content.decode()
