"""How many codes a list says it has, beside those that were read of it. Cases judged before the reader was run."""

from __future__ import annotations

import pytest

from engineering.codes import CodeSystem, read_text


def _told(text: str, preferred: CodeSystem | None = None) -> list[str]:
    lines = read_text(text, preferred=preferred).not_understood_lines
    return [line.sentence[line.sentence.index("It says") :] for line in lines if "It says" in line.sentence]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Stored: 4 codes: P0118, P0119, P0217", "It says 4, and 3 were read in the line."),
        ("Active codes (3): P0118, P0119", "It says 3, and 2 were read in the line."),
        ("Active (1): P0118; Stored (3): P0113", "It says 3, and 1 was read in the line."),
        ("2 codes active: P0118", "It says 2, and 1 was read in the line."),
        ("2 active codes P0118 P0119 P0217", "It says 2, and 3 were read in the line."),
        ("Gespeicherte Fehler (2): P0118", "It says 2, and 1 was read in the line."),
        ("Active: 1 code P0118, stored: 2 codes P0113", "It says 2, and 1 was read in the line."),
        ("Codes: P0118, P0119 (3 codes total)", "It says 3, and 2 were read in the line."),
        ("Active codes: 2\nP0118\nPending: P0300", "It says 2, and 1 was read as active."),
        ("Stored codes: 2\nP0118\nP0119\nP0217", "It says 2, and 3 were read."),
        ("MIL ON - DTCs: 1\nP0118\nP0119", "It says 1, and 2 were read."),
        ("MIL: ON, DTC count: 3\nP0118\nP0119", "It says 3, and 2 were read."),
        ("P0118 active\nP0119 stored\nTotal codes: 3", "It says 3, and 2 were read above it."),
        ("Port engine codes: 1\nP0118\nStarboard engine codes: 2\nP0119", "It says 2, and 1 was read."),
    ],
)
def test_a_count_that_does_not_agree_is_told(text, told):
    assert _told(text) == [told]


@pytest.mark.parametrize(
    "text",
    [
        "ECU 3 codes: P0118",
        "Engine 2 faults: P0118, P0119",
        "Bank 2 codes: P0118",
        "Mode 3 codes: P0118",
        "Cylinder 3 faults: P0303",
        "P0118: 2 faults, P0119: 3 faults",
        "Code 1 of 3: P0118 active",
        "Active (0): none; Stored (1): P0113",
        "Active: 1 code P0118, stored: 2 codes P0113 P0114",
        "DTC count: 2 P0118 P0119",
        "Total codes: 2\nP0118\nP0119",
        "P0118 active\nP0119 stored\n2 codes found",
        "Stored codes: 1\nP0118\nActive codes: 1\nP0119\n2 codes total",
        "Stored codes: 2\nP0118\nP0119\n\nPermanent: P0118",
        "Stored codes: 2\nP0118 stored, pending\nP0119",
        "Active codes: 1\nP0118\nP0119 stored",
        "Active codes: 2\nP0118-11\nP0118-13",
        "10:42 codes: P0118",
        "Page 2 codes: P0118",
        "Codes: 2 active, 1 stored\nP0118 active\nP0119 active\nP0217 stored",
        "MIL on, 2 codes\nP0118\nP0119",
        "DTC\tStatus\nP0118\tactive\nP0119\tactive\nTotal: 2 codes",
    ],
)
def test_a_number_that_agrees_or_counts_something_else_is_not_told(text):
    assert read_text(text).codes
    assert _told(text) == []


def test_several_blink_codes_in_one_place_are_counted_each():
    assert _told("Flash codes: 2-3, 4-1 (3 total)", CodeSystem.FLASH) == ["It says 3, and 2 were read in the line."]
    assert _told("Flash codes (2): 2-3, 4-1", CodeSystem.FLASH) == []
