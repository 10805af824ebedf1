"""Whose finding a correction corrects: who first wrote it down, however often it was corrected since.

Who corrects what a scan or a reading says did not read it; the one who did stays its witness.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple
from uuid import UUID

from web.rows import rows

FIRST = """(
    WITH RECURSIVE chain AS (
        SELECT here.id, here.amends_id, here.author_id FROM vessels_logentry here WHERE here.id = entry.id
        UNION ALL
        SELECT before.id, before.amends_id, before.author_id
        FROM chain JOIN vessels_logentry before ON before.id = chain.amends_id
    )
    SELECT chain.author_id FROM chain WHERE chain.amends_id IS NULL
)"""
"""For hand-written questions: the key of the one who first wrote down what ``entry`` says."""


class _First(NamedTuple):
    """An entry that corrects, and who wrote down the first that it goes back to."""

    entry: UUID
    name: str


_FIRST_AUTHORS = f"""
    SELECT entry.id AS entry, author.name
    FROM vessels_logentry entry JOIN staff_person author ON author.id = {FIRST}
    WHERE entry.id = ANY(%(keys)s) AND entry.amends_id IS NOT NULL
"""  # noqa: S608  (put together from what the program says)


def witness_words(author: str, corrected_by: str = "") -> str:
    """Who found something, and who corrected what was written of it."""
    return f"{author}, corrected by {corrected_by}" if corrected_by else author


def first_authors(entries: Iterable[UUID]) -> dict[UUID, str]:
    """Of those entries that correct another, the name of who wrote down the first: one question at most."""
    keys = list(entries)
    return {one.entry: one.name for one in rows(_First, _FIRST_AUTHORS, {"keys": keys})} if keys else {}
