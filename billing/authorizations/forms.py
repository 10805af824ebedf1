"""Forms of authorizations."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from billing.authorizations.models import MOST, Authorization, AuthorizationRules
from billing.authorizations.queries import Standing
from staff.models import ShopProfile
from vessels.forms.fields import EntryForm, RecordForm, WhenField
from web.fields import FigureField, MoneyField
from workorders.forms.charges import LineField
from workorders.forms.fields import WordsField
from workorders.models import Job
from workorders.money import currency_sign

NOTHING = Decimal("0")


class AuthorizationForm(EntryForm):
    """What a customer agreed to. ``answers()`` goes into ``note_authorization``."""

    amount = MoneyField(label="Sum, with tax", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2)
    adds = forms.ChoiceField(
        label="It is",
        choices=[("no", "all that is authorized"), ("yes", "on top of what was authorized before")],
        initial="no",
        widget=forms.RadioSelect,
    )
    is_ceiling = forms.BooleanField(label="Not to exceed: nothing is allowed on top of it", required=False)
    how = forms.ChoiceField(choices=Authorization.HOW, initial=Authorization.PHONE, widget=forms.RadioSelect)
    who = forms.CharField(label="Who agreed", max_length=80)
    reached = forms.CharField(label="Phone number or address", max_length=80, required=False)
    said_at = WhenField(label="When", help_text="Day and time at which it was agreed.")
    line = LineField()
    words = WordsField(
        label="What was agreed",
        required=False,
        max_length=3000,
        help_text="Of a message its text; on paper, where the sheet is kept. A typed name is no signature.",
    )
    seen_total = forms.DecimalField(widget=forms.HiddenInput)
    seen_authorized = forms.DecimalField(widget=forms.HiddenInput, required=False)
    look: ClassVar[dict[str, str]] = {
        "amount": "half", "who": "half", "reached": "half", "said_at": "half", "line": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, job: Job, standing: Standing, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"amount": currency_sign(standing.currency)}
        field = self.fields["line"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = job.lines.order_by("position")
        self.initial.setdefault("who", job.customer.contact or job.customer.name)
        self.initial["seen_total"], self.initial["seen_authorized"] = standing.total, standing.limit.authorized

    def answers(self) -> dict[str, Any]:
        """What ``note_authorization`` is called with."""
        return dict(self.cleaned_data) | {"adds": self.cleaned_data["adds"] == "yes"}


class GoOnForm(EntryForm):
    """A manager's word to go on."""

    up_to = MoneyField(label="Up to, with tax", min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2)
    reason = forms.CharField(label="Why", max_length=300)
    look: ClassVar[dict[str, str]] = {"up_to": "half"}

    def __init__(self, *args: Any, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"up_to": currency_sign(shop.currency)}


class WithdrawForm(EntryForm):
    """Why an authorization no longer stands."""

    reason = forms.CharField(label="Why it no longer stands", max_length=200)


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
