"""What people type into forms: a sign that no paper can show is said beside its field, before anything is kept."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable

from django import forms
from django.forms import BaseForm

from web.registry import Providers

Lacking = Callable[[str], Iterable[str]]
_lacking: Providers[Lacking] = Providers()
_CONTROLS = {"Cc", "Cs", "Co", "Cn"}
_TURNS = {chr(code) for code in (*range(0x202A, 0x202F), *range(0x2066, 0x206A))}
"""Signs that show what follows in another order than it is stored."""
_LINES = {"\n", "\r", "\t"}
_MOST = 5


def ask_of_signs(lacking: Lacking) -> None:
    """Let a floor above say which signs of a text its papers have none for."""
    _lacking.register(lacking)


def odd_signs(text: str) -> str:
    """Why a text cannot be kept as it is, in a sentence; empty where it can.

    Letters of any script are kept: people and boats have their names. It is signs beside letters that are refused,
    such as emoji, and what nobody can see.
    """
    if text.isascii() and text.isprintable():
        return ""
    unseen = [one for one in text if _is_unseen(one)]
    if unseen:
        named = ", ".join(f"U+{ord(one):04X}" for one in list(dict.fromkeys(unseen))[:_MOST])
        return f"This holds a character that cannot be seen ({named}). Delete the text and type it again."
    missing = [one for ask in _lacking for one in ask(text) if unicodedata.category(one)[0] not in "LMN"]
    if not missing:
        return ""
    named = ", ".join(f"“{one}”" for one in list(dict.fromkeys(missing))[:_MOST])
    return f"Papers cannot show {named}. Leave it out, or say it in words."


def is_sound(form: BaseForm) -> bool:
    """Whether a form is right, and every text that was changed in it can be kept; what cannot is told at its field."""
    is_valid = form.is_valid()
    if not form.is_bound or not isinstance(form, BaseForm):
        return is_valid
    for name in form.changed_data:
        field, value = form.fields[name], form.cleaned_data.get(name)
        if isinstance(value, str) and _is_text(field) and (said := odd_signs(value)):
            form.add_error(name, said)
            is_valid = False
    return is_valid


def _is_text(field: forms.Field) -> bool:
    """A text that people read; no password, and nothing that a script fills in."""
    if not isinstance(field, forms.CharField) or field.widget.is_hidden:
        return False
    return not isinstance(field.widget, forms.PasswordInput) and not getattr(field, "keeps_every_sign", False)


def _is_unseen(one: str) -> bool:
    return one in _TURNS or (one not in _LINES and unicodedata.category(one) in _CONTROLS)
