"""Numbers refused with a sentence, and compared without tripping over rounding."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import (
    AmountProblem,
    RangePosition,
    exceeds,
    range_position,
    reaches,
    require_band,
    require_not_negative,
    require_number,
    require_positive,
    require_share,
)

WRONG = [float("nan"), float("inf"), float("-inf")]


@pytest.mark.parametrize("value", WRONG)
@pytest.mark.parametrize("require", [require_number, require_positive, require_not_negative, require_share])
def test_what_is_no_number_is_refused_by_its_name(require, value):
    with pytest.raises(AmountProblem) as refused:
        require("pitch_in", value, "The pitch")
    assert (refused.value.field, refused.value.sentence) == (
        "pitch_in",
        "The pitch is not a number.",
    )


@pytest.mark.parametrize(
    ("require", "value", "sentence"),
    [
        (require_positive, 0, "The pitch must be more than 0."),
        (require_positive, -1, "The pitch must be more than 0."),
        (require_not_negative, -0.1, "The pitch cannot be less than 0."),
        (require_share, 0, "The pitch must be more than 0 % and at most 100 %."),
        (require_share, 1.01, "The pitch must be more than 0 % and at most 100 %."),
    ],
)
def test_what_makes_no_sense_is_refused(require, value, sentence):
    with pytest.raises(AmountProblem) as refused:
        require("pitch_in", value, "The pitch")
    assert refused.value.sentence == sentence


def test_what_makes_sense_is_let_pass():
    require_positive("pitch_in", 0.1, "The pitch")
    require_not_negative("pitch_in", 0, "The pitch")
    require_share("pitch_in", 1, "The pitch")
    require_band("low", 5, "high", 5, "the range")


def test_a_band_upside_down_is_refused_at_its_lower_end():
    with pytest.raises(AmountProblem) as refused:
        require_band("low", 6, "high", 5, "the rated range")
    assert (refused.value.field, refused.value.sentence) == (
        "low",
        "The lower end of the rated range is above its upper end. Swap them.",
    )


def test_rounding_parts_nothing():
    assert reaches(0.1 + 0.2, 0.3)
    assert reaches(0.3, 0.1 + 0.2)
    assert not exceeds(0.1 + 0.2, 0.3)
    assert exceeds(0.300001, 0.3)
    assert not reaches(0.299999, 0.3)


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_a_value_stands_in_one_place(value, one, other):
    low, high = sorted((one, other))
    standing = range_position(value, low=low, high=high)
    assert (standing is RangePosition.BELOW) == (not reaches(value, low))
    if standing is RangePosition.ABOVE:
        assert value > high
    assert range_position(value, low=None, high=None) is RangePosition.WITHIN
