"""What no font for paper has is named with the words it stands in, and with a way out that fits it."""

from __future__ import annotations

import pytest

from files.paper.letters import unprintable


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Impeller kit, 1 of 2", ""),
        ("Ölfilter № 3, 2 × ½ in", ""),
        ("Impeller 🛠 kit", "“🛠” in “Impeller 🛠 kit”, so it would show empty boxes. Leave them out, or say it in words"),
        ("The port engine runs hot above 3000 rpm 🔥 at sea", "hot above 3000 rpm 🔥 at sea”"),
        ("山田", "“山” in “山田”, “田” in “山田”, so it would show empty boxes. Write them in another script"),
        ("a\u0378b", "“U+0378” in"),
    ],
)
def test_it_is_found_in_the_words_that_were_typed(text: str, says: str) -> None:
    said = unprintable({"parts": [{"title": text}], "kept": None, "many": 3}, "report")
    assert says in said if says else said == ""
    assert "parts" not in said
    assert not said or said.endswith(", then sign.")
