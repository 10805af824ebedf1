"""A value that a CAN log had and somebody corrected by hand: it stands in no log, and is not said to.

The correction keeps the log that the first value was read from, so that the way back to it stays; what the log had,
and who wrote the value that stands now, is told from the chain of corrections.
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

from django.db.models import F, Func, TextField

from engineering.measures import show
from findings.readings.models import Reading

_CHAIN = """(
    WITH RECURSIVE chain AS (
        SELECT here.id, here.amends_id, here.author_id, 0 AS depth FROM vessels_logentry here WHERE here.id = {entry}
        UNION ALL
        SELECT before.id, before.amends_id, before.author_id, chain.depth + 1
        FROM chain JOIN vessels_logentry before ON before.id = chain.amends_id
    )
    SELECT json_agg(json_build_object(
        'by', author.name, 'unit', found.unit, 'value', found.value, 'minimum', found.minimum,
        'maximum', found.maximum) ORDER BY chain.depth DESC)::text
    FROM chain JOIN readings_reading found ON found.entry_id = chain.id
    JOIN staff_person author ON author.id = chain.author_id
)"""
CHAIN = _CHAIN.format(entry="reading.entry_id")
"""For hand-written questions: the values of ``reading`` and of all that it corrects, the first one first."""
_FIGURES = ("unit", "value", "minimum", "maximum")


def chain_of(entry: str) -> Func:
    """The same as a column of a queryset; ``entry`` is the way to the reading's key."""
    return Func(F(entry), template=_CHAIN.format(entry="%(expressions)s"), output_field=TextField())


def by_hand_words(reading: Reading, chain: str | None) -> str:
    """Who corrected a value of a CAN log, and what the log had; empty where the value is the log's own, or of none.

    "corrected by hand by Pim Asher; the CAN log had 190.4 °F".
    """
    if not reading.file_sha256 or not chain:
        return ""
    known = json.loads(chain, parse_float=Decimal, parse_int=Decimal)
    figures = [tuple(one[name] for name in _FIGURES) for one in known]
    if figures[0] == figures[-1]:
        return ""
    wrote = len(figures) - 1
    while wrote and figures[wrote - 1] == figures[-1]:
        wrote -= 1
    return f"corrected by hand by {known[wrote]['by']}; the CAN log had {_had(known[0])}"


def _had(first: dict[str, Any]) -> str:
    ends = [("lowest", first["minimum"]), ("highest", first["maximum"])]
    said = [f"{word} {show(value.normalize(), first['unit'])}" for word, value in ends if value is not None]
    return ", ".join([show(first["value"].normalize(), first["unit"]), *said])
