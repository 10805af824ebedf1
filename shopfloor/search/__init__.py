"""The one search box: what fits a name, phone, boat, engine, HIN, slip, serial, job, report, part, code, paper.

Every way in meets an index, and the number of queries does not depend on what is found.
"""

from __future__ import annotations

import unicodedata
from typing import Any

from shopfloor.search import boats, money, records
from shopfloor.search.found import Found, Group, Hit
from staff.policy import Permission, may

LEAST = 2
LONGEST = 100
_FINDERS = [
    records.jobs,
    records.reports,
    boats.vessels,
    boats.customers,
    records.faults,
    records.parts,
    records.fitted_parts,
]
_FOR_SOME = [(Permission.SEE_MONEY, money.papers), (Permission.SEE_PRICES, money.estimates)]
"""What is found only by those who may open it."""

__all__ = ["Found", "Group", "Hit", "search_everything", "typed"]


def typed(text: str) -> str:
    """What was typed, without what cannot be searched for."""
    shown = "".join(" " if unicodedata.category(sign).startswith("C") else sign for sign in text)
    return " ".join(shown.split())[:LONGEST]


def search_everything(text: str, reader: Any = None) -> Found:
    """Everything that fits and that this reader may open, by kind, with what was named in full on top."""
    wanted = typed(text)
    if len(wanted) < LEAST:
        return Found(wanted, is_too_short=True)
    also = [find for permission, find in _FOR_SOME if may(reader, permission)]
    groups = [find(wanted) for find in [*_FINDERS, *also]]
    exact = [hit for group in groups for hit in group.hits if hit.is_exact]
    rest = [
        Group(group.label, group.icon, [hit for hit in group.hits if not hit.is_exact], group.has_more, group.more_url)
        for group in groups
    ]
    return Found(wanted, exact, [group for group in rest if group.hits])
