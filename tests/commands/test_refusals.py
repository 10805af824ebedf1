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


def test_a_record_tells_one_limit_of_one_number() -> None:
    """What a record of its own refuses is told as a form tells it."""
    too_much = ValidationError("No more than 100.", code="max_value")
    too_long = ValidationError("No more than 5 digits.", code="max_whole_digits")
    other = ValidationError("Enter a number.", code="invalid")
    told = refusal_of(ValidationError({"rate": [too_much, too_long], "sum": [too_long, other]})).fields
    assert told == {"rate": "No more than 100.", "sum": "No more than 5 digits. Enter a number."}
