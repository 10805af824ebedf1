"""Status bits of the network as codes of their own system."""

from __future__ import annotations

import pytest

from engineering.codes import Code, CodeProblem, CodeSystem, explain, make_code, recognize
from engineering.codes.network_status import STATUS_BITS, STATUS_FIELDS, bits_set

STATUS = CodeSystem.STATUS


@pytest.mark.parametrize("key", sorted(STATUS_BITS))
def test_every_named_bit_is_a_code_that_reads_in_words(key):
    code = make_code(STATUS, key)
    assert code == Code(STATUS, key)
    assert str(code) == f"Status: {STATUS_BITS[key].words}"
    assert STATUS_BITS[key].words.lower() not in explain(code).title.lower()  # it stands beside the words
    assert STATUS_BITS[key].words in explain(code).facts[0]
    assert len(key) <= 40


@pytest.mark.parametrize("field", STATUS_FIELDS, ids=lambda field: f"{field.pgn}-{field.number}")
def test_every_bit_that_can_be_set_makes_a_code(field):
    for bit in range(field.width):
        (found,) = bits_set(1 << bit, field)
        assert make_code(STATUS, found.key).text == found.key


@pytest.mark.parametrize(
    "text", ["oil is low", "engine-status-3-bit-1", "engine-status-2-bit-16", "110-0", "gear-forward"]
)
def test_what_is_no_status_bit_is_refused(text):
    with pytest.raises(CodeProblem, match="not a status bit"):
        make_code(STATUS, text)


def test_a_status_bit_is_not_taken_out_of_free_text():
    assert recognize("low-oil-pressure") is None
    assert recognize("low oil pressure", preferred=STATUS) == Code(STATUS, "low-oil-pressure")
