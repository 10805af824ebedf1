"""Forms of the parts catalog."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.forms.models import model_to_dict

from parts.models import Part
from web.fields import MoneyField


class PartForm(forms.Form):
    """A part of the catalog. Whether its number is taken is the action's to say."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    number = forms.CharField(label="Part number", max_length=40)
    maker = forms.CharField(max_length=60, required=False)
    description = forms.CharField(max_length=160)
    unit_price = MoneyField(
        label="Price",
        min_value=Decimal(0),
        max_digits=11,
        decimal_places=2,
        help_text="For one piece. Charges already on jobs do not change.",
    )
    is_active = forms.BooleanField(
        label="Still sold",
        required=False,
        help_text="Unless this is selected, it is no longer offered for new charges. Existing charges keep it.",
    )
    look: ClassVar[dict[str, str]] = {"number": "half", "maker": "half", "unit_price": "half"}

    def __init__(self, *args: Any, part: Part | None, currency: str, **kwargs: Any) -> None:
        shown = {} if part is None else {**model_to_dict(part), "seen_version": part.version}
        kwargs["initial"] = {**shown, **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.units = {"unit_price": currency}
        if part is None:
            del self.fields["is_active"]

    @property
    def changes(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen_version"}


class CatalogFilter(forms.Form):
    """What part of the catalog is shown."""

    is_filter = True
    q = forms.CharField(
        label="Part number or description",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off", "enterkeyhint": "search"}),
    )
    all = forms.BooleanField(label="Include parts no longer sold", required=False)
