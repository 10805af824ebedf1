"""What was typed goes along where the conditions of a sheet's columns change: each value as what it is, or not at all.

A value in a row that has a condition of its own is read under that, whatever the columns are. A value without a
condition is under none, and only who typed it knows which one it was read under.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.http import QueryDict

from findings.readings.cells import cell_name
from findings.readings.layout import Layout
from findings.readings.models import SpecLimit

_FIGURE = re.compile(r"(?P<row>(?P<kind>limit|line)-(?P<key>[0-9]{1,12}))(?:-(?P<column>[0-9]{0,12}x[0-9a-f]{8}))?"
                     r"-(?P<figure>value|minimum|maximum)")  # fmt: skip


def carried(before: Layout, after: Layout, typed: QueryDict) -> QueryDict:
    """The same with the values of rows that have their own condition where the other layout shows them.

    One whose condition gets a column stands in that column; every other one in the first column of its engine.
    """
    moved = typed.copy()
    if before.conditions == after.conditions:
        return moved
    old = {one.key: one for one in before.columns if one.is_first_of_engine}
    limits = _limits_in(typed)
    for name, found in _figures(typed):
        column, limit = old.get(found["column"] or ""), limits.get(found["row"])
        if column is None or limit is None or not limit.condition:
            continue
        here = [one for one in after.columns if one.engine == column.engine]
        own = next((one for one in here if one.condition.casefold() == limit.condition.casefold()), None)
        first = next((one for one in here if one.is_first_of_engine), None)
        if own is not None and after.conditions:
            _move(moved, name, f"{cell_name(_row_of(limit, found['row'], moved), own)}-{found['figure']}")
        elif first is not None:
            _move(moved, name, f"{cell_name(found['row'], first)}-{found['figure']}")
    return moved


def without_condition(layout: Layout, typed: QueryDict) -> list[str]:
    """The fields of values that are read under no condition: typed in a column and a row that have none."""
    limits = _limits_in(typed)
    plain = {one.key for one in layout.columns if not one.condition}
    return [
        name for name, found in _figures(typed)
        if (found["column"] or "") in plain
        and not (found["row"] in limits and limits[found["row"]].condition)
    ]  # fmt: skip


def put_under(before: Layout, after: Layout, typed: QueryDict, condition: str) -> QueryDict:
    """The same with every value that had no condition in the column of this one."""
    moved, limits = typed.copy(), _limits_in(typed)
    engines = {one.key: one.engine for one in before.columns}
    for name in without_condition(before, typed):
        found = _FIGURE.fullmatch(name)
        assert found is not None  # noqa: S101  (it was found so)
        limit = limits.get(found["row"])
        row = _row_of(limit, found["row"], moved) if limit else found["row"]
        column = next(one for one in after.columns if one.engine == engines[found["column"] or ""]
                      and one.condition.casefold() == condition.casefold())  # fmt: skip
        _move(moved, name, f"{cell_name(row, column)}-{found['figure']}")
    return moved


def _row_of(limit: SpecLimit, row: str, typed: QueryDict) -> str:
    """The row of a limit's parameter, in the unit of the limit's own row; that row where another unit stands there."""
    own, unit = f"line-{limit.parameter_id}", typed.get(f"{row}-unit", "") or limit.unit
    is_used = any(found["row"] == own for _, found in _figures(typed))
    if is_used and typed.get(f"{own}-unit", "") != unit:
        return row
    typed[f"{own}-unit"] = unit
    return own


def _figures(typed: QueryDict) -> Iterator[tuple[str, re.Match[str]]]:
    """The fields in which a figure stands."""
    for name, value in list(typed.items()):
        if (found := _FIGURE.fullmatch(name)) and str(value).strip():
            yield name, found


def _limits_in(typed: QueryDict) -> dict[str, SpecLimit]:
    """The limits in whose rows something stands, by the name of the row."""
    keys = {int(found["key"]) for _, found in _figures(typed) if found["kind"] == "limit"}
    return {f"limit-{one.pk}": one for one in SpecLimit.objects.filter(pk__in=keys)} if keys else {}


def _move(typed: QueryDict, name: str, target: str) -> None:
    """Move a value to another field, unless something stands there."""
    if target == name or str(typed.get(target, "")).strip():
        return
    typed[target] = typed.get(name, "")
    del typed[name]
