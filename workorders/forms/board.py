"""What of the board is shown."""

from __future__ import annotations

from typing import Any

from django import forms

from staff.models import Person
from staff.queries import technicians
from workorders.models import Job
from workorders.states import LABELS, JobState

NOBODY = "nobody"


class BoardFilterForm(forms.Form):
    """Narrows the board. A choice that is not offered counts as none."""

    is_filter = True
    technician = forms.ChoiceField(label="Technician", required=False)
    location = forms.ChoiceField(label="Where", required=False, choices=[("", "Everywhere"), *Job.LOCATIONS])
    overdue = forms.BooleanField(label="Past the promised day", required=False)

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = [(str(one.pk), "Mine" if one.pk == person.pk else one.name) for one in technicians()]
        people.sort(key=lambda pair: (pair[1] != "Mine", pair[1]))
        field = self.fields["technician"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.choices = [("", "Everybody"), (NOBODY, "Not assigned"), *people]

    def chosen(self) -> dict[str, Any]:
        """What is really chosen."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value and name not in self.errors}


class ListFilterForm(forms.Form):
    """Narrows the list of jobs."""

    is_filter = True
    state = forms.ChoiceField(
        label="State",
        required=False,
        choices=[
            ("ended", "Closed and canceled"),
            ("open", "All open"),
            *[(state.value, LABELS[state]) for state in JobState],
            ("all", "All"),
        ],
    )

    def chosen(self) -> str:
        """The state that is shown: those that have ended, unless another is asked for."""
        return self.cleaned_data["state"] or "ended" if self.is_valid() else "ended"
