"""Service due: overdue, unknown use, late and out-of-order readings, and what is refused."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem
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
    say_due,
    use_rate,
)

LAST = HoursOn(date(2026, 3, 1), Decimal(400))
EVERY = ServiceInterval(hours=Decimal(100), months=12)
NO_USE = "by the hours given the use is 0 h a week, which gives no day"
TODAY = date(2026, 8, 1)


def _due(hours: str | None = "460.5", on: date = TODAY, **other):
    now = HoursOn(on, None if hours is None else Decimal(hours))
    return next_due(**{"interval": EVERY, "last": LAST, "now": now, **other})


def _say(hours, on=TODAY, **other):
    return say_due(_due(hours, on, **other), on)


@pytest.mark.parametrize(
    ("hours", "interval", "sentence"),
    [
        ("460.5", EVERY, "Due about Nov 8, 2026 by hours: 39.5 h left to 500 h at 2.8 h a week. "
         "The calendar says Mar 1, 2027."),
        ("460.5", ServiceInterval(hours=Decimal(100)),
         "Due about Nov 8, 2026 by hours: 39.5 h left to 500 h at 2.8 h a week."),
        ("410", EVERY, "Due on Mar 1, 2027 by the calendar. By hours: 90 h left to 500 h at 0.5 h a week, "
         "until about May 9, 2030."),
        ("400", EVERY, f"Due on Mar 1, 2027 by the calendar. By hours: 100 h left to 500 h; {NO_USE}."),
        ("400", ServiceInterval(hours=Decimal(100)), f"Due by hours: 100 h left to 500 h; {NO_USE}."),
        ("400.1", ServiceInterval(hours=Decimal(1000)),
         "Due by hours: 999.9 h left to 1,400 h; at the use so far that is more than a hundred years."),
        (None, ServiceInterval(months=6), "Due on Sep 1, 2026 by the calendar."),
        ("500", EVERY, "Due at 500 h, now."),
        ("520", EVERY, "Overdue: it was due at 500 h, 20 h ago."),
    ],
)  # fmt: skip
def test_the_answer_in_words(hours, interval, sentence):
    assert _say(hours, interval=interval) == sentence


@pytest.mark.parametrize(
    ("hours", "on", "standing", "because", "sentence"),
    [
        ("410", date(2027, 3, 1), DueStanding.DUE, DueReason.MONTHS, "Due on Mar 1, 2027, today."),
        ("410", date(2027, 3, 2), DueStanding.OVERDUE, DueReason.MONTHS,
         "Overdue: it was due on Mar 1, 2027, 1 day ago."),
        ("400", date(2027, 3, 11), DueStanding.OVERDUE, DueReason.MONTHS,
         "Overdue: it was due on Mar 1, 2027, 10 days ago."),
        ("510", date(2027, 3, 11), DueStanding.OVERDUE, DueReason.HOURS,
         "Overdue: it was due at 500 h, 10 h ago and on Mar 1, 2027, 10 days ago."),
        ("500", TODAY, DueStanding.DUE, DueReason.HOURS, "Due at 500 h, now."),
    ],
)  # fmt: skip
def test_due_and_overdue(hours, on, standing, because, sentence):
    due = _due(hours, on)
    assert (due.standing, due.because, say_due(due, on)) == (standing, because, sentence)


def test_the_estimate_alone_makes_nothing_overdue():
    # a rate handed in says that the hours were used up long ago; the meter says that they were not
    due = _due("499", rate=UseRate(Decimal(1000), 10))
    assert due.standing is DueStanding.NOT_DUE
    assert due.by_hours_on == TODAY


def test_hours_passed_are_dated_between_the_last_service_and_today():
    due = _due("520")
    assert due.by_hours_on == date(2026, 7, 6)
    with_a_slow_rate = _due("520", rate=UseRate(Decimal(1), 365))
    assert with_a_slow_rate.by_hours_on == LAST.on


def test_the_same_day_tells_no_use():
    due = next_due(interval=EVERY, last=LAST, now=LAST)
    assert (due.rate, due.by_hours_on, due.due_on) == (None, None, date(2027, 3, 1))
    assert "not known yet" in say_due(due, LAST.on)


def test_hours_passed_on_the_day_of_the_last_service_are_due_all_the_same():
    due = next_due(interval=ServiceInterval(hours=Decimal(10)), last=LAST, now=HoursOn(LAST.on, Decimal(412)))
    assert (due.standing, due.because, due.due_on) == (DueStanding.OVERDUE, DueReason.HOURS, LAST.on)


def test_hardly_used_means_no_day():
    due = next_due(
        interval=ServiceInterval(hours=Decimal(1000)),
        last=LAST,
        now=HoursOn(TODAY, Decimal("400.1")),
    )
    assert (due.by_hours_on, due.due_on) == (None, None)


def test_months_alone_need_no_hours():
    due = next_due(interval=ServiceInterval(months=6), last=HoursOn(LAST.on, None), now=HoursOn(TODAY, None))
    assert (due.due_on, due.due_hours, due.hours_left) == (date(2026, 9, 1), None, None)


def test_months_count_where_both_fall_on_one_day():
    # 10 h in 10 days, 30 h left: the hours end on the day on which the month does
    last = HoursOn(date(2026, 4, 1), Decimal(0))
    due = next_due(
        interval=ServiceInterval(hours=Decimal(30), months=1), last=last, now=HoursOn(date(2026, 4, 11), Decimal(10))
    )
    assert (due.by_hours_on, due.by_months_on, due.because) == (date(2026, 5, 1), date(2026, 5, 1), DueReason.MONTHS)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (ServiceInterval, "interval_hours"),
        (lambda: ServiceInterval(hours=Decimal(0)), "interval_hours"),
        (lambda: ServiceInterval(hours=Decimal("NaN")), "interval_hours"),
        (lambda: ServiceInterval(months=0), "months"),
        (lambda: HoursOn(TODAY, Decimal(-1)), "hours"),
        (lambda: HoursOn(TODAY, Decimal("Infinity")), "hours"),
        (lambda: _due("399.9"), "hours"),
        (lambda: _due("4096.1"), "hours"),  # 153 days, and one more as days are only days: 3696 h
        (lambda: _due(on=date(2026, 2, 28)), "last_on"),
        (lambda: _due(None), "now_hours"),
        (lambda: _due(last=HoursOn(LAST.on, None)), "last_hours"),
        (lambda: _due(rate=UseRate(Decimal(1), 0)), "rate"),
        (lambda: _due(rate=UseRate(Decimal(-1), 10)), "rate"),
        (lambda: _due(interval=ServiceInterval(months=1201)), "months"),
        (lambda: months_after(date(9990, 1, 31), 1200), "months"),
        (lambda: months_after(TODAY, 0), "months"),
        (lambda: first_date_after(TODAY, 0, TODAY), "months"),
        (lambda: months_after(TODAY, 1, times=0), "times"),
    ],
)
def test_what_has_no_sense_is_refused_by_its_field(call, field):
    with pytest.raises(AmountProblem) as refused:
        call()
    assert refused.value.field == field


def test_a_point_missed_in_the_meter_is_noticed():
    with pytest.raises(AmountProblem, match="more than the clock has"):
        _due("4605")


READINGS = st.lists(st.tuples(st.integers(1, 400), st.integers(0, 200)), min_size=1, max_size=10)


@given(READINGS, st.randoms())
def test_readings_in_any_order_give_one_rate(steps, random):
    readings, on, hours = [], date(2024, 1, 1), Decimal(0)
    for days, tenths in steps:
        on, hours = on + timedelta(days=days), hours + Decimal(tenths) / 10
        readings.append(HoursOn(on, hours))
    shuffled = [*random.sample(readings, len(readings)), readings[0], HoursOn(on, None)]
    rate = use_rate(shuffled)
    assert rate == use_rate(readings)
    if len(readings) == 1:
        assert rate is None
    else:
        assert rate is not None
        assert rate.hours == readings[-1].hours - readings[0].hours
        assert rate.per_week == pytest.approx(7 * float(rate.hours) / (on - readings[0].on).days)


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(1, 24), st.integers(2, 30))
def test_due_dates_rise_and_keep_to_the_first_day(original, months, count):
    dates = calendar_dates(original, months, count)
    assert list(dates) == sorted(set(dates))
    for times, due_on in enumerate(dates, 1):
        assert due_on.day <= original.day
        assert (due_on.year - original.year) * 12 + due_on.month - original.month == months * times
        # the month's last day, or the day itself
        assert due_on.day == original.day or (due_on + timedelta(days=1)).day == 1
        assert first_date_after(original, months, due_on - timedelta(days=1)) == due_on


@given(st.integers(1, 2000), st.integers(0, 3000), st.integers(1, 900), st.integers(1, 60))
def test_more_hours_never_put_the_service_off(every, ran, days, months):
    last, interval = HoursOn(date(2026, 1, 1), Decimal(100)), ServiceInterval(Decimal(every), months)
    on = last.on + timedelta(days=days)
    ran = min(ran, 24 * days)
    less = next_due(interval=interval, last=last, now=HoursOn(on, 100 + Decimal(ran)))
    more = next_due(interval=interval, last=last, now=HoursOn(on, 100 + Decimal(min(ran + 1, 24 * days))))
    assert less.due_on is not None
    assert more.due_on is not None
    assert more.due_on <= less.due_on
    assert less.due_on <= less.by_months_on
