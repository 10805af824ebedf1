"""What a person typed, inside a sentence of ours."""

from __future__ import annotations

import pytest

from web.sentences import within


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Cleared the water inlet.", "Cleared the water inlet"),
        ("Cleared the water inlet", "Cleared the water inlet"),
        ("Replaced belt;  checked tension. ", "Replaced belt; checked tension"),
        ("First line.\nSecond line.", "First line. Second line"),
        ("Is it the sender?", "Is it the sender?"),
        ("Set to 0.5", "Set to 0.5"),
        ("Waiting for …", "Waiting for …"),
        ("..", ""),
        ("", ""),
    ],
)
def test_its_own_end_goes_and_nothing_else(typed, shown):
    assert within(typed) == shown
