"""SPN and FMI in four bytes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.codes.spn import pack_dtc, unpack_dtc


@given(st.integers(0, 524287), st.integers(0, 31), st.none() | st.integers(0, 126))
def test_what_is_packed_is_unpacked(spn, fmi, count):
    dtc = unpack_dtc(pack_dtc(spn, fmi, count))
    assert (dtc.spn, dtc.fmi, dtc.count, dtc.conversion_method) == (spn, fmi, count, 0)
    assert dtc.text == f"{spn}-{fmi}"
    assert dtc.possible_spns == (spn,)


@given(st.binary(min_size=4, max_size=4))
def test_any_four_bytes_are_read_and_the_method_bit_hides_the_spn(four):
    dtc = unpack_dtc(four)
    assert (dtc.spn is None) is bool(four[3] & 0x80)
    assert all(0 <= spn <= 524287 for spn in dtc.possible_spns)
    assert dtc.raw == four


@pytest.mark.parametrize(
    ("spn", "fmi", "count"), [(524288, 0, 0), (-1, 0, 0), (0, 32, 0), (0, -1, 0), (0, 0, 127), (0, 0, -1)]
)
def test_numbers_out_of_range_are_refused(spn, fmi, count):
    with pytest.raises(ValueError, match="from 0 to"):
        pack_dtc(spn, fmi, count)


@pytest.mark.parametrize("four", [b"", b"abc", b"abcde"])
def test_another_length_is_refused(four):
    with pytest.raises(ValueError, match="four bytes"):
        unpack_dtc(four)
