"""SPN and FMI in four bytes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.spn import unpack_dtc


@given(st.integers(0, 524287), st.integers(0, 31), st.none() | st.integers(0, 126))
def test_numbers_laid_out_in_four_bytes_are_read(spn, fmi, count):
    sent = 127 if count is None else count
    dtc = unpack_dtc(bytes((spn & 0xFF, spn >> 8 & 0xFF, spn >> 16 << 5 | fmi, sent)))
    assert (dtc.spn, dtc.fmi, dtc.count, dtc.conversion_method) == (spn, fmi, count, 0)
    assert dtc.text == f"{spn}-{fmi}"
    assert dtc.possible_spns == (spn,)


@given(st.binary(min_size=4, max_size=4))
def test_any_four_bytes_are_read_and_the_method_bit_hides_the_spn(four):
    dtc = unpack_dtc(four)
    assert (dtc.spn is None) is bool(four[3] & 0x80)
    assert all(0 <= spn <= 524287 for spn in dtc.possible_spns)
    assert dtc.raw == four


@pytest.mark.parametrize("four", [b"", b"abc", b"abcde"])
def test_another_length_is_refused(four):
    with pytest.raises(ValueError, match="four bytes"):
        unpack_dtc(four)
