"""Fields for hours: what is asked of a meter, with what is known beside it and nothing filled in."""

from __future__ import annotations

from django import forms

from vessels.models import Engine


def ask_hours(form: forms.Form, name: str, hint: str, *, label: str = "") -> None:
    """Say beside a field for hours what is known, and have neither browser nor draft fill in what was read earlier.

    A form that was judged before has its fields drawn up already: those are told as well.
    """
    field, shown = form.fields[name], form[name]
    field.widget.attrs |= {"autocomplete": "off", "data-read-now": ""}
    field.help_text = shown.help_text = hint
    if label:
        field.label = shown.label = label


def meter_label(engine: Engine) -> str:
    """What is asked of one engine's meter, by its place in the boat."""
    return f"Hour meter shows ({engine.get_position_display().lower()})"


def label_if_of_several(engine: Engine | None) -> str:
    """The same where the boat has several engines; empty for the only one, and for none."""
    return "" if engine is None or engine.position == "single" else meter_label(engine)
