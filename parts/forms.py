"""Forms of the parts catalog."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from parts.models import Part
from staff.fields import FigureField


class PartForm(forms.ModelForm):  # type: ignore[type-arg]
    """A part of the catalog. The view saves by an action, so ``save`` is never called."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    look: ClassVar[dict[str, str]] = {"number": "half code-field", "maker": "half", "unit_price": "half"}

    class Meta:
        model = Part
        fields = ("number", "maker", "description", "unit_price", "is_active")
        field_classes: ClassVar[dict[str, Any]] = {"unit_price": FigureField}
        help_texts: ClassVar[dict[str, str]] = {
            "number": "As the maker writes it.",
            "unit_price": "For one. What jobs were charged already does not change.",
            "is_active": "Without this tick it is no longer offered for new charges. Jobs keep it.",
        }

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"unit_price": currency}
        self.initial["seen_version"] = self.instance.version
        if self.instance.pk is None:
            del self.fields["is_active"]

    def validate_constraints(self) -> None:
        """Left to the action, which says it beside the field."""

    @property
    def changes(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields if name in self.cleaned_data}


class CatalogFilter(forms.Form):
    """What part of the catalog is shown."""

    is_filter = True
    q = forms.CharField(
        label="Part number or words",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off", "enterkeyhint": "search"}),
    )
    all = forms.BooleanField(label="Also parts no longer sold", required=False)
