"""Where the next engine begins: what stands in the boat already decides."""

import pytest

from vessels.positions import next_position


@pytest.mark.parametrize(
    ("taken", "next_one"),
    [
        ([], "single"),
        (["generator"], "single"),
        (["port"], "starboard"),
        (["starboard"], "port"),
        (["port", "starboard"], "center"),
        (["port", "starboard", "generator"], "center"),
        (["port", "starboard", "center"], "generator"),
        (["single"], "port"),  # one of two is not the single one
        (["port", "starboard", "center", "generator"], "generator"),  # a boat may have two
    ],
)
def test_the_next_engine_stands_where_none_is(taken, next_one):
    assert next_position(taken) == next_one
