"""Service due by hours or months, against recomputed dates, python-dateutil, and a public rule of the same shape.

The dates were computed with Python's datetime and with python-dateutil 2.9, independently of this program.
"""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pandas as pd
import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import MONTHLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem
from engineering.measures import convert
from engineering.service import (
    DueReason,
    DueStanding,
    HoursOn,
    ServiceInterval,
    UseRate,
    calendar_dates,
    first_date_after,
    months_after,
    next_due,
    use_rate,
)
from tests.published.printed import as_printed

LAST = HoursOn(date(2026, 3, 1), Decimal(400))
EVERY = ServiceInterval(hours=Decimal(100), months=12)


def _now(hours: str, on: date = date(2026, 8, 1)) -> HoursOn:
    return HoursOn(on, Decimal(hours))


def test_hours_come_first():
    # computed: last 2026-03-01 at 400 h, every 100 h or 12 months; 2026-08-01 at 460.5 h
    due = next_due(interval=EVERY, last=LAST, now=_now("460.5"))
    assert due.rate is not None
    assert due.rate.per_day == as_printed("0.395425")
    assert due.rate.per_week == as_printed("2.76797")
    assert (due.due_hours, due.hours_left) == (Decimal(500), Decimal("39.5"))
    assert (due.by_hours_on, due.by_months_on) == (date(2026, 11, 8), date(2027, 3, 1))
    assert (due.due_on, due.because, due.standing) == (date(2026, 11, 8), DueReason.HOURS, DueStanding.NOT_DUE)


def test_months_come_first():
    # computed: the same at 410 h; 90 h at 10 h in 153 days are 1377 days exactly, which a float makes a day less or not
    due = next_due(interval=EVERY, last=LAST, now=_now("410"))
    assert (due.by_hours_on, due.by_months_on) == (date(2030, 5, 9), date(2027, 3, 1))
    assert (due.due_on, due.because) == (date(2027, 3, 1), DueReason.MONTHS)


def test_laid_up():
    # computed: rate 0, so only the calendar limits
    due = next_due(interval=EVERY, last=LAST, now=_now("400"))
    assert due.rate is not None
    assert due.rate.is_laid_up
    assert (due.by_hours_on, due.due_on, due.because) == (None, date(2027, 3, 1), DueReason.MONTHS)
    hours_only = next_due(interval=ServiceInterval(hours=Decimal(100)), last=LAST, now=_now("400"))
    assert (hours_only.due_on, hours_only.because, hours_only.standing) == (None, None, DueStanding.NOT_DUE)


@pytest.mark.parametrize(
    ("original", "months", "expected"),
    [
        # python-dateutil: the month's last day where it has no such day
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2023, 1, 31), 1, date(2023, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
    ],
)
def test_ends_of_months(original, months, expected):
    assert months_after(original, months) == expected


def test_ends_of_months_do_not_wear_away():
    # the trap: Jan 31 → Feb 28 → Mar 28. Counted from the original date it is Mar 31.
    assert calendar_dates(date(2026, 1, 31), 1, 4) == (
        date(2026, 2, 28), date(2026, 3, 31), date(2026, 4, 30), date(2026, 5, 31),
    )  # fmt: skip
    by_way_of = months_after(months_after(date(2026, 1, 31), 1), 1)
    assert by_way_of == date(2026, 3, 28)
    assert calendar_dates(date(2024, 2, 29), 12, 4)[-1] == date(2028, 2, 29)


def test_a_reading_lower_than_the_last_is_refused():
    # the trap: an error or a new meter, never a negative rate
    with pytest.raises(AmountProblem, match=r"399\.9 h on 2026-08-01 is less than 400 h on 2026-03-01") as refused:
        next_due(interval=EVERY, last=LAST, now=_now("399.9"))
    assert "replaced" in refused.value.sentence
    assert refused.value.field == "hours"


def test_a_new_meter_counts_on():
    # the trap: a meter replaced at 450 h starts at 0 and shows 12; true hours handed in are 462
    due = next_due(interval=EVERY, last=LAST, now=HoursOn(date(2026, 8, 1), Decimal(450) + Decimal(12)))
    assert due.hours_left == Decimal(38)


@pytest.mark.parametrize(("seconds", "hours"), [(614160, "170.6"), (372960, "103.6")])
def test_hours_from_a_network(seconds, hours):
    # NMEA 2000 PGN 127489, samples of an open database's test data: engine hours in seconds
    assert convert(Decimal(seconds), "s", "h") == Decimal(hours)


@pytest.mark.parametrize(
    ("now_hours", "now_on", "standing"),
    [
        # 14 CFR 91.409 (a), (b): an annual inspection within the preceding 12 calendar months, and within the preceding
        # 100 hours of time in service
        ("1299.9", date(2026, 12, 31), DueStanding.NOT_DUE),
        ("1300", date(2026, 12, 31), DueStanding.DUE),
        ("1300.1", date(2026, 12, 31), DueStanding.OVERDUE),
        ("1210", date(2027, 1, 15), DueStanding.DUE),
        ("1210", date(2027, 1, 16), DueStanding.OVERDUE),
    ],
)
def test_the_neighboring_public_rule(now_hours, now_on, standing):
    done = HoursOn(date(2026, 1, 15), Decimal(1200))
    due = next_due(interval=EVERY, last=done, now=HoursOn(now_on, Decimal(now_hours)))
    assert due.standing is standing


def test_excess_time_counts_in_the_next_interval():
    # 14 CFR 91.409 (b): the excess time used to reach a place for the inspection is included in computing the next 100
    # hours: done at 1305 h instead of 1300, the next is due at 1400
    due = next_due(interval=ServiceInterval(hours=Decimal(100)), last=_now("1300"), now=_now("1305"))
    assert due.due_hours == Decimal(1400)


DATES = st.dates(date(1950, 1, 1), date(2200, 12, 31))


@given(DATES, st.integers(1, 1200), st.integers(1, 12))
def test_months_equal_dateutil(original, months, times):
    assert months_after(original, months, times=times) == original + relativedelta(months=months * times)


@given(st.dates(date(1950, 1, 1), date(2200, 12, 31)), st.integers(1, 240))
def test_months_equal_an_implementation_of_another_kind(original, months):
    # pandas counts the months of a whole index in C; dateutil's rule of every nth month, kept to its last day
    index = pd.DatetimeIndex([datetime(original.year, original.month, original.day)]) + pd.DateOffset(months=months)
    assert months_after(original, months) == index[0].date()
    start = datetime(original.year, original.month, original.day)
    days = range(min(28, original.day), original.day + 1)
    by_rule = rrule(MONTHLY, interval=months, count=2, bymonthday=days, bysetpos=-1, dtstart=start)
    assert months_after(original, months) == by_rule[1].date()


@given(DATES, st.integers(1, 60), st.integers(0, 20000))
def test_the_first_date_after_equals_a_walk(original, months, days):
    after = original + timedelta(days=days)
    times = 1
    while original + relativedelta(months=months * times) <= after:
        times += 1
    assert first_date_after(original, months, after) == original + relativedelta(months=months * times)


@given(
    last_on=DATES,
    days=st.integers(1, 3000),
    last_h=st.integers(0, 100_000),
    ran=st.integers(1, 20_000),
    every_h=st.integers(10, 10_000),
    months=st.integers(1, 120),
)
def test_the_whole_answer_equals_dateutil_and_float_division(last_on, days, last_h, ran, every_h, months):
    # hours in tenths, as a meter shows them; the float division of the textbook formula, where it is not on an edge
    ran = min(ran, days * 240)
    last = HoursOn(last_on, Decimal(last_h) / 10)
    now = HoursOn(last_on + timedelta(days=days), Decimal(last_h + ran) / 10)
    due = next_due(interval=ServiceInterval(Decimal(every_h) / 10, months), last=last, now=now)
    by_months = last_on + relativedelta(months=months)
    assert due.by_months_on == by_months
    left_days = (every_h - ran) / (ran / days)
    if ran < every_h and left_days < 36_000 and abs(left_days - round(left_days)) > 1e-6:
        assert due.by_hours_on == now.on + timedelta(days=left_days)
        assert due.due_on == min(due.by_hours_on, by_months)
    passed = ran > every_h or now.on > by_months
    assert (due.standing is DueStanding.OVERDUE) is passed


def test_a_rate_over_the_last_twelve_months():
    # computed: 100 h in the first year, 30 h in the second: 0.0822 h a day since, where the mean would be 0.178
    readings = [HoursOn(date(2024, 5, 1), Decimal(100)), HoursOn(date(2025, 5, 1), Decimal(200)),
                HoursOn(date(2026, 5, 1), Decimal(230))]  # fmt: skip
    recent = use_rate(readings, since_on=date(2025, 5, 1))
    overall = use_rate(reversed(readings))
    assert isinstance(recent, UseRate)
    assert isinstance(overall, UseRate)
    assert recent.per_day == as_printed("0.0822")
    assert overall.per_day == as_printed("0.1781")
    due = next_due(interval=EVERY, last=readings[1], now=readings[2], rate=recent)
    assert due.by_hours_on == date(2026, 5, 1) + timedelta(days=851)
