"""Until which day a judgment holds: never beyond the first day on which another would be made of the same records."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.service import HoursOn, Judged, LaidUp, Seen, ServiceInterval, Standing, judge, next_turn, use_of
from engineering.service.running import days_in_water
from engineering.service.turning import day_in_water

TODAY = date(2026, 5, 1)


def after(days: int) -> date:
    return TODAY + timedelta(days=days)


@st.composite
def records(draw: Any) -> dict[str, Any]:
    """An engine as the shop knows it: well read, hardly read, laid up, read backward, or never."""
    days = draw(st.lists(st.integers(-1400, 3), max_size=8, unique=True).map(sorted))
    hours, readings = Decimal(draw(st.integers(0, 900))), []
    for day in days:
        hours += Decimal(draw(st.integers(-2 if draw(st.integers(0, 9)) == 0 else 0, 120)))
        readings.append(HoursOn(after(day), max(hours, Decimal(0))))
    stays = []
    for _ in range(draw(st.integers(0, 2))):
        began = draw(st.integers(-500, 200))
        ended = draw(st.one_of(st.none(), st.integers(began, began + 300)))
        stays.append(LaidUp(after(began), None if ended is None else after(ended)))
    last = draw(
        st.one_of(
            st.none(),
            st.builds(
                lambda day, hours: HoursOn(after(-day), hours),
                st.integers(0, 1500),
                st.one_of(st.none(), st.integers(0, 1000).map(Decimal)),
            ),
        )
    )
    every = draw(st.sampled_from([(100, 12), (50, None), (None, 24), (250, 60), (1, 1), (20000, 240)]))
    return {
        "readings": readings,
        "stays": stays,
        "last": last,
        "interval": ServiceInterval(None if every[0] is None else Decimal(every[0]), every[1]),
        "unread": draw(st.sampled_from([None, None, None, after(-30)])),
        "told": draw(st.booleans()),
    }


def judged_on(day: date, record: dict[str, Any]) -> tuple[Judged, Seen]:
    readings = record["readings"]
    seen = Seen(
        read=readings[-1] if readings else None,
        use=use_of(readings, day, record["stays"]),
        laid_up=record["stays"],
        unread_since=record["unread"],
    )
    judged = judge(
        interval=record["interval"], last=record["last"], seen=seen, today=day, last_is_read=not record["told"]
    )
    return judged, seen


@settings(max_examples=60)
@given(record=records(), start=st.integers(0, 400))
def test_until_it_turns_nothing_changes(record: dict[str, Any], start: int) -> None:
    today = after(start)
    judged, seen = judged_on(today, record)
    turn = next_turn(judged, seen=seen, readings=record["readings"], today=today)
    assert turn is None or turn > today
    day = today
    for _ in range(500):
        day += timedelta(days=1)
        if turn is not None and day >= turn:
            break
        later, seen_later = judged_on(day, record)
        assert later == judged, day
        assert seen_later.laid_up_on(day) == seen.laid_up_on(today)
        if record["interval"].hours is not None:
            assert seen_later.use == seen.use, day


@given(
    days=st.integers(1, 400),
    stays=st.lists(
        st.tuples(st.integers(-100, 300), st.one_of(st.none(), st.integers(0, 200))).map(
            lambda one: LaidUp(after(one[0]), None if one[1] is None else after(one[0] + one[1]))
        ),
        max_size=3,
    ),
)
def test_the_first_day_in_the_water_is_the_one_that_is_counted_to(days: int, stays: list[LaidUp]) -> None:
    day = day_in_water(TODAY, days, stays)
    if day is None:
        assert days_in_water(TODAY, after(5000), stays) < days
        return
    assert days_in_water(TODAY, day, stays) >= days
    assert days_in_water(TODAY, day - timedelta(days=1), stays) < days


YEARLY = ServiceInterval(None, 12)
LAST = HoursOn(date(2025, 6, 30), None)


@pytest.mark.parametrize(
    ("today", "standing", "turns_on"),
    [
        (date(2026, 5, 1), Standing.NOT_DUE, date(2026, 5, 31)),
        (date(2026, 5, 30), Standing.NOT_DUE, date(2026, 5, 31)),
        (date(2026, 5, 31), Standing.SOON, date(2026, 6, 30)),
        (date(2026, 6, 29), Standing.SOON, date(2026, 6, 30)),
        (date(2026, 6, 30), Standing.DUE, date(2026, 7, 1)),
        (date(2026, 7, 1), Standing.OVERDUE, None),
        (date(2036, 7, 1), Standing.OVERDUE, None),
    ],
)
def test_by_the_calendar_it_turns_three_times(today: date, standing: Standing, turns_on: date | None) -> None:
    judged = judge(interval=YEARLY, last=LAST, seen=Seen(), today=today)
    assert judged.standing is standing
    assert next_turn(judged, seen=Seen(), readings=[], today=today) == turns_on


def test_what_nobody_knows_turns_by_no_day() -> None:
    judged = judge(interval=ServiceInterval(Decimal(100), 12), last=None, seen=Seen(), today=TODAY)
    assert judged.standing is Standing.NOT_KNOWN
    assert next_turn(judged, seen=Seen(), readings=[], today=TODAY) is None


def test_a_lay_up_begins_and_ends() -> None:
    seen = Seen(laid_up=[LaidUp(after(10), after(20))])
    judged = judge(interval=ServiceInterval(None, 240), last=LAST, seen=seen, today=TODAY)
    assert next_turn(judged, seen=seen, readings=[], today=TODAY) == after(10)
    assert next_turn(judged, seen=seen, readings=[], today=after(10)) == after(21)
    assert next_turn(judged, seen=replace(seen, laid_up=[]), readings=[], today=TODAY) == date(2045, 5, 31)


def test_a_reading_of_an_unknown_use_says_not_due_for_as_many_days_as_hours_are_left() -> None:
    read = HoursOn(TODAY, Decimal(440))
    seen = Seen(read=read)
    judged = judge(
        interval=ServiceInterval(Decimal(100)), last=HoursOn(after(-30), Decimal(400)), seen=seen, today=TODAY
    )
    assert judged.standing is Standing.NOT_DUE
    turn = next_turn(judged, seen=seen, readings=[read], today=TODAY)
    assert turn == after(60)
    later = judge(
        interval=ServiceInterval(Decimal(100)), last=HoursOn(after(-30), Decimal(400)), seen=seen, today=after(60)
    )
    assert later.standing is Standing.NOT_KNOWN
