"""The form of a service plan."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.apps import apps
from django.db.models import Q

from vessels.forms.fields import RecordForm
from vessels.models import EngineFamily
from web.fields import FigureField
from workorders.forms.fields import WordsField
from workorders.upkeep.models import MOST_MONTHS, ServicePlan


def _hours(label: str, hint: str = "") -> FigureField:
    return FigureField(
        label=label,
        max_digits=7,
        decimal_places=1,
        required=False,
        help_text=hint,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )


def _months(label: str) -> forms.IntegerField:
    field = forms.IntegerField(
        label=label,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    field.error_messages["invalid"] = f"Enter whole months, from 1 to {MOST_MONTHS}."
    return field


class PlanForm(RecordForm):
    """A plan, new or changed."""

    family = forms.ModelChoiceField(
        queryset=EngineFamily.objects.all(), label="Engine family", empty_label="Choose a family"
    )
    name = forms.CharField(label="Service", max_length=80, help_text="Such as: Oil and filter.")
    every_hours = _hours("Every", "Hours, months or both: whichever comes first.")
    every_months = _months("Or every")
    first_hours = _hours("The first after", "Of a new engine, and only where it differs from the others.")
    first_months = _months("Or the first after")
    tasks = WordsField(label="Tasks", required=False, rows=5, help_text="One a line.")
    manual = forms.CharField(
        label="Where the maker’s manual says so",
        max_length=200,
        required=False,
        help_text="Manual, edition and page.",
    )
    kit: forms.ModelChoiceField[Any] = forms.ModelChoiceField(
        queryset=None,
        label="Kit",
        required=False,
        empty_label="None",
        help_text="Its lines are offered for the estimate of a job that has this service.",
    )

    look: ClassVar[dict[str, str]] = {
        "family": "half", "name": "half", "every_hours": "quarter", "every_months": "quarter",
        "first_hours": "quarter", "first_months": "quarter", "manual": "half", "kit": "half",
    }  # fmt: skip
    units: ClassVar[dict[str, str]] = {
        "every_hours": "h", "every_months": "months", "first_hours": "h", "first_months": "months",
    }  # fmt: skip

    def __init__(self, *args: Any, record: ServicePlan | None = None, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)
        if record is not None:
            del self.fields["family"]
        kits = apps.get_model("estimates", "Kit").objects  # of a floor above
        offered = kits.filter(Q(is_sold=True) | Q(pk=record.kit_id if record is not None else None))
        field = self.fields["kit"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = offered
        if not offered.exists():
            del self.fields["kit"]

    def answers(self) -> dict[str, Any]:
        """What the action gets: of a new plan the key of the kit."""
        said = super().answers()
        if self.record is None and "kit" in said:
            kit = said.pop("kit")
            said["kit_id"] = None if kit is None else kit.pk
        return said
