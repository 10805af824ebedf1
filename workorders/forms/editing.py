"""Forms that change what two people may have open at once: a job's intake and its lines.

Each field carries what stood in it when the page was opened, so that only what the person changed is saved, and a
change that somebody else made in the meantime is seen for what it is.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.db.models import Q

from staff.models import Person
from vessels.forms.fields import EntryForm
from vessels.models import Engine
from web.versions import held
from workorders.actions.lines import NEEDED
from workorders.forms.fields import DayField, PeopleField, TechnicianField, WordsField, engine_field
from workorders.models import Job, JobLine

NOTHING_SAID = "Enter the concern: what the customer says, or what you found."


class SeenForm(EntryForm):
    """A form that knows what the person saw."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput)
    own_fields: ClassVar[tuple[str, ...]] = ("entry_id", "seen_version")

    def __init__(self, *args: Any, record: Job | JobLine, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.record = record
        self.prepare()
        self.initial.setdefault("seen_version", record.version)
        for name in self.record_fields:
            self.initial.setdefault(name, held(record, name))
            self.fields[name].show_hidden_initial = True

    def prepare(self) -> None:
        """Set up what depends on the record, before its values are looked up."""

    @property
    def record_fields(self) -> list[str]:
        """The names of those fields that are columns of the record."""
        return [name for name in self.fields if name not in self.own_fields]

    def changes(self) -> dict[str, Any]:
        """What the person changed from what they saw."""
        return {name: self.cleaned_data[name] for name in self.record_fields if name in self.changed_data}

    def seen(self) -> dict[str, Any]:
        """What stood in every field when the person opened the form."""
        found = {}
        for name in self.record_fields:
            field = self.fields[name]
            raw = field.hidden_widget().value_from_datadict(self.data, self.files, self.add_initial_prefix(name))
            try:
                found[name] = field.clean(raw)
            except forms.ValidationError:
                continue  # what stood there is not a choice any more, so it can't be told apart from a change
        return found


class IntakeForm(SeenForm):
    """What was written down when the boat came in."""

    technician = TechnicianField()
    promised_on = DayField(label="Promised for", required=False)
    location = forms.ChoiceField(label="Where the boat is", choices=Job.LOCATIONS, widget=forms.RadioSelect)
    spot = forms.CharField(label="Slip, rack or spot", max_length=40, required=False)
    keys = forms.CharField(label="Where the keys are", max_length=80, required=False)
    contents = WordsField(label="Contents on arrival", required=False, help_text="Loose gear, electronics, papers.")
    condition = WordsField(
        label="Condition on arrival", required=False, help_text="Damage and wear seen before we started."
    )
    look: ClassVar[dict[str, str]] = {
        "technician": "half", "promised_on": "half", "spot": "half", "keys": "half",
        "contents": "half", "condition": "half",
    }  # fmt: skip


class LineForm(SeenForm):
    """A line: concern, cause, correction. Each person gets the fields that their role writes."""

    concern = WordsField(label="Concern", help_text="In the customer's own words.")
    engine: forms.Field = forms.ModelChoiceField(queryset=Engine.objects.none(), required=False)
    cause = WordsField(label="Cause", required=False, help_text="What we found.")
    correction = WordsField(
        label="Correction",
        required=False,
        rows=4,
        help_text="What we did. It is printed on the report and the invoice.",
    )
    done_by = PeopleField(
        queryset=Person.objects.none(),
        required=False,
        label="Done by",
        help_text="Who made the correction, which is not always who writes it down. The report names them.",
    )
    done_on = DayField(label="Done on", required=False, help_text="The day the correction was finished.")
    look: ClassVar[dict[str, str]] = {"engine": "half", "done_on": "half"}

    def __init__(self, *args: Any, record: JobLine, person: Person, **kwargs: Any) -> None:
        self.line, self.person = record, person
        super().__init__(*args, record=record, **kwargs)

    def prepare(self) -> None:
        """Offer the boat's engines and the shop's people, and leave out what the person's role does not write."""
        self.fields["engine"] = engine_field(self.line.job.vessel)
        done_by = self.fields["done_by"]
        assert isinstance(done_by, PeopleField)  # noqa: S101  (declared above)
        named = [person.pk for person in held(self.line, "done_by")]
        done_by.queryset = Person.objects.filter(Q(is_active=True) | Q(pk__in=named)).order_by("name", "pk")
        self.order_fields(["concern", "engine", "cause", "correction", "done_by", "done_on"])
        for name, needed in NEEDED.items():
            if not self.person.may(needed):
                del self.fields[name]


class NewLineForm(EntryForm):
    """One more concern on a job."""

    concern = WordsField(label="Another concern", rows=2, help_text="What the customer says, or what you found.")
    look: ClassVar[dict[str, str]] = {"engine": "half"}

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["engine"] = engine_field(job.vessel)
        self.fields["concern"].error_messages["required"] = NOTHING_SAID
