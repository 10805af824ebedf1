"""Signs that no paper shows, and characters that nobody sees: said once, beside the field, before anything is kept."""

from __future__ import annotations

import pytest
from django import forms

from web.texts import is_sound, odd_signs


@pytest.mark.parametrize(
    "text",
    [
        "", "Oil leak", "Two lines\nof text\r\n\tand a tab", "naïve “quoted” – 5 °C × Ω µ ½", "Łódź",
        "山田 Taro", "أحمد",
        "Đặng Thị Hồng", "e\u0301", "a\u200db", "© ® ™ € £ § ± ≥ •",
    ],
)  # fmt: skip
def test_what_people_write_is_kept(text: str) -> None:
    assert odd_signs(text) == ""


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("fine 🙂", "“🙂”"),
        ("🙂🙂 and 🚤", "“🙂”, “🚤”"),
        ("unicorn \U0001f984", "“\U0001f984”"),
    ],
)
def test_a_sign_that_no_paper_has_is_named(text: str, named: str) -> None:
    assert odd_signs(text) == f"Papers cannot show {named}. Leave it out, or say it in words."


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("a\x07b", "U+0007"),
        ("a\x1bb\x07", "U+001B, U+0007"),
        ("a\u202eb", "U+202E"),
        ("a\ufffeb", "U+FFFE"),
        ("\x7f", "U+007F"),
    ],
)
def test_a_character_that_nobody_sees_is_named(text: str, named: str) -> None:
    sentence = f"This holds a character that cannot be seen ({named}). Delete the text and type it again."
    assert odd_signs(text) == sentence


class NoteForm(forms.Form):
    token = forms.CharField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(max_length=40)
    word = forms.CharField(widget=forms.PasswordInput, required=False)
    text = forms.CharField(widget=forms.Textarea, required=False)


def test_it_is_said_beside_each_field_and_with_what_else_is_wrong() -> None:
    form = NoteForm({"name": "", "text": "fine 🙂", "word": "🙂\x07", "token": "\x07"})
    assert not is_sound(form)
    assert form.errors.keys() == {"name", "text"}
    assert form.errors["text"] == ["Papers cannot show “🙂”. Leave it out, or say it in words."]


def test_what_stood_there_before_and_was_not_touched_is_not_held_against_anybody() -> None:
    form = NoteForm({"name": "Ada", "text": "fine 🙂"}, initial={"name": "Wes", "text": "fine 🙂"})
    assert is_sound(form)
