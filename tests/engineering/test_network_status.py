"""Status bits of the network as findings: every bit comes out, named or not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.network_status import ENGINE_STATUS_2, STATUS_BITS, STATUS_FIELDS, TRANSMISSION_STATUS, bits_set


@given(st.sampled_from(STATUS_FIELDS), st.data())
def test_the_bits_put_together_are_the_value(field, data):
    raw = data.draw(st.integers(0, field.not_available - 1))
    assert sum(1 << bit.bit for bit in bits_set(raw, field)) == raw


def test_a_bit_without_a_name_is_kept():
    (bit,) = bits_set(1 << 9, ENGINE_STATUS_2)
    assert (bit.bit, bit.key) == (9, "engine-status-2-bit-9")
    assert "no name" in bit.words
    assert bits_set(0x20, TRANSMISSION_STATUS)[0].key == "transmission-status-1-bit-5"


@pytest.mark.parametrize("raw", [-1, 256])
def test_what_does_not_fit_the_field_is_refused(raw):
    with pytest.raises(ValueError, match="cannot hold"):
        bits_set(raw, TRANSMISSION_STATUS)


def test_keys_are_plain_and_belong_to_one_bit_each():
    assert len(STATUS_BITS) == sum(len(field.bits) for field in STATUS_FIELDS)
    assert all(key.isascii() and key == key.lower() and " " not in key for key in STATUS_BITS)
