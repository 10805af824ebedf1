"""Before and after: what two scans of one unit say together."""

from __future__ import annotations

import pytest

from engineering.codes import Code, CodeStatus, CodeSystem
from findings.faults.comparing import Change, Listed, compare_scans, seen_only_between

A = Code(CodeSystem.SPN, "110-0")
B = Code(CodeSystem.OBD, "P0217")
ACTIVE = frozenset({CodeStatus.ACTIVE})
STORED = frozenset({CodeStatus.STORED})
BOTH = frozenset({CodeStatus.STORED, CodeStatus.PERMANENT})


@pytest.mark.parametrize(
    ("before", "before_complete", "after", "after_complete", "change"),
    [
        ({A: ACTIVE}, True, {}, True, Change.GONE),
        ({A: ACTIVE}, False, {}, True, Change.GONE),
        ({A: ACTIVE}, True, {}, False, Change.NOT_LISTED_AFTER),
        ({A: ACTIVE}, True, {A: ACTIVE}, True, Change.STILL_THERE),
        ({A: ACTIVE}, False, {A: STORED}, False, Change.STILL_THERE),
        ({}, True, {A: ACTIVE}, True, Change.NEW),
        ({}, True, {A: ACTIVE}, False, Change.NEW),
        ({}, False, {A: ACTIVE}, True, Change.NOT_LISTED_BEFORE),
    ],
)
def test_what_became_of_a_code(before, before_complete, after, after_complete, change):
    compared = compare_scans(Listed(before_complete, before), Listed(after_complete, after))
    assert [row.change for row in compared.rows] == [change]
    assert len(compared.caveats) == (not before_complete) + (not after_complete)


def test_a_code_told_with_and_without_its_failure_type_is_neither_gone_nor_new():
    short, full = Code(CodeSystem.OBD, "U0100"), Code(CodeSystem.OBD, "U0100-00")
    compared = compare_scans(Listed(True, {short: ACTIVE}), Listed(True, {full: STORED}))
    assert [(row.code, row.change) for row in compared.rows] == [
        (short, Change.TOLD_ANOTHER_WAY),
        (full, Change.TOLD_ANOTHER_WAY),
    ]
    assert seen_only_between(short, Listed(True, {full: ACTIVE})).change is Change.TOLD_ANOTHER_WAY


def test_a_code_of_another_kind_than_the_list_is_neither_gone_nor_new():
    compared = compare_scans(Listed(True, {A: ACTIVE}), Listed(True, {B: STORED}))
    assert [row.change for row in compared.rows] == [Change.ANOTHER_KIND, Change.ANOTHER_KIND]
    assert seen_only_between(A, Listed(True, {B: ACTIVE})).change is Change.ANOTHER_KIND
    assert seen_only_between(B, Listed(True, kinds={CodeSystem.SPN})).change is Change.ANOTHER_KIND
    assert seen_only_between(A, Listed(True, kinds={CodeSystem.SPN})).change is Change.GONE
    status = {Code(CodeSystem.STATUS, "a"): ACTIVE}
    assert seen_only_between(A, Listed(True, {A: ACTIVE, **status})).change is not Change.ANOTHER_KIND
    assert seen_only_between(B, Listed(True, status)).change is Change.GONE


def test_rows_say_their_statuses_strongest_first():
    compared = compare_scans(Listed(True, {A: BOTH}), Listed(True, {B: ACTIVE}))
    assert [(str(row.code), row.before, row.after) for row in compared.rows] == [
        ("P0217", (), (CodeStatus.ACTIVE,)),
        ("SPN 110 FMI 0", (CodeStatus.STORED, CodeStatus.PERMANENT), ()),
    ]


def test_only_what_can_be_said_is_said():
    assert [change for change in Change if change.can_be_said] == [Change.GONE, Change.STILL_THERE, Change.NEW]
