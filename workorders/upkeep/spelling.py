"""How a judgment is written down, and read: its parts in a fixed order, as JSON."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from engineering.service import ByHours, ByMonths, Expected, HoursOn, Judged, LaidUp, Standing, Unknown
from workorders.upkeep.queries.due import Due, Followed

RULES = 1
"""Goes up with every change of how a service is judged or of how the answer is written here: all are judged again."""


def spelled(due: Due) -> str:
    """What was judged; the job that the service is on is not part of it."""
    one, judged = due.followed, due.judged
    return json.dumps(
        [
            [_plain(value) for value in one._replace(open_job=None)],
            judged.standing.value,
            _hours(judged.by_hours),
            _months(judged.by_months),
            _plain(due.per_week),
            None if due.laid_up is None else [_plain(due.laid_up.from_on), _plain(due.laid_up.until_on)],
            list(due.doubts),
        ],
        ensure_ascii=False,
        separators=(",", ":"),
    )


def read(text: str, *, judged_on: date, turns_on: date | None, open_job: int | None) -> Due:
    """The same as an answer again."""
    followed, standing, by_hours, by_months, per_week, laid_up, doubts = json.loads(text)
    return Due(
        followed=_followed(followed, open_job),
        judged=Judged(Standing(standing), _read_hours(by_hours), _read_months(by_months)),
        per_week=_decimal(per_week),
        laid_up=None if laid_up is None else LaidUp(date.fromisoformat(laid_up[0]), _date(laid_up[1])),
        doubts=doubts,
        today=judged_on,
        turns_on=turns_on,
    )


def _plain(value: object) -> Any:
    """A value as JSON has it: days and moments in ISO 8601, decimals and keys as text."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    return value


def _hours(side: ByHours | None) -> list[Any] | None:
    if side is None:
        return None
    seen, expected = side.seen, side.expected
    return [
        side.standing.value,
        _plain(side.due_at),
        _plain(side.left),
        None if seen is None else [_plain(seen.on), _plain(seen.hours)],
        None if expected is None else [_plain(day) for day in _days(expected)],
        None if side.unknown is None else side.unknown.name,
        side.use_reached,
    ]


def _days(expected: Expected) -> Sequence[date | None]:
    return expected.about_on, expected.earliest_on, expected.latest_on


def _months(side: ByMonths | None) -> list[Any] | None:
    if side is None:
        return None
    return [side.standing.value, _plain(side.due_on), None if side.unknown is None else side.unknown.name]


def _read_hours(kept: list[Any] | None) -> ByHours | None:
    if kept is None:
        return None
    standing, due_at, left, seen, expected, unknown, use_reached = kept
    return ByHours(
        standing=Standing(standing),
        due_at=_decimal(due_at),
        left=_decimal(left),
        seen=None if seen is None else HoursOn(date.fromisoformat(seen[0]), _decimal(seen[1])),
        expected=None
        if expected is None
        else Expected(date.fromisoformat(expected[0]), date.fromisoformat(expected[1]), _date(expected[2])),
        unknown=None if unknown is None else Unknown[unknown],
        use_reached=use_reached,
    )


def _read_months(kept: list[Any] | None) -> ByMonths | None:
    if kept is None:
        return None
    standing, due_on, unknown = kept
    return ByMonths(Standing(standing), _date(due_on), None if unknown is None else Unknown[unknown])


def _followed(kept: list[Any], open_job: int | None) -> Followed:
    one = Followed._make(kept)
    return one._replace(
        every_hours=_decimal(one.every_hours),
        first_hours=_decimal(one.first_hours),
        last_on=_date(one.last_on),
        last_hours=_decimal(one.last_hours),
        done_id=None if one.done_id is None else UUID(str(one.done_id)),
        done_at=None if one.done_at is None else datetime.fromisoformat(str(one.done_at)),
        done_hours=_decimal(one.done_hours),
        open_job=open_job,
    )


def _decimal(text: object) -> Decimal | None:
    return None if text is None else Decimal(str(text))


def _date(text: object) -> date | None:
    return None if text is None else date.fromisoformat(str(text))
