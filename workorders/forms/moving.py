"""The form that moves a job."""

from __future__ import annotations

from django import forms

from vessels.forms.fields import EntryForm
from workorders.forms.fields import WordsField


class MoveForm(EntryForm):
    """Where to, and why; with what the person saw when deciding. The buttons of the page give ``to``."""

    to = forms.CharField(max_length=20, widget=forms.HiddenInput, required=False)
    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    seen_state = forms.CharField(max_length=20, widget=forms.HiddenInput)
    reason = WordsField(
        label="Note on the move",
        required=False,
        rows=2,
        max_length=1000,
        help_text="Who authorized it and how, what it waits for, why a line has no correction. Goes into the log.",
    )
