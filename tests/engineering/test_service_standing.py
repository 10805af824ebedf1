"""Where a service stands, as a careful mechanic would say it, and when hours will be used up."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.service import HoursOn, ServiceInterval
from engineering.service.running import LaidUp, days_in_water, expected, merged, use_of
from engineering.service.standing import Seen, Standing, Unknown, judge

TODAY = date(2026, 8, 1)
OVERDUE, DUE, SOON, UNKNOWN, NOT_DUE = Standing
H100_M12 = ServiceInterval(Decimal(100), 12)
H100 = ServiceInterval(Decimal(100))
M12 = ServiceInterval(months=12)


def at(day: str, hours: str | None = None) -> HoursOn:
    return HoursOn(date.fromisoformat(day), None if hours is None else Decimal(hours))


def readings(*told: tuple[str, str]) -> list[HoursOn]:
    return [at(day, hours) for day, hours in told]


# 2 h a week and more in summer: 0.25 h a day to Jun 1, 0.5 h a day to Jul 20
STEADY = readings(("2026-02-01", "400"), ("2026-06-01", "430"), ("2026-07-20", "454.5"))

CASES = [
    # what, interval, last, seen, told or read, standing, why not known
    ("just done", H100_M12, at("2026-07-20", "454.5"), Seen(at("2026-07-20", "454.5")), True, NOT_DUE, None),
    ("hours passed", H100_M12, at("2026-03-01", "400"), Seen(at("2026-07-01", "512.5")), True, OVERDUE, None),
    ("hours reached exactly", H100_M12, at("2026-03-01", "400"), Seen(at("2026-07-30", "500")), True, DUE, None),
    ("a tenth of the hours left", H100_M12, at("2026-03-01", "400"), Seen(at("2026-07-30", "490")), True, SOON, None),
    ("months passed, few hours", H100_M12, at("2025-07-31", "400"), Seen(at("2026-07-01", "402")), True, OVERDUE, None),
    ("months reached today", H100_M12, at("2025-08-01", "400"), Seen(at("2026-07-30", "410")), True, DUE, None),
    ("months within 30 days", H100_M12, at("2025-08-31", "400"), Seen(at("2026-07-30", "410")), True, SOON, None),
    # what is not known is not guessed
    ("nobody said when", H100_M12, None, Seen(at("2026-07-30", "1410")), True, UNKNOWN, Unknown.LAST),
    ("done, hours not known", H100, at("2026-03-01"), Seen(at("2026-07-30", "410")), True, UNKNOWN, Unknown.LAST_HOURS),
    ("told, and nothing read since", H100, at("2026-07-25", "400"), Seen(at("2026-07-20", "399")), False, UNKNOWN,
     Unknown.NEVER_READ),
    ("told, read since", H100, at("2026-07-01", "400"), Seen(at("2026-07-20", "405")), False, NOT_DUE, None),
    ("told more than was read later", H100, at("2026-07-01", "500"), Seen(at("2026-07-20", "405")), False, UNKNOWN,
     Unknown.BACKWARD),
    ("done at fewer than were read before", H100, at("2026-07-21", "400"), Seen(at("2026-07-20", "405")), True, UNKNOWN,
     Unknown.BACKWARD),
    ("read too long ago", H100, at("2026-01-01", "400"), Seen(at("2026-03-01", "430")), True, UNKNOWN,
     Unknown.OLD_READING),
    ("the same, laid up since", H100, at("2026-01-01", "400"),
     Seen(at("2026-03-01", "430"), laid_up=[LaidUp(date(2026, 3, 2))]), True, NOT_DUE, None),
    ("meter replaced unread", H100, at("2026-03-01", "400"),
     Seen(at("2026-07-20", "410"), unread_since=date(2026, 7, 21)), True, UNKNOWN, Unknown.METER),
    ("meter replaced unread after the hours were passed", H100, at("2026-03-01", "400"),
     Seen(at("2026-07-20", "510"), unread_since=date(2026, 7, 21)), True, OVERDUE, None),
    ("hours in doubt", H100, at("2026-03-01", "400"), Seen(at("2026-07-20", "900"), in_doubt=True), True, UNKNOWN,
     Unknown.DOUBT),
    ("hours in doubt, months passed", H100_M12, at("2025-03-01", "400"),
     Seen(at("2026-07-20", "900"), in_doubt=True), True, OVERDUE, Unknown.DOUBT),
    ("no hours at all, months far", H100_M12, at("2026-03-01"), Seen(), True, UNKNOWN, Unknown.LAST_HOURS),
    ("months alone need no hours", M12, at("2026-03-01"), Seen(), True, NOT_DUE, None),
    # the months go on while the boat is laid up
    ("laid up over the day", M12, at("2025-07-31"), Seen(laid_up=[LaidUp(date(2025, 10, 1))]), True, OVERDUE, None),
    ("the first of a new engine", ServiceInterval(Decimal(20)), at("2026-07-01", "0"), Seen(at("2026-07-28", "21")),
     True, OVERDUE, None),
]  # fmt: skip


@pytest.mark.parametrize(("what", "interval", "last", "seen", "is_read", "standing", "unknown"), CASES)
def test_as_a_mechanic_would_say_it(what, interval, last, seen, is_read, standing, unknown):
    judged = judge(interval=interval, last=last, seen=seen, today=TODAY, last_is_read=is_read)
    assert judged.standing is standing, what
    assert (judged.by_hours.unknown if judged.by_hours else None) is unknown, what


@pytest.mark.parametrize(
    ("done", "months", "due"),
    [
        ("2026-01-31", 1, "2026-02-28"), ("2024-01-31", 1, "2024-02-29"), ("2024-02-29", 12, "2025-02-28"),
        ("2024-02-29", 48, "2028-02-29"), ("2026-08-31", 6, "2027-02-28"),
    ],
)  # fmt: skip
def test_months_on_the_last_of_a_month(done, months, due):
    # python-dateutil's rule, as in tests/published/test_service_due.py
    day = date.fromisoformat(due)
    for today, standing in [(day - timedelta(days=1), SOON), (day, DUE), (day + timedelta(days=1), OVERDUE)]:
        judged = judge(interval=ServiceInterval(months=months), last=at(done), seen=Seen(), today=today)
        assert (judged.standing, judged.due_on) == (standing, day)


def test_a_day_is_expected_where_the_use_is_known():
    use = use_of(STEADY, TODAY)
    assert use is not None
    assert (use.quietest, use.busiest) == (Decimal("0.25"), Decimal("0.5"))
    assert use.mean == Decimal("54.5") / 169 or abs(float(use.mean) - 54.5 / 169) < 1e-12
    judged = judge(interval=H100, last=at("2026-02-01", "400"), seen=Seen(at("2026-07-20", "454.5"), use), today=TODAY)
    assert judged.by_hours is not None
    # computed: 45.5 h at 54.5 h in 169 days are 141.09 days, at 0.5 h a day 91, at 0.25 h a day 182
    assert judged.by_hours.expected is not None
    assert judged.by_hours.expected.about_on == date(2026, 7, 20) + timedelta(days=141)
    assert judged.by_hours.expected.earliest_on == date(2026, 7, 20) + timedelta(days=91)
    assert judged.by_hours.expected.latest_on == date(2026, 7, 20) + timedelta(days=182)
    assert judged.due_on == date(2026, 12, 8)


@pytest.mark.parametrize(
    ("what", "told"),
    [
        ("nothing", []),
        ("one reading", [("2026-07-20", "454")]),
        ("two readings a day apart", [("2026-07-19", "450"), ("2026-07-20", "454")]),
        ("a month only", [("2026-06-01", "440"), ("2026-06-16", "447"), ("2026-07-01", "454")]),
        ("one summer between two visits", [("2026-05-01", "400"), ("2026-07-20", "454")]),
        ("not read for half a year", [("2025-06-01", "300"), ("2025-10-01", "400"), ("2026-01-20", "401")]),
        ("running backward", [("2026-02-01", "400"), ("2026-04-01", "390"), ("2026-07-01", "410")]),
        ("long ago", [("2022-02-01", "400"), ("2023-04-01", "490"), ("2023-07-01", "510")]),
        ("to come", [("2026-02-01", "400"), ("2027-04-01", "490")]),
    ],
)
def test_use_that_is_not_known_well_enough(what, told):
    assert use_of(readings(*told), TODAY) is None, what


def test_a_year_between_two_visits_tells_the_use_of_a_year():
    use = use_of(readings(("2025-07-20", "400"), ("2026-07-20", "473")), TODAY)
    assert use is not None
    assert use.mean == use.busiest == use.quietest == Decimal("0.2")


def test_days_laid_up_are_no_use():
    laid_up = [LaidUp(date(2025, 11, 1), date(2026, 4, 1))]
    use = use_of(readings(("2025-09-02", "400"), ("2025-11-01", "430"), ("2026-04-01", "430"), ("2026-05-31", "460")),
                 date(2026, 6, 1), laid_up)  # fmt: skip
    assert use is not None
    assert use.mean == Decimal("0.5")
    assert expected(Decimal(10), date(2025, 10, 25), use, laid_up).about_on == date(2026, 4, 14)


def test_no_day_while_laid_up_and_none_past_a_lay_up_without_end():
    use = use_of(STEADY, TODAY)
    last, read = at("2026-02-01", "400"), at("2026-07-20", "454.5")
    for laid_up in ([LaidUp(date(2026, 7, 21))], [LaidUp(date(2026, 9, 1))]):
        judged = judge(interval=H100_M12, last=last, seen=Seen(read, use, laid_up), today=TODAY)
        assert judged.by_hours is not None
        assert judged.by_hours.expected is None
        assert judged.due_on == date(2027, 2, 1)


def test_hours_probably_reached_are_never_called_due():
    use = use_of(STEADY, date(2026, 12, 20))
    judged = judge(
        interval=H100, last=at("2026-02-01", "400"), seen=Seen(at("2026-07-20", "454.5"), use), today=date(2026, 12, 20)
    )
    assert judged.standing is SOON
    assert judged.by_hours is not None
    assert judged.by_hours.use_reached


def test_an_engine_that_never_ran_has_no_day():
    use = use_of(readings(("2025-07-20", "400"), ("2026-01-20", "400"), ("2026-07-20", "400")), TODAY)
    assert use is not None
    assert expected(Decimal(40), date(2026, 7, 20), use) is None


@given(
    st.lists(st.tuples(st.integers(0, 700), st.integers(0, 5000)), max_size=8),
    st.lists(st.tuples(st.integers(0, 700), st.one_of(st.none(), st.integers(0, 200))), max_size=4),
    st.integers(1, 3000),
)
def test_never_a_day_before_the_reading_and_in_order(told, away, left):
    start = date(2024, 9, 1)
    hours, seen = 0, []
    for days, more in sorted(told):
        hours += more
        seen.append(HoursOn(start + timedelta(days=days), Decimal(hours) / 10))
    laid_up = [
        LaidUp(start + timedelta(days=began), None if length is None else start + timedelta(days=began + length))
        for began, length in away
    ]
    use = use_of(seen, TODAY, laid_up)
    ordered = merged(laid_up)
    assert all(one.until_on is not None and one.until_on < two.from_on for one, two in pairwise(ordered))
    if use is None:
        return
    assert 0 <= use.quietest <= use.mean <= use.busiest
    day = expected(Decimal(left) / 10, seen[-1].on, use, laid_up)
    if day is not None:
        assert seen[-1].on <= day.earliest_on <= day.about_on
        assert day.latest_on is None or day.about_on <= day.latest_on
        if use.mean:
            ran = use.mean * (days_in_water(seen[-1].on, day.about_on, laid_up) + 1)
            assert ran >= Decimal(left) / 10 - Decimal("0.001")
