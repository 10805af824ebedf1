"""What was written about an entry later: one question in two tongues, and the rule of what counts."""

from __future__ import annotations

import itertools

import pytest
from django.db import connection

from tests.cast import Cast
from tests.vessels.test_counting import KINDS, put
from vessels.log.afterwards import AFTERWARDS, NOTHING_AFTERWARDS, Afterwards, afterwards, afterwards_of, afterwards_sql
from vessels.log.evidence import is_effective
from vessels.models import LogEntry


def by_sql(entry: LogEntry, question: str = AFTERWARDS) -> Afterwards:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {question} FROM vessels_logentry entry WHERE entry.id = %s", [entry.pk])
        return afterwards_of(cursor.fetchone()[0])


def by_queryset(entry: LogEntry) -> Afterwards:
    found: Afterwards = LogEntry.objects.annotate(later=afterwards("pk")).get(pk=entry.pk).later  # type: ignore[attr-defined]
    return found


def test_both_tongues_agree_and_what_is_replaced_is_what_no_longer_counts(cast: Cast) -> None:
    for first, second in itertools.product(KINDS, repeat=2):
        if second not in {first, "note", "retraction"}:
            continue  # no entry is amended by one of another kind
        entry = put(cast, first)
        later = put(cast, second, amends=entry)
        told = by_sql(entry)
        assert told == by_queryset(entry) == by_sql(entry, afterwards_sql("entry.id"))
        assert (told.replaced is None) is is_effective(entry)
        assert [one.pk for one in told.notes] == ([later.pk] if second == "note" else [])


def test_nothing_written_later_is_nothing(cast: Cast) -> None:
    entry = put(cast, "scan")
    assert by_sql(entry) == by_queryset(entry) == NOTHING_AFTERWARDS
    assert NOTHING_AFTERWARDS.words == ""


@pytest.mark.parametrize("voided", [[], [0], [1], [2], [0, 1]])
def test_notes_about_notes_stand_while_what_they_are_about_stands(cast: Cast, voided: list[int]) -> None:
    entry = put(cast, "work-done")
    notes = [put(cast, "note", amends=entry)]
    notes += [put(cast, "note", amends=notes[0])]
    notes += [put(cast, "note", amends=entry)]
    for index in voided:
        put(cast, "retraction", amends=notes[index])
    stands = [0 not in voided, 0 not in voided and 1 not in voided, 2 not in voided]
    expected = [note.pk for note, does in zip(notes, stands, strict=True) if does]
    assert [one.pk for one in by_queryset(entry).notes] == [one.pk for one in by_sql(entry).notes] == expected


def test_a_correction_that_was_voided_is_said_to_be(cast: Cast) -> None:
    entry = put(cast, "scan")
    right = put(cast, "scan", amends=entry)
    assert " (that correction was voided)" not in by_sql(entry).words
    put(cast, "retraction", amends=right)
    words = by_sql(entry).words
    assert words.startswith(f"corrected by {cast.tech.name}, ")
    assert words.endswith(" (that correction was voided): no longer counts")
    voided = by_sql(right)
    assert voided.replaced is not None
    assert voided.words.startswith(f"voided by {cast.tech.name}, ")
