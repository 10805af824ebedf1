"""What a feed of the calendar has."""

from __future__ import annotations

from typing import Any

from django import forms

from workorders.calendar.models import CalendarFeed
from workorders.calendar.sources import choices


class FeedForm(forms.ModelForm[CalendarFeed]):
    """A new feed."""

    sources = forms.MultipleChoiceField(label="What it has", widget=forms.CheckboxSelectMultiple)

    class Meta:
        model = CalendarFeed
        fields = ["name", "sources", "only_own", "with_reach"]
        labels = {"only_own": "Only what is mine", "with_reach": "Names and phone numbers"}
        help_texts = {
            "name": "Such as “My phone”.",
            "with_reach": "Of customers. They are then kept by the calendar program that fetches it.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sources"].choices = choices()  # type: ignore[attr-defined]
        self.fields["sources"].initial = [key for key, _ in choices()]
