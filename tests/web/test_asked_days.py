"""A day that an address asks for, or why it is not taken: what is said is true of the day."""

from __future__ import annotations

from datetime import date

import pytest

from web.typed import day_asked

FIRST, LAST = date(1900, 1, 1), date(2999, 12, 31)
UNREAD = "“{}” cannot be read as a day: enter one such as 2026-05-01."


@pytest.mark.parametrize(
    ("text", "day", "said"),
    [
        ("", None, ""),
        ("  ", None, ""),
        ("2026-11-28", date(2026, 11, 28), ""),
        (" 2026-11-28 ", date(2026, 11, 28), ""),
        ("2024-02-29", date(2024, 2, 29), ""),
        ("1900-01-01", FIRST, ""),
        ("2999-12-31", LAST, ""),
        ("1899-12-31", None, "“1899-12-31” is too long ago: enter a day no earlier than 1900-01-01."),
        ("0001-01-01", None, "“0001-01-01” is too long ago: enter a day no earlier than 1900-01-01."),
        ("3000-01-01", None, "“3000-01-01” is too far ahead: enter a day no later than 2999-12-31."),
        ("9999-12-31", None, "“9999-12-31” is too far ahead: enter a day no later than 2999-12-31."),
        ("2026-02-30", None, UNREAD.format("2026-02-30")),
        ("2026-13-40", None, UNREAD.format("2026-13-40")),
        ("0000-00-00", None, UNREAD.format("0000-00-00")),
        ("10000-01-01", None, UNREAD.format("10000-01-01")),
        ("May 1, 2026", None, UNREAD.format("May 1, 2026")),
        ("x\ny", None, UNREAD.format("x y")),
        ("9" * 60, None, UNREAD.format("9" * 39 + "…")),
    ],
)
def test_what_is_said_of_a_day(text: str, day: date | None, said: str) -> None:
    assert day_asked(text, earliest=FIRST, latest=LAST) == (day, said)
