"""Until which day service is asked for on the list of owners to remind."""

from __future__ import annotations

from datetime import date, timedelta

from django import forms
from django.utils import timezone

FARTHEST = timedelta(days=2 * 366)
LONGEST_AGO = timedelta(days=10 * 366)


class ThenForm(forms.Form):
    """A day that has passed, of which the list says what stood then."""

    on = forms.DateField(
        label="As it stood on", required=False, widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    is_filter = True

    def clean_on(self) -> date | None:
        """A day before today, and no more than ten years ago."""
        on: date | None = self.cleaned_data["on"]
        if on is None:
            return None
        today = timezone.localdate()
        if on >= today:
            raise forms.ValidationError("A day before today.")
        if on < today - LONGEST_AGO:
            raise forms.ValidationError("No more than ten years ago.")
        return on

    def day(self) -> date | None:
        """The day; None where none is given, or where it cannot be."""
        return self.cleaned_data["on"] if self.is_valid() else None


class UntilForm(forms.Form):
    """A day to come; without one the list is of what is overdue, due and due soon."""

    until = forms.DateField(
        label="Due until", required=False, widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    )
    is_filter = True

    def clean_until(self) -> date | None:
        """A day from today on, and no more than two years ahead."""
        until: date | None = self.cleaned_data["until"]
        if until is None:
            return None
        today = timezone.localdate()
        if until < today:
            raise forms.ValidationError("Today, or a day to come.")
        if until > today + FARTHEST:
            raise forms.ValidationError("No more than two years ahead.")
        return until

    def day(self) -> date | None:
        """The day; None where none is given, or where it cannot be."""
        return self.cleaned_data["until"] if self.is_valid() else None
