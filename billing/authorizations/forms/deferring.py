"""Forms of deferred work."""

from __future__ import annotations

from django import forms

from billing.authorizations.models import DeferredWork
from vessels.forms.fields import EntryForm


class WhyForm(EntryForm):
    """Why it is no longer offered, or offered again."""

    reason = forms.CharField(label="Why", max_length=200)


class DeferredFilterForm(forms.Form):
    """Which deferred work is shown. Nonsense counts as nothing."""

    STATES = [*DeferredWork.STATES, ("all", "all")]

    state = forms.ChoiceField(label="Which", choices=STATES, required=False)
    q = forms.CharField(label="Boat, customer or words", max_length=60, required=False)
    safety = forms.BooleanField(label="Only what touches safety", required=False)
    is_filter = True

    def chosen(self) -> tuple[str, str, bool]:
        """The state, the words looked for, and whether only what touches safety is shown."""
        self.is_valid()
        state = self.cleaned_data.get("state") or DeferredWork.OPEN
        return state, self.cleaned_data.get("q", "").strip(), bool(self.cleaned_data.get("safety"))
