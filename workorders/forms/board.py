"""What of the board is shown."""

from __future__ import annotations

from typing import Any

from django import forms

from staff.models import Person
from staff.queries import technicians
from workorders.forms.fields import DayField
from workorders.models import Job
from workorders.queries.listing import NOBODY, ORDERS, Wanted
from workorders.states import LABELS, JobState


class BoardFilterForm(forms.Form):
    """Narrows the board. A choice that is not offered counts as none."""

    is_filter = True
    technician = forms.ChoiceField(label="Technician", required=False)
    location = forms.ChoiceField(label="Where", required=False, choices=[("", "Everywhere"), *Job.LOCATIONS])
    overdue = forms.BooleanField(label="Past the promised day", required=False)

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        known = technicians().values_list("pk", "name")
        people = [(str(key), "Mine" if key == person.pk else name) for key, name in known]
        people.sort(key=lambda pair: (pair[1] != "Mine", pair[1]))
        field = self.fields["technician"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.choices = [("", "Everybody"), (NOBODY, "Not assigned"), *people]

    def chosen(self) -> dict[str, Any]:
        """What is really chosen."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value and name not in self.errors}


class ListFilterForm(forms.Form):
    """Narrows the list of jobs. What makes no sense is told, and counts as nothing."""

    is_filter = True
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[
            ("ended", "Closed and canceled"),
            ("open", "All open"),
            ("waiting", "Waiting, for whatever"),
            *[(state.value, LABELS[state]) for state in JobState],
            ("all", "All"),
        ],
    )
    technician = forms.ChoiceField(label="Technician", required=False)
    q = forms.CharField(label="Boat or customer", required=False, max_length=100)
    opened_from = DayField(label="Opened from", required=False)
    opened_to = DayField(label="Opened until", required=False)
    promised_from = DayField(label="Promised from", required=False)
    promised_to = DayField(label="Promised until", required=False)
    service = forms.BooleanField(label="With a service that was due", required=False)
    sort = forms.ChoiceField(
        required=False,
        widget=forms.HiddenInput,
        choices=[(sign + name, name) for name in ORDERS for sign in ("", "-")],
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["technician"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  (for the type checker: declared above)
        people = [(str(pk), name) for pk, name in technicians().order_by("name", "pk").values_list("pk", "name")]
        field.choices = [("", "Everybody"), (NOBODY, "Not assigned"), *people]

    def clean(self) -> dict[str, Any]:
        """A last day is not before the first."""
        said = super().clean() or {}
        for name in ("opened", "promised"):
            first, last = said.get(f"{name}_from"), said.get(f"{name}_to")
            if first is not None and last is not None and last < first:
                self.add_error(f"{name}_to", "This day is before the first one. Both are left out.")
                said.pop(f"{name}_from", None)
        return said

    def wanted(self) -> Wanted:
        """Which jobs; those that have ended, the newest first, unless something else is asked for."""
        self.is_valid()
        said = {name: value for name, value in self.cleaned_data.items() if value not in {None, "", False}}
        if "q" in said:
            said["words"] = " ".join(said.pop("q").replace("\0", "").split())
        return Wanted(**said)

    def kept(self) -> dict[str, str]:
        """What of the address says so."""
        self.is_valid()
        return {
            name: str(self.data[name])
            for name, value in self.cleaned_data.items()
            if value not in {None, "", False} and (name, value) != ("state", "ended")
        }
