"""Forms of the condition report."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django import forms

from findings.reports.actions import LONGEST, PARTICULARS, WORDS
from findings.reports.models import AFLOAT, HIN_FOUND, ReportDraft
from staff.doors.own_word import LABEL, AsksAgain

_ROWS = {"why_revised": 2, "summary": 5, "remarks": 3, "before_next_use": 2, "soon": 2, "watch": 2, "not_inspected": 6}
_LABELS = {"not_inspected": "What was not inspected", "remarks": "Remarks on the findings"}


class WordsForm(forms.ModelForm[ReportDraft]):
    """The words of a draft."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    is_filter = True  # nothing is marked as optional: a draft may be saved unfinished, the review says what is missing
    sections = [
        ("Why this revision", "", ["why_revised"]),
        ("In short", "", ["summary", "remarks"]),
        ("The inspection", "", ["place", "afloat", "attended", "inspected_on", "hin_found"]),
        (
            "Recommendations",
            "One per line. They are printed after the summary, the most urgent first.",
            [
                "before_next_use",
                "soon",
                "watch",
            ],
        ),
        ("Limits of the report", "", ["not_inspected"]),
    ]

    look = {"place": "half", "afloat": "half", "attended": "half", "inspected_on": "half", "hin_found": "half"}

    class Meta:
        model = ReportDraft
        fields = [*WORDS, *PARTICULARS]
        labels = _LABELS
        widgets = {
            "inspected_on": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            **{name: forms.Textarea(attrs={"rows": rows, "maxlength": LONGEST}) for name, rows in _ROWS.items()},
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen_version"].initial = self.instance.version
        if not self.instance.supersedes_id:
            del self.fields["why_revised"]
        self.fields["summary"].help_text += " Required for the review."
        self.fields["not_inspected"].help_text += " Required for the review."
        for name, choices in (("afloat", AFLOAT), ("hin_found", HIN_FOUND)):
            self.fields[name].choices = [("", "Not said"), *choices]  # type: ignore[attr-defined]
        for name in ("before_next_use", "soon", "watch"):
            self.fields[name].help_text = ""

    def words(self) -> dict[str, Any]:
        """What was typed, with one kind of line end."""
        given = {name: self.cleaned_data[name] for name in [*WORDS, *PARTICULARS] if name in self.cleaned_data}
        return {
            name: value.replace("\r\n", "\n").strip() if isinstance(value, str) else value
            for name, value in given.items()
        }


class SignForm(forms.Form):
    """A signer's word for it: the password again. ``seen`` says which findings were on the page."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)
    password = forms.CharField(
        label=LABEL,
        help_text="The report is signed in your name, so confirm once more who you are.",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    look = {"password": "half"}


class ReviseForm(AsksAgain):
    """Whoever begins a revision shows who they are."""

    look = {"own_word": "half"}


class WithdrawForm(AsksAgain):
    """Why a report no longer holds."""

    reason = forms.CharField(
        help_text="Everyone who checks the report will read this. Leave out what is not public.",
        widget=forms.Textarea(attrs={"rows": 3, "maxlength": 2000}),
        max_length=2000,
        error_messages={"required": "Say why the report is no longer valid."},
    )
    entry_id = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))
    look = {"own_word": "half"}


class NumberForm(forms.Form):
    """A report's number and code, as they stand on its first page."""

    number = forms.CharField(label="Report number", max_length=24, help_text="Such as 1032-1.")
    code = forms.CharField(label="Code", max_length=24, help_text="Beside the number; capital or small letters.")
    look = {"number": "half code-field", "code": "half code-field"}
    is_filter = True


class FileForm(forms.Form):
    """The file of a report."""

    file = forms.FileField(
        label="The report’s PDF file",
        help_text="It is compared and not stored.",
        widget=forms.ClearableFileInput(attrs={"accept": "application/pdf,.pdf"}),
        error_messages={"required": "Choose the PDF file first.", "empty": "This file is empty."},
    )
