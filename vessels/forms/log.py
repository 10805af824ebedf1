"""Forms of the vessel log: a note, a correction, an entry voided."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from vessels.forms.fields import EntryForm, WhenField
from vessels.models import Engine, Vessel


class NoteForm(EntryForm):
    """A note. ``answers()`` goes into ``write_note``."""

    text = forms.CharField(label="Note", max_length=20000, widget=forms.Textarea(attrs={"rows": 5}))
    engine = forms.ModelChoiceField(
        label="About", queryset=Engine.objects.none(), required=False, empty_label="The boat as a whole"
    )
    happened_at = WhenField()
    look: ClassVar[dict[str, str]] = {"engine": "half", "happened_at": "half"}

    def __init__(self, *args: Any, vessel: Vessel, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["engine"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = vessel.engines.all()
        self.fields["text"].error_messages["required"] = "Enter the note."


class AmendForm(EntryForm):
    """A correction to an entry. ``answers()`` goes into ``amend_text``."""

    text = forms.CharField(
        label="What is right",
        max_length=20000,
        help_text="The entry stays as it was written; your correction is shown beside it from then on.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )


class RetractForm(EntryForm):
    """Why an entry is voided. ``answers()`` goes into ``retract``."""

    reason = forms.CharField(
        label="Why it is voided",
        max_length=20000,
        help_text="The entry stays readable, marked as voided. It no longer counts for hours, faults or readings.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
