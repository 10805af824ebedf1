"""The forms of settings: that one was changed, and that it was set back."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from findings.faults.forms import FindingForm
from findings.happenings.forms import HappeningForm
from findings.happenings.models import ConsentHow, SettingChange, SettingSort
from findings.happenings.setting_words import with_unit
from vessels.forms.meters import ask_hours, label_if_of_several
from vessels.shown_hours import last_hours, shown_hours, true_hours


class SettingForm(HappeningForm):
    """A setting that was changed permanently."""

    setting = forms.CharField(
        max_length=160,
        label="Which setting",
        help_text="As the unit or the panel calls it: coolant temperature alarm.",
        error_messages={"required": "Say which setting it is."},
    )
    sort = forms.ChoiceField(
        choices=SettingSort.choices,
        widget=forms.RadioSelect,
        label="It is",
        error_messages={"required": "Choose whether it is an alarm, a limit or a shutdown."},
    )
    before = forms.CharField(
        max_length=80, required=False, label="Before", help_text="Leave empty only if it was not read before."
    )
    after = forms.CharField(max_length=80, label="Now", error_messages={"required": "Say what it is set to now."})
    unit = forms.CharField(max_length=20, required=False, label="Unit")
    authority = forms.CharField(
        max_length=160,
        label="On whose authority",
        help_text="Who or what allows it: the owner, a bulletin with its number.",
        error_messages={"required": "Say who or what allows it: a person, or a document."},
    )
    consent_by = forms.CharField(max_length=120, required=False, label="Who consented")
    consent_on = forms.DateField(
        required=False, label="On which day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    consent_how = forms.ChoiceField(choices=[("", "not said"), *ConsentHow.choices], required=False, label="How")
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("", "", ["engine", "setting", "sort", "before", "after", "unit", "text", "authority"]),
        (
            "The customer’s consent",
            "An alarm, a limit or a shutdown is changed only with it.",
            ["consent_by", "consent_on", "consent_how"],
        ),
        ("When", "", ["hours", "happened_at"]),
    ]
    field_order = [name for _, _, names in sections for name in names]
    look: ClassVar[dict[str, str]] = {
        **HappeningForm.look,
        **dict.fromkeys(("before", "after", "unit"), "third"),
        **dict.fromkeys(("consent_by", "consent_on", "consent_how"), "third"),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        text = self.fields["text"]
        text.label, text.error_messages["required"] = "Why", "Say why it was changed."


class SetBackForm(FindingForm):
    """A setting that is again what it was before a change."""

    value = forms.CharField(
        max_length=80, label="Set to now", error_messages={"required": "Say what it is set to now."}
    )
    field_order = ("value", "text", "hours", "happened_at")
    look: ClassVar[dict[str, str]] = {"value": "half", "hours": "half", "happened_at": "half"}

    def __init__(self, *args: Any, change: SettingChange, open_changes: list[SettingChange], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.change = change
        until = [one for one in open_changes if one.entry.happened_at <= change.entry.happened_at]
        befores = list(dict.fromkeys(with_unit(one.before, one.unit) for one in until if one.before))
        self.fields["value"].help_text = f"Before the change it was {' or '.join(befores)}." if befores else ""
        engine = change.entry.engine
        hint = last_hours(engine) if engine is not None else "It is of the boat itself: leave the hours empty."
        ask_hours(self, "hours", hint, label=label_if_of_several(engine))

    def answers(self) -> dict[str, Any]:
        """What the action is called with.

        Raises:
            Refused: the hours are none, or are of no engine.
        """
        data = dict(self.cleaned_data)
        shown = shown_hours(data.pop("hours"))
        hours = true_hours(self.change.entry.engine, shown, data["happened_at"])
        return {**data, "change": self.change, "engine_hours": hours}
