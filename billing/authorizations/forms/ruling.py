"""The form of the shop's own rules."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from billing.authorizations.models import MOST, NOTHING, AuthorizationRules
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
    citation = forms.CharField(label="Where the rule is from", max_length=160, required=False)
    look: ClassVar[dict[str, str]] = {"tolerance_percent": "half", "tolerance_amount": "half"}

    def __init__(self, *args: Any, record: AuthorizationRules, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"tolerance_percent": "%", "tolerance_amount": currency_sign(shop.currency)}
        self.fields["tolerance_amount"].help_text = "Where both are given, the smaller counts. Empty: nothing on top."
        self.initial["seen_version"] = record.version
        for name in ("tolerance_percent", "tolerance_amount", "citation"):
            self.initial[name] = getattr(record, name)

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in ("tolerance_percent", "tolerance_amount", "citation")}
