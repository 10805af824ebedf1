"""Counting time: whole minutes, the day on which the clocks change, what a clock's end is, hours as they are sold."""

from __future__ import annotations

from datetime import date, time, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.workorders.labor.conftest import ZONE, local
from workorders.labor.reckoning import (
    day_minutes,
    end_of,
    is_same_day,
    minutes_of,
    moment_of_day,
    plain_hours,
    sold_hours,
    whole_minutes,
)


@pytest.mark.parametrize(
    ("start", "end", "minutes"),
    [
        ("2026-03-10 08:00", "2026-03-10 11:30", 210),
        ("2026-03-10 08:00:59", "2026-03-10 08:01:01", 1),  # by the face of the clock
        ("2026-03-10 08:00:01", "2026-03-10 08:00:59", 0),
        ("2026-03-08 01:00", "2026-03-08 04:00", 120),  # the clocks go forward at 2
        ("2026-11-01 00:30", "2026-11-01 03:30", 240),  # they go back at 2
        ("2026-03-10 22:00", "2026-03-11 01:15", 195),
        ("2026-03-10 09:00", "2026-03-10 08:00", -60),
    ],
)
def test_the_time_that_really_passed(start: str, end: str, minutes: int) -> None:
    assert whole_minutes(local(start), local(end)) == minutes


@given(st.lists(st.integers(0, 86_399), min_size=2, max_size=9).map(sorted))
def test_what_follows_each_other_adds_up(seconds: list[int]) -> None:
    moments = [local("2026-03-10 00:00") + timedelta(seconds=one) for one in seconds]
    parts = [whole_minutes(one, other) for one, other in pairwise(moments)]
    assert sum(parts) == whole_minutes(moments[0], moments[-1])


def test_a_day_has_its_own_length() -> None:
    days = {"2026-03-07": 1440, "2026-03-08": 1380, "2026-11-01": 1500, "2026-11-02": 1440}
    assert {day: day_minutes(date.fromisoformat(day), ZONE) for day in days} == days
    assert day_minutes(date(2026, 3, 8), ZoneInfo("UTC")) == 1440


def test_an_evening_past_midnight_is_of_its_day() -> None:
    assert is_same_day(local("2026-03-10 20:00"), local("2026-03-11 03:59"), ZONE)
    assert not is_same_day(local("2026-03-10 20:00"), local("2026-03-11 04:00"), ZONE)
    assert not is_same_day(local("2026-03-10 08:00"), local("2026-03-11 08:00"), ZONE)


def test_a_time_that_the_clocks_skip_or_show_twice_is_told() -> None:
    assert moment_of_day(date(2026, 3, 8), time(3, 30), ZONE) == local("2026-03-08 03:30")
    with pytest.raises(ValueError, match=r"forward on this day: there was no 2:30 AM\.$"):
        moment_of_day(date(2026, 3, 8), time(2, 30), ZONE)
    with pytest.raises(ValueError, match=r"1:30 AM came twice\. Enter the hours instead\.$"):
        moment_of_day(date(2026, 11, 1), time(1, 30), ZONE)


class TestTheEndOfAClock:
    START = local("2026-03-10 08:00")

    def end(self, *said: tuple[str, str], following: str = "") -> str:
        ends = [(kind, local(f"2026-03-{at}")) for kind, at in said]
        found = end_of(self.START, ends, local(f"2026-03-{following}") if following else None, ZONE)
        return f"{found:%d %H:%M}" if found else ""

    def test_nothing_said_is_not_known(self) -> None:
        assert self.end() == ""

    def test_the_first_press_counts(self) -> None:
        assert self.end(("off", "10 12:00"), ("pause", "10 10:15")) == "10 10:15"

    def test_going_on_elsewhere_ends_it(self) -> None:
        assert self.end(following="10 09:30") == "10 09:30"
        assert self.end(("off", "10 12:00"), following="10 09:30") == "10 09:30"

    def test_the_next_morning_says_nothing_of_the_evening(self) -> None:
        assert self.end(following="11 07:30") == ""

    def test_what_was_pressed_counts_before_what_was_answered(self) -> None:
        assert self.end(("until", "10 17:00"), following="11 07:30") == "10 17:00"
        assert self.end(("until", "10 17:00"), ("off", "10 17:20")) == "10 17:20"


@pytest.mark.parametrize(
    ("minutes", "step", "hours"),
    [
        (0, "0.1", "0"), (2, "0.1", "0.0"), (3, "0.1", "0.1"), (8, "0.1", "0.1"), (9, "0.1", "0.2"),
        (90, "0.1", "1.5"), (93, "0.1", "1.6"), (92, "0.1", "1.5"),
        (7, "0.25", "0"), (8, "0.25", "0.25"), (22, "0.25", "0.25"), (23, "0.25", "0.5"),
        (14, "0.5", "0"), (15, "0.5", "0.5"), (44, "0.5", "0.5"), (45, "0.5", "1.0"),
        (1, "0.01", "0.02"), (100, "0.01", "1.67"), (1, "0.05", "0"), (2, "0.05", "0.05"),
    ],
)  # fmt: skip
def test_hours_are_sold_to_the_shops_step_half_up(minutes: int, step: str, hours: str) -> None:
    assert sold_hours(minutes, Decimal(step)) == Decimal(hours)


@given(st.integers(0, 100_000), st.sampled_from(["0.01", "0.05", "0.10", "0.25", "0.50"]))
def test_a_sold_hour_is_never_farther_than_half_a_step_from_the_clock(minutes: int, step: str) -> None:
    away = Fraction(sold_hours(minutes, Decimal(step))) - Fraction(minutes, 60)
    half = Fraction(step) / 2
    assert -half < away <= half


def test_hours_as_they_are_read_and_typed() -> None:
    assert [str(plain_hours(one)) for one in (0, 1, 95, 90, 6)] == ["0.00", "0.02", "1.58", "1.50", "0.10"]
    assert [minutes_of(Decimal(one)) for one in ("1.5", "0.1", "0.33", "0.008", "0.009")] == [90, 6, 20, 0, 1]
