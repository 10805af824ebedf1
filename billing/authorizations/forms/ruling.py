"""The form of the shop's own rules."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from billing.authorizations.actions.ruling import RULES
from billing.authorizations.models import MOST, NOTHING, OPEN_SUM, AuthorizationRules
from staff.models import ShopProfile
from vessels.forms.fields import RecordForm
from web.fields import FigureField, MoneyField
from workorders.money import currency_sign


class RulesForm(RecordForm):
    """What the shop allows on top."""

    tolerance_percent = FigureField(
        label="Allowed on top",
        min_value=NOTHING,
        max_value=Decimal("100"),
        max_digits=6,
        decimal_places=3,
        required=False,
    )
    tolerance_amount = MoneyField(
        label="Or a sum", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2, required=False
    )
    nothing_on_top = forms.BooleanField(label="Nothing beyond the sum without asking again", required=False)
    estimate_first = forms.BooleanField(label="A written estimate before work begins", required=False)
    estimate_from = MoneyField(
        label="For work from", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2, required=False,
        help_text="Work for which less was authorized goes without. Empty: for all work.",
    )  # fmt: skip
    specify_more = forms.BooleanField(
        label="Consent by word to more says which parts and labor, and what they cost", required=False
    )
    time_and_materials = forms.ChoiceField(
        label="Time and materials without a ceiling", choices=OPEN_SUM, widget=forms.RadioSelect
    )
    citation = forms.CharField(label="Where the rule is from", max_length=160, required=False)
    look: ClassVar[dict[str, str]] = {"tolerance_percent": "half", "tolerance_amount": "half", "estimate_from": "half"}

    def __init__(self, *args: Any, record: AuthorizationRules, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"tolerance_percent": "%", "tolerance_amount": currency_sign(shop.currency)}
        self.units["estimate_from"] = currency_sign(shop.currency)
        self.fields["tolerance_amount"].help_text = "Where both are given, the smaller counts. Empty: nothing on top."
        self.initial["seen_version"] = record.version
        for name in RULES:
            self.initial[name] = getattr(record, name)

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in RULES}
