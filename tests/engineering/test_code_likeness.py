"""Codes that may be one and the same, told in two ways by two instruments."""

from __future__ import annotations

import pytest

from engineering.codes import Code, CodeSystem, may_be_the_same, same_words


def code(text: str) -> Code:
    if text[0] in "PCBU":
        return Code(CodeSystem.OBD, text)
    system, _, rest = text.partition(" ")
    return Code(CodeSystem(system), rest)


@pytest.mark.parametrize(
    ("one", "other", "may_be"),
    [
        ("U0100", "U0100-00", True),  # 00: no failure type given (SAE J2012-DA, after public lists)
        ("U0100", "U0100-87", True),  # a two-byte instrument cannot show the 87
        ("U0100-00", "U0100-87", True),
        ("U0100-87", "U0100-11", False),  # two failure types are two codes
        ("U0100", "U0101", False),
        ("U0100", "U0100", False),
        ("P0100", "U0100-00", False),
        ("flash 23", "flash 2-3", True),
        ("flash 112", "flash 1-12", True),
        ("flash 1-12", "flash 11-2", False),
        ("flash 23", "flash 32", False),
        ("maker 23", "flash 2-3", False),
        ("maker E23", "maker E-23", False),  # how a maker writes its codes is the maker's own
        ("spn 110-0", "spn 110-1", False),
        ("spn 110-0", "spn 1100", False),
    ],
)
def test_which_codes_may_be_the_same(one, other, may_be):
    assert may_be_the_same(code(one), code(other)) is may_be
    assert may_be_the_same(code(other), code(one)) is may_be


def test_it_is_said_with_the_reason():
    known = [code("U0100-87"), code("U0101"), code("U0100"), code("U0100-00")]
    assert same_words(code("U0100"), known) == (
        "May be the same as U0100-00 or U0100-87: an instrument may leave the failure type out."
    )
    assert same_words(code("U0101"), known) == ""
    assert same_words(code("flash 23"), [code("flash 2-3")]).endswith("an instrument may leave the pauses out.")
