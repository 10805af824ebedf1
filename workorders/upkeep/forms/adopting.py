"""What is said of the last time, as an engine takes up plans, or later."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms

from engineering.canonical import plain_decimal
from vessels.forms.fields import EntryForm, RecordForm
from web.fields import FigureField
from workorders.forms.fields import DayField
from workorders.upkeep.models import Adoption, Basis, ServicePlan, Source


def plan_label(plan: ServicePlan) -> str:
    """A plan beside its tick."""
    return f"{plan}: {plan.words}"


class LastTimeFields(forms.Form):
    """When a service was last done, as far as anybody knows."""

    basis = forms.ChoiceField(
        label="Last done",
        choices=Basis.choices,
        widget=forms.RadioSelect,
        help_text="Where nobody knows, it is said as not known: neither due nor not due.",
        error_messages={"required": "Say what is known of the last time."},
    )
    last_on = DayField(label="On", required=False, help_text="Of a new engine, the day on which it began to run.")
    last_hours = FigureField(
        label="At engine hours",
        max_digits=9,
        decimal_places=1,
        required=False,
        help_text="True hours over all meters. Leave empty where not known.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    source = forms.ChoiceField(
        label="Who says so",
        choices=Source.choices,
        required=False,
        widget=forms.RadioSelect,
        help_text="Hours that somebody told us do not count as read.",
    )
    remark = forms.CharField(max_length=200, required=False, help_text="Who told it, or where it was done.")

    look: ClassVar[dict[str, str]] = {"last_on": "half", "last_hours": "half"}
    units: ClassVar[dict[str, str]] = {"last_hours": "h"}


class AdoptForm(LastTimeFields, EntryForm):
    """Plans that an engine takes up. ``answers()`` goes into ``adopt_plans``."""

    plans = forms.ModelMultipleChoiceField(
        queryset=ServicePlan.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one plan."},
    )
    field_order = ("plans", "basis", "last_on", "last_hours", "source", "remark")

    def __init__(self, *args: Any, plans: Sequence[ServicePlan], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["plans"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101  (declared above)
        field.queryset = ServicePlan.objects.filter(pk__in=[plan.pk for plan in plans])
        field.label_from_instance = plan_label  # type: ignore[method-assign,assignment]
        self.initial.setdefault("plans", [plan.pk for plan in plans])

    def answers(self) -> dict[str, Any]:
        """What the action is called with."""
        return {**self.cleaned_data, "plans": list(self.cleaned_data["plans"])}


class AdoptionForm(LastTimeFields, RecordForm):
    """The same of one plan, later. ``changes()`` goes into ``change_adoption``."""

    def __init__(self, *args: Any, record: Adoption | None = None, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)
        if record is not None and record.last_hours is not None:
            self.initial["last_hours"] = plain_decimal(record.last_hours)
