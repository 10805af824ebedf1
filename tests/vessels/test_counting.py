"""Whether an entry counts: one rule, in every tongue that asks it."""

from __future__ import annotations

import itertools

import pytest
from django.db import connection
from django.utils import timezone

from tests.cast import Cast
from vessels.log.entries import shown_entries, single_entry
from vessels.log.evidence import SUPERSEDED, SUPERSEDED_KEYS, effective, is_effective, replaces, superseded
from vessels.log.registry import all_kinds
from vessels.models import LogEntry

KINDS = ["hours", "note", "retraction", "scan", "clear", "work-done", "reading", "unit-identified", "vessel-added"]


def put(cast: Cast, kind: str, amends: LogEntry | None = None) -> LogEntry:
    """A plain row: what an action would refuse has to be told apart as well."""
    position = LogEntry.objects.filter(vessel=cast.vessel).count() + 1
    return LogEntry.objects.create(
        vessel=cast.vessel, kind=kind, author=cast.tech, happened_at=timezone.now(), summary=kind, position=position,
        digest="", amends=amends,
    )  # fmt: skip


def by_sql(entry: LogEntry) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {SUPERSEDED} FROM vessels_logentry entry WHERE entry.id = %s", [entry.pk])
        return bool(cursor.fetchone()[0])


def superseded_keys() -> list[object]:
    with connection.cursor() as cursor:
        cursor.execute(SUPERSEDED_KEYS)
        return [row[0] for row in cursor.fetchall()]


def test_every_tongue_gives_the_same_answer_for_every_pair_of_kinds(cast: Cast) -> None:
    assert {kind.slug for kind in all_kinds()} >= set(KINDS)
    for first, second in itertools.product(KINDS, repeat=2):
        entry = put(cast, first)
        put(cast, second, amends=entry)
        expected = replaces(second, first)
        said = {
            "rows": not is_effective(entry),
            "standing": not effective(LogEntry.objects.filter(pk=entry.pk)).exists(),
            "superseded": LogEntry.objects.filter(superseded("pk"), pk=entry.pk).exists(),
            "sql": by_sql(entry),
            "keys": entry.pk in superseded_keys(),
            "page": not shown_entries(single_entry(entry.pk), most=1)[0].counts,
        }
        assert set(said.values()) == {expected}, f"{second} amends {first}: {said}"


@pytest.mark.parametrize(
    ("later", "entry", "expected"),
    [
        ("retraction", "scan", True), ("retraction", "note", True), ("retraction", "hours", True),
        ("scan", "scan", True), ("reading", "reading", True), ("hours", "hours", True), ("clear", "clear", True),
        ("note", "scan", False), ("note", "reading", False), ("note", "note", False), ("note", "hours", False),
        ("scan", "clear", False),
    ],
)  # fmt: skip
def test_a_note_takes_nothing_away(later: str, entry: str, expected: bool) -> None:
    assert replaces(later, entry) is expected


def test_two_amendments_of_one_entry_make_it_count_out_once(cast: Cast) -> None:
    entry = put(cast, "scan")
    put(cast, "scan", amends=entry)
    put(cast, "retraction", amends=entry)
    assert superseded_keys() == [entry.pk]


def test_a_correction_taken_back_does_not_bring_back_what_it_replaced(cast: Cast) -> None:
    entry = put(cast, "hours")
    correction = put(cast, "hours", amends=entry)
    put(cast, "retraction", amends=correction)
    assert not is_effective(entry)
    assert not is_effective(correction)
