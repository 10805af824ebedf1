"""The form that moves a job."""

from __future__ import annotations

from typing import ClassVar

from django import forms

from vessels.forms.fields import EntryForm
from workorders.forms.fields import WordsField


class MoveForm(EntryForm):
    """Where to, and why; with what the person saw when deciding. The buttons of the page give ``to``."""

    asked_sometimes: ClassVar[frozenset[str]] = frozenset({"reason"})

    to = forms.CharField(max_length=20, widget=forms.HiddenInput, required=False)
    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    seen_state = forms.CharField(max_length=20, widget=forms.HiddenInput)
    reason = WordsField(
        label="Note on the move",
        required=False,
        rows=2,
        max_length=1000,
        help_text="Who authorized it and how, for example. It goes into the log with the move.",
    )

    def ask_why(self, question: str) -> None:
        """Make the note the answer to a question that the move cannot do without."""
        self.fields["reason"].label, self.fields["reason"].help_text = question, "It goes into the log with the move."
        self.fields["reason"].required = True
        self.fields["reason"].error_messages["required"] = question
