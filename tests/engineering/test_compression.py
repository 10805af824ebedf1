"""Compression sets: what must hold for any readings, which cylinders are named, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engineering.amounts import AmountProblem
from engineering.mechanical import Cause, CompressionRule, Oil, judge_compression

SHARE = CompressionRule(least_share=0.75, wet_rise=0.10)
V6 = [[1, 3, 5], [2, 4, 6]]
READINGS = st.lists(st.floats(0, 3000), min_size=2, max_size=12).filter(lambda values: max(values) > 1)


def _causes(**how):
    return [(s.cause, s.cylinders) for s in judge_compression(**{"rule": SHARE, **how}).suggestions]


@given(READINGS, st.floats(0.1, 1.0))
def test_share_and_spread_of_any_set(readings, share):
    judged = judge_compression(dry_kpa=readings, rule=CompressionRule(least_share=share))
    assert judged.share + judged.spread == pytest.approx(1)
    assert judged.low == tuple(c.number for c in judged.cylinders if c.dry_kpa < judged.lowest_allowed_kpa * (1 - 1e-9))
    assert judged.passes is not (bool(judged.low) or judged.odd_high is not None)
    named = {number for suggestion in judged.suggestions for number in suggestion.cylinders}
    assert set(judged.low) <= named
    assert bool(judged.suggestions) is not judged.passes


@given(READINGS, st.randoms())
def test_a_set_in_another_order_finds_the_same_cylinders_low(readings, random):
    order = list(range(len(readings)))
    random.shuffle(order)
    straight = judge_compression(dry_kpa=readings, rule=SHARE)
    shuffled = judge_compression(dry_kpa=[readings[place] for place in order], rule=SHARE)
    assert {order[number - 1] + 1 for number in shuffled.low} == set(straight.low)


def test_neighbors_are_those_of_the_bank():
    # 3 and 4 follow each other in number but stand in two banks of this V6; 3 and 5 are neighbors
    dry = [1000, 1000, 500, 500, 1000, 1000]
    assert _causes(dry_kpa=dry) == [(Cause.HEAD_GASKET, (3, 4))]
    assert _causes(dry_kpa=dry, banks=V6) == [(Cause.UNKNOWN, (3,)), (Cause.UNKNOWN, (4,))]
    assert _causes(dry_kpa=[1000, 1000, 500, 1000, 500, 1000], banks=V6) == [(Cause.HEAD_GASKET, (3, 5))]


def test_the_last_two_of_a_bank_are_neighbors_too():
    assert _causes(dry_kpa=[1000, 1000, 500, 500]) == [(Cause.HEAD_GASKET, (3, 4))]


def test_three_in_a_row_are_one_run():
    assert _causes(dry_kpa=[1000, 500, 510, 490, 1000]) == [(Cause.HEAD_GASKET, (2, 3, 4))]


@pytest.mark.parametrize(
    ("dry", "odd"),
    [
        ([1000, 1000, 990, 1450], 4), ([1450, 1000, 990, 1000, 980, 1010], 1), ([1000, 500, 510, 490], 1),
        ([1000, 1000, 990, 1100], None), ([1000, 600, 990, 1450], None), ([1000, 1000, 1450], None),
        ([1450, 1000, 990, 1450], None),
    ],
)  # fmt: skip
def test_one_cylinder_far_above_even_others_is_the_odd_one(dry, odd):
    judged = judge_compression(dry_kpa=dry, rule=SHARE)
    assert judged.odd_high == odd
    if odd is not None:
        assert not judged.low
        assert not judged.passes
        assert [one.cause for one in judged.suggestions] == [Cause.ODD_HIGH]


def test_nothing_suggests_oil_for_a_diesel():
    for dry in ([3000, 2000, 2900], [3000, 2000, 2000], [1000, 1000, 1000]):
        found = judge_compression(
            dry_kpa=dry, rule=CompressionRule(least_share=0.75, least_kpa=2200), oil_is_used=False
        )
        said = " ".join(one.sentence for one in found.suggestions).casefold()
        assert "with oil" not in said
        assert "spoonful" not in said


def test_one_neighbor_that_rises_with_oil_is_told_apart():
    found = _causes(dry_kpa=[1000, 500, 510, 1000], wet_kpa=[None, 900, 512, None])
    assert found == [(Cause.RINGS, (2,)), (Cause.VALVES, (3,))]


@pytest.mark.parametrize(
    ("wet_kpa", "causes"),
    [
        ([None, 900, None, None], [(Cause.HEAD_GASKET, (2, 3)), (Cause.RINGS, (2,))]),
        ([None, 505, None, None], [(Cause.HEAD_GASKET, (2, 3))]),
        ([None, None, 300, None], [(Cause.HEAD_GASKET, (2, 3)), (Cause.REPEAT, (3,))]),
        ([None, 900, 905, None], [(Cause.RINGS, (2,)), (Cause.RINGS, (3,))]),
    ],
)
def test_oil_in_one_of_two_low_neighbors_does_not_clear_the_gasket(wet_kpa, causes):
    assert _causes(dry_kpa=[1000, 500, 510, 1000], wet_kpa=wet_kpa) == causes


def test_no_compression_at_all_is_said_so():
    assert _causes(dry_kpa=[1000, 0, 1010, 990]) == [(Cause.NO_SEAL, (2,))]


def test_all_low_by_the_minimum_blames_no_cylinder():
    rule = CompressionRule(least_kpa=700, wet_rise=0.1)
    judged = judge_compression(dry_kpa=[500, 505, 510, 495], rule=rule)
    assert [s.cause for s in judged.suggestions] == [Cause.WHOLE_ENGINE]
    assert "cranking speed" in judged.suggestions[0].sentence
    assert judged.low == (1, 2, 3, 4)


def test_too_high_is_named():
    rule = CompressionRule(least_share=0.5, most_kpa=1300)
    judged = judge_compression(dry_kpa=[1200, 1310], rule=rule)
    assert [(s.cause, s.cylinders) for s in judged.suggestions] == [(Cause.DEPOSITS, (2,))]
    assert not judged.passes
    assert judged.low == ()


def test_lower_with_oil_is_a_contradiction():
    assert _causes(dry_kpa=[1000, 500], wet_kpa=[None, 400]) == [(Cause.REPEAT, (2,))]
    judged = judge_compression(dry_kpa=[1000, 990], wet_kpa=[880, None], rule=SHARE)
    assert judged.cylinders[0].oil is Oil.FELL
    assert judged.passes


def test_a_single_cylinder_goes_by_the_minimum():
    rule = CompressionRule(least_kpa=700)
    assert judge_compression(dry_kpa=[700], rule=rule).passes
    assert judge_compression(dry_kpa=[690], rule=rule).low == (1,)
    with pytest.raises(AmountProblem, match="cannot be compared") as refused:
        judge_compression(dry_kpa=[700], rule=SHARE)
    assert refused.value.field == "least_share"


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"dry_kpa": []}, "dry_kpa"),
        ({"dry_kpa": [0, 0]}, "dry_kpa"),
        ({"dry_kpa": [1000, -1]}, "dry_kpa"),
        ({"dry_kpa": [1000, float("nan")]}, "dry_kpa"),
        ({"wet_kpa": [1000]}, "wet_kpa"),
        ({"wet_kpa": [1000, -5]}, "wet_kpa"),
        ({"wet_kpa": [1000, None], "rule": CompressionRule(least_share=0.7)}, "wet_rise"),
        ({"banks": [[1]]}, "banks"),
        ({"banks": [[1, 2], [2]]}, "banks"),
        ({"banks": [[1, 3]]}, "banks"),
    ],
)
def test_readings_without_sense_are_refused(wrong, field):
    with pytest.raises(AmountProblem) as refused:
        judge_compression(**{"dry_kpa": [1000, 990], "rule": SHARE, **wrong})
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("rule", "field"),
    [
        ({}, "least_share"),
        ({"most_kpa": 1000}, "least_share"),
        ({"least_share": 0}, "least_share"),
        ({"least_share": 75}, "least_share"),
        ({"least_kpa": 0}, "least_kpa"),
        ({"least_kpa": 900, "most_kpa": 800}, "least_kpa"),
        ({"least_kpa": 900, "most_kpa": -1}, "most_kpa"),
        ({"least_share": 0.7, "wet_rise": 0}, "wet_rise"),
    ],
)
def test_a_rule_without_sense_is_refused(rule, field):
    with pytest.raises(AmountProblem) as refused:
        CompressionRule(**rule)
    assert refused.value.field == field
