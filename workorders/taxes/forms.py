"""Forms of taxes and of certificates."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from vessels.forms.fields import EntryForm
from web.fields import FigureField, MoneyField
from workorders.forms.fields import DayField
from workorders.money import currency_sign
from workorders.reckoning import CapPer, ChargeKind
from workorders.taxes.models import CAP_WORDS, KIND_WORDS, SalesTax


class RateForm(EntryForm):
    """A rate: how much, on what, from when."""

    percent = FigureField(
        label="Rate", min_value=Decimal("0"), max_value=Decimal("100"), max_digits=6, decimal_places=3
    )
    starts_on = DayField(label="From", required=False, help_text="Leave empty for today.")
    kinds = forms.MultipleChoiceField(
        label="Due on",
        choices=[(kind.value, words.capitalize()) for kind, words in KIND_WORDS.items()],
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one kind of charge."},
    )
    cap = MoneyField(
        label="On no more than", min_value=Decimal("0.01"), max_digits=11, decimal_places=2, required=False,
        help_text="The largest sum that is taxed. A largest tax of $60.00 at 6 % is a sum of $1,000.00.",
    )  # fmt: skip
    cap_per = forms.ChoiceField(
        label="Of what", choices=[(per.value, words) for per, words in CAP_WORDS.items()], required=False,
        initial=CapPer.DOCUMENT.value, widget=forms.RadioSelect,
        help_text="Several of one thing on one line are one line. Where each counts, charge each on a line of its own.",
    )  # fmt: skip
    on_tax = forms.ModelChoiceField(
        label="Due on another tax as well", queryset=SalesTax.objects.all(), required=False, empty_label="No",
        help_text="As far as that one is due on the same lines.",
    )  # fmt: skip
    units: ClassVar[dict[str, str]] = {"percent": "%"}
    look: ClassVar[dict[str, str]] = {
        "name": "half", "percent": "half", "starts_on": "half", "cap": "half", "on_tax": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {**self.units, "cap": currency_sign(currency)}  # type: ignore[misc]

    def clean_cap_per(self) -> CapPer:
        """Of the whole, where nothing is chosen."""
        return CapPer(self.cleaned_data["cap_per"] or CapPer.DOCUMENT)

    def clean_kinds(self) -> list[ChargeKind]:
        """The kinds that were ticked."""
        return [ChargeKind(one) for one in self.cleaned_data["kinds"]]


class TaxForm(RateForm):
    """A tax with its first rate."""

    name = forms.CharField(max_length=60, help_text="As it stands on estimates and invoices: “State sales tax”.")
    field_order = ["entry_id", "name", "percent", "starts_on", "kinds", "cap", "cap_per", "on_tax"]


class EndTaxForm(EntryForm):
    """The last day of a tax."""

    last_day = DayField(label="Last day")
    look: ClassVar[dict[str, str]] = {"last_day": "half"}


class CertificateForm(EntryForm):
    """A customer's certificate of exemption."""

    certificate = forms.CharField(label="Certificate number", max_length=60)
    tax = forms.ModelChoiceField(
        label="Exempt from", queryset=SalesTax.objects.all(), required=False, empty_label="All taxes"
    )
    last_day = DayField(label="Valid until", required=False, help_text="Its last day. Leave empty where it names none.")
    reason = forms.CharField(max_length=120, required=False, help_text="“Commercial fishing”, for example.")
    look: ClassVar[dict[str, str]] = {"certificate": "half", "tax": "half", "last_day": "half", "reason": "half"}

    def answers(self) -> dict[str, Any]:
        """What ``add_certificate`` is called with."""
        return dict(self.cleaned_data)
