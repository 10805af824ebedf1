"""Which days are counted: whole weeks unless somebody says otherwise, and a word where what was asked cannot be."""

from __future__ import annotations

from datetime import date
from zoneinfo import ZoneInfo

import pytest

from billing.figures.period import period_of, week_words

ZONE = ZoneInfo("America/New_York")
TODAY = date(2026, 11, 28)  # a Saturday
USUAL = (date(2026, 8, 31), TODAY)


@pytest.mark.parametrize(
    ("first", "last", "days", "said"),
    [
        ("", "", USUAL, ""),
        ("2026-11-02", "2026-11-08", (date(2026, 11, 2), date(2026, 11, 8)), ""),
        ("2026-11-28", "2026-11-28", (TODAY, TODAY), ""),
        ("2024-02-29", "2026-11-28", (date(2024, 2, 29), TODAY), ""),
        ("2026-11-09", "2026-11-08", USUAL, "The first day comes after the last."),
        ("2026-11-01", "2026-12-01", USUAL, "Dec 1, 2026 has not come yet."),
        ("2019-11-01", "2026-11-01", USUAL, "That is more than five years: choose fewer."),
        ("abc", "2026-11-08", USUAL, "“abc” cannot be read as a day: enter one such as 2026-05-01."),
        ("2026-02-30", "2026-11-08", USUAL, "“2026-02-30” cannot be read as a day: enter one such as 2026-05-01."),
        ("0001-01-01", "2026-11-08", USUAL, "“0001-01-01” is too long ago: enter a day no earlier than 1900-01-01."),
        ("2026-11-01", "9999-01-01", USUAL, "Jan 1, 9999 has not come yet."),
        ("2026-11-08", "", USUAL, "Enter both days."),
    ],
)
def test_days(first: str, last: str, days: tuple[date, date], said: str) -> None:
    found = period_of({"first": first, "last": last}, TODAY, ZONE)
    assert (found.first, found.last) == days
    assert found.problem == (f"{said} These are the last 13 weeks instead." if said else "")


@pytest.mark.parametrize(
    ("first", "last", "weeks"),
    [
        ("2026-11-02", "2026-11-08", ["2026-W45"]),
        ("2026-11-01", "2026-11-09", ["2026-W46", "2026-W45", "2026-W44"]),
        ("2025-12-28", "2025-12-29", ["2026-W01", "2025-W52"]),  # Dec 29, 2025 is of the first week of 2026 (ISO 8601)
        ("2020-12-28", "2021-01-04", ["2021-W01", "2020-W53"]),
    ],
)
def test_weeks_are_those_of_iso_8601(first: str, last: str, weeks: list[str]) -> None:
    found = period_of({"first": first, "last": last}, TODAY, ZONE)
    assert [week_words(monday) for monday in found.weeks] == weeks


def test_days_begin_and_end_at_the_shops_midnight() -> None:
    found = period_of({"first": "2026-11-01", "last": "2026-11-01"}, TODAY, ZONE)
    assert (found.end - found.begin).days == 1
    assert (found.end.astimezone(ZoneInfo("UTC")) - found.begin.astimezone(ZoneInfo("UTC"))).total_seconds() == 90_000
