"""What the framework says of a record, as the refusal that a form shows."""

from __future__ import annotations

import pytest
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from commands.refusals import refusal_of


@pytest.mark.parametrize(
    ("problems", "sentence", "fields"),
    [
        ({"name": ["Too long."]}, "Look again.", {"name": "Too long."}),
        ({"name": ["Too long.", "No letters."]}, "Look again.", {"name": "Too long. No letters."}),
        ({NON_FIELD_ERRORS: ["The days overlap."]}, "The days overlap.", {}),
        ({NON_FIELD_ERRORS: ["Overlap.", "Too many."], "day": ["Past."]}, "Overlap. Too many.", {"day": "Past."}),
    ],
)
def test_a_sentence_for_the_whole_and_one_beside_each_field(
    problems: dict[str, list[str]], sentence: str, fields: dict[str, str]
) -> None:
    refusal = refusal_of(ValidationError(problems), "Look again.")
    assert (refusal.sentence, refusal.fields) == (sentence, fields)


def test_a_refusal_without_words_of_its_own_asks_for_another_look() -> None:
    assert refusal_of(ValidationError({"name": ["Too long."]})).sentence == "Some fields need another look."
