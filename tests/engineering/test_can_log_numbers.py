"""Numbers read out of many lines at once, and values counted for a median."""

import io
import statistics
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engineering.canlog import summarize
from engineering.canlog.candump_lines import read_candump_lines
from engineering.canlog.characters import Text, from_digits, from_hex
from engineering.canlog.counting import counts_for
from engineering.canlog.layouts import Candump
from engineering.canlog.shapes import read_shape

_HEX_DIGITS, _DIGITS = set(b"0123456789abcdefABCDEF"), set(b"0123456789")


def _words(texts: list[bytes]) -> np.ndarray:
    return np.array([int.from_bytes(text, "little") for text in texts], np.uint64)


@pytest.mark.parametrize("place", range(8))
def test_every_byte_at_every_place_is_a_digit_or_is_not(place):
    texts = [b"0" * place + bytes([one]) + b"0" * (7 - place) for one in range(256)]
    _, is_hex = from_hex(_words(texts))
    _, is_decimal = from_digits(_words(texts))
    assert {one for one in range(256) if is_hex[one]} == _HEX_DIGITS
    assert {one for one in range(256) if is_decimal[one]} == _DIGITS


@given(st.lists(st.integers(0, 99_999_999), min_size=1))
def test_digits_are_the_number_they_spell(numbers):
    values, good = from_digits(_words([b"%08d" % number for number in numbers]))
    assert good.all()
    assert values.tolist() == numbers


@given(st.lists(st.binary(min_size=4, max_size=4), min_size=1), st.booleans())
def test_hex_digits_are_the_bytes_they_spell(contents, upper):
    spelled = [(content.hex().upper() if upper else content.hex()).encode() for content in contents]
    values, good = from_hex(_words(spelled))
    assert good.all()
    assert [int(value).to_bytes(4, "little") for value in values] == contents


_FRAME = st.tuples(
    st.decimals(0, 3_000_000_000, places=6), st.sampled_from([3, 8]), st.integers(0, 0x7FF), st.binary(max_size=8),
    st.sampled_from(["can0", "vcan1", "c", "channel8"]), st.sampled_from(["", " R", " T", "\r", "\r\r"]),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(_FRAME, min_size=1, max_size=20))
def test_lines_read_at_once_are_what_each_is_by_itself(frames):
    lines = [
        f"({time:.6f}) {channel} {can_id:0{width}X}#{data.hex().upper()}{end}".encode()
        for time, width, can_id, data, channel, end in frames
    ]
    shaped = read_shape(Text(b"\n".join(lines) + b"\n"), Candump.shapes[0])
    alone = list(read_candump_lines(lines))
    assert shaped.lines.tolist() == [one.at for one in alone]
    assert shaped.times.tolist() == [one.time for one in alone]
    assert shaped.extended.tolist() == [not one.cause for one in alone]
    for at, one in enumerate(alone):
        if not one.cause:
            assert shaped.can_ids[at] == one.can_id
            assert bytes(shaped.data[at][: shaped.lengths[at]]) == one.data


@given(st.lists(st.lists(st.integers(-32768, 32767), min_size=1), min_size=1, max_size=4))
def test_the_median_of_a_narrow_field_is_exact(batches):
    counts = counts_for(16, signed=True)
    for batch in batches:
        counts.add(np.array(batch, np.int64))
    assert counts.median() == (statistics.median_low([one for batch in batches for one in batch]), 0)


@given(st.lists(st.lists(st.integers(0, 2**32 - 4), min_size=1), min_size=1, max_size=4))
def test_the_median_of_a_wide_field_is_exact_while_few_values_differ(batches):
    counts = counts_for(32, signed=False)
    for batch in batches:
        counts.add(np.array(batch, np.int64))
    assert counts.median() == (statistics.median_low([one for batch in batches for one in batch]), 0)


@pytest.mark.parametrize("spread", [70_000, 900_000, 2**24])
def test_the_median_of_very_many_different_values_says_how_far_off_it_is(spread):
    values = np.random.default_rng(5).integers(0, spread, 400_000)
    counts = counts_for(24, signed=False)
    for batch in np.array_split(values, 7):
        counts.add(batch)
    median, within = counts.median()
    assert 0 < within <= max(1, spread // 65_536)
    assert abs(median - statistics.median_low(values.tolist())) <= within


def test_a_median_is_a_value_that_was_sent():
    # two values in the middle: the lower of them, as no engine ran at the mean of both
    lines = (f"({n}.000000) can0 09F20001#00{speed:02X}00FFFF7FFFFF\n" for n, speed in enumerate((4, 8, 200, 240)))
    span = summarize(io.BytesIO("".join(lines).encode()), name="trip.log").parameters[0]
    assert (span.median, span.median_within) == (Decimal(2), Decimal(0))
