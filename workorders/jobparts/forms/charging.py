"""Fitted parts with a price each, turned into charges in one touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms

from vessels.forms.fields import EntryForm
from web.fields import MoneyField
from workorders.jobparts.actions.charging import NO_PRICE, proposed_price
from workorders.jobparts.models import PartFitted
from workorders.models import Charge
from workorders.money import currency_sign

NEW = "new"


@dataclass(frozen=True)
class Row:
    """One fitted part with its fields."""

    fitted: PartFitted
    take: forms.BoundField
    price: forms.BoundField
    charge: forms.BoundField | None


@dataclass(frozen=True)
class Wanted:
    """What is to be charged: a part at a price, or the charge that is for it already."""

    fitted: PartFitted
    unit_price: Decimal | None
    charge: Charge | None


class ChargeFittedForm(EntryForm):
    """One row a fitted part: whether to charge it now, at which price, or which charge is for it already.

    What is sent names its parts itself, so that a form sent twice, or after somebody else charged one of them, is
    answered by the action and not by what is left to charge.
    """

    def __init__(
        self, *args: Any, parts: Sequence[PartFitted], charges: Sequence[Charge], currency: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.parts, self.charges = parts, {str(charge.pk): charge for charge in charges}
        self.units: dict[str, str] = {}
        for one in parts:
            self.fields[f"take-{one.pk}"] = forms.BooleanField(label=f"Charge {one}", required=False, initial=True)
            self.fields[f"price-{one.pk}"] = MoneyField(
                label="Price of one",
                widget=forms.TextInput(attrs={"aria-label": f"Price of one {one.words}"}),
                min_value=Decimal(0),
                max_value=Decimal("9999999"),
                max_digits=11,
                decimal_places=2,
                required=False,
                initial=proposed_price(one),
            )
            self.units[f"price-{one.pk}"] = currency_sign(currency)
            if self.charges:
                offered = [(key, f"Is charged already: {charge}") for key, charge in self.charges.items()]
                self.fields[f"charge-{one.pk}"] = forms.ChoiceField(
                    label="Which charge",
                    choices=[(NEW, "A new charge"), *offered],
                    initial=NEW,
                    widget=forms.Select(attrs={"aria-label": f"Which charge for {one.words}"}),
                )

    @property
    def rows(self) -> list[Row]:
        """Each part with its fields, for the page."""
        return [
            Row(
                one,
                self[f"take-{one.pk}"],
                self[f"price-{one.pk}"],
                self[f"charge-{one.pk}"] if f"charge-{one.pk}" in self.fields else None,
            )
            for one in self.parts
        ]

    def clean(self) -> dict[str, Any]:
        """What was selected has a price, or its charge; one charge is for one part."""
        data: dict[str, Any] = super().clean() or {}
        taken = [one for one in self.parts if data.get(f"take-{one.pk}")]
        if not taken:
            self.add_error(None, "Select at least one part to charge.")
        chosen = [data.get(f"charge-{one.pk}", NEW) for one in taken]
        for one, charge in zip(taken, chosen, strict=True):
            price = f"price-{one.pk}"
            if charge == NEW and data.get(price) is None and price not in self.errors:
                self.add_error(price, NO_PRICE)
            if charge != NEW and chosen.count(charge) > 1:
                self.add_error(f"charge-{one.pk}", "One charge is for one part. Choose it once.")
        return data

    def wanted(self) -> list[Wanted]:
        """What was selected."""
        data = self.cleaned_data
        return [
            Wanted(one, data[f"price-{one.pk}"], self.charges.get(data.get(f"charge-{one.pk}", NEW)))
            for one in self.parts
            if data[f"take-{one.pk}"]
        ]
