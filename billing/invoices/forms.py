"""The forms of invoices and money."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils import timezone

from billing.invoices.models import MEANS, BillingProfile, CustomerBilling, Invoice
from vessels.forms.fields import EntryForm, RecordForm, whole_field
from web.fields import MoneyField
from workorders.forms.fields import DayField, WordsField
from workorders.models import Charge
from workorders.money import currency_sign

STATES = [("open", "Open"), ("overdue", "Overdue"), ("paid", "Nothing open"), ("all", "All")]


def _money(label: str, **more: Any) -> MoneyField:
    return MoneyField(label=label, max_digits=12, **more)


class SumForm(EntryForm):
    """A sum of money in the shop's currency."""

    amount = _money("Amount")

    def __init__(self, *args: Any, currency: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"amount": currency_sign(currency)}


class PaymentForm(SumForm):
    """Money that was received. ``answers()`` goes into the action."""

    means = forms.ChoiceField(label="How it was paid", choices=MEANS, initial="card", widget=forms.RadioSelect)
    reference = forms.CharField(
        label="Reference", required=False, max_length=80, help_text="Check number, last digits of the card, slip."
    )
    day = DayField(label="Day")
    remark = forms.CharField(label="Remark", required=False, max_length=500)
    look: ClassVar[dict[str, str]] = {"amount": "half", "day": "half", "reference": "half", "remark": "half"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("day", timezone.localdate())


class RefundForm(PaymentForm):
    """Money that was paid back, with why."""

    remark = None  # type: ignore[assignment]
    reason = forms.CharField(label="Why it is paid back", max_length=500)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = "Say why the money is paid back."


class ReasonForm(EntryForm):
    """Why."""

    reason = forms.CharField(label="Why", max_length=500)

    def __init__(self, *args: Any, label: str = "Why", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].label = label


class WriteOffForm(SumForm):
    """What will not be paid, with why."""

    reason = forms.CharField(label="Why it is written off", max_length=500)
    look: ClassVar[dict[str, str]] = {"amount": "half"}


class LinesField(forms.ModelMultipleChoiceField[Charge]):
    """Charges to choose from, with what each comes to."""

    widget = forms.CheckboxSelectMultiple
    words: ClassVar[dict[int, str]] = {}

    def label_from_instance(self, obj: Charge) -> str:
        """Description and amount."""
        return self.words.get(obj.pk, obj.description)


HOW_CREDITED = [("all", "All that is left"), ("lines", "Lines"), ("sum", "A sum, taxes in it")]


class CreditForm(SumForm):
    """What of an invoice is credited: all that is left, lines of it, or a sum."""

    how = forms.ChoiceField(
        label="What is credited",
        choices=HOW_CREDITED,
        widget=forms.RadioSelect,
    )
    charges = LinesField(queryset=Charge.objects.none(), required=False, label="Which lines")
    amount = _money("Which sum", required=False)
    reason = WordsField(label="Why", rows=2, max_length=500, help_text="It is printed on the credit note.")
    field_order = ("entry_id", "how", "charges", "amount", "reason")
    look: ClassVar[dict[str, str]] = {"amount": "half"}

    def __init__(self, *args: Any, invoice: Invoice, words: dict[int, str], **kwargs: Any) -> None:
        super().__init__(*args, currency=invoice.currency, **kwargs)
        field = self.fields["charges"]
        assert isinstance(field, LinesField)  # noqa: S101  (for the type checker: declared above)
        field.words = words  # type: ignore[misc]
        if not words:
            del self.fields["charges"]
            ways = self.fields["how"]
            assert isinstance(ways, forms.ChoiceField)  # noqa: S101  (for the type checker: declared above)
            ways.choices = [one for one in HOW_CREDITED if one[0] != "lines"]
        field.queryset = Charge.objects.filter(pk__in=words).order_by("invoiced__position")
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        """Say what is missing for what was chosen."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("how") != "lines" and data.get("charges"):
            self.add_error("charges", "You selected lines. Choose “Lines” above, or clear them.")
        if data.get("how") != "sum" and data.get("amount") is not None:
            self.add_error("amount", "You entered a sum. Choose “A sum” above, or clear it.")
        if data.get("how") == "lines" and not data.get("charges"):
            self.add_error("charges", "Choose at least one line.")
        if data.get("how") == "sum" and data.get("amount") is None and "amount" not in self.errors:
            self.add_error("amount", "Enter the sum that is credited.")
        return data

    def answers(self) -> dict[str, Any]:
        """What ``credit_invoice`` is called with."""
        data = dict(self.cleaned_data)
        how = data.pop("how")
        data["charges"] = list(data.get("charges", ())) if how == "lines" else []
        data["amount"] = data["amount"] if how == "sum" else None
        return data


class MakeForm(EntryForm):
    """What is to be invoiced, and what the person saw that it comes to."""

    charges = forms.ModelMultipleChoiceField(queryset=Charge.objects.none(), widget=forms.MultipleHiddenInput)
    seen_total = forms.DecimalField(widget=forms.HiddenInput, max_digits=12, decimal_places=2)

    def __init__(self, *args: Any, charges: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["charges"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101  (for the type checker)
        field.queryset = charges
        field.error_messages["invalid_choice"] = field.error_messages["invalid_pk_value"] = (
            "One of these charges is no longer there to be invoiced. Choose again."
        )

    def answers(self) -> dict[str, Any]:
        """What ``make_invoice`` is called with."""
        return {**self.cleaned_data, "charges": list(self.cleaned_data["charges"])}


class FilterForm(forms.Form):
    """Which invoices a list shows."""

    is_filter = True
    state = forms.ChoiceField(label="Which", choices=STATES, required=False, initial="open")

    def chosen(self) -> str:
        """The state that is asked for; open where it makes no sense."""
        return self.cleaned_data["state"] or "open" if self.is_valid() else "open"


class DaysForm(forms.Form):
    """From which day to which."""

    is_filter = True
    first = DayField(label="From")
    last = DayField(label="Until")


class BillingForm(RecordForm):
    """What the shop's invoices say."""

    terms_days = whole_field(
        "Days until an invoice is due", required=True, most=365, hint="0: due when it is received."
    )
    country = forms.CharField(
        label="Country of the shop", required=False, max_length=2, help_text="Two letters, such as US."
    )
    registration = forms.CharField(
        label="Registration number of the business", required=False, max_length=40,
        help_text="As the register of companies or the tax office has it.",
    )  # fmt: skip
    vat_id = forms.CharField(
        label="VAT number", required=False, max_length=20,
        help_text="Only where the shop’s taxes are value added tax. Sales tax is not.",
    )  # fmt: skip
    how_to_pay = WordsField(
        label="How to pay", required=False, rows=3, max_length=1000, help_text="Printed at the foot of every invoice."
    )
    look: ClassVar[dict[str, str]] = {
        "terms_days": "half", "country": "half", "registration": "half", "vat_id": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, record: BillingProfile, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)


class CustomerBillingForm(RecordForm):
    """What a customer's invoices need."""

    country = forms.CharField(label="Country", required=False, max_length=2, help_text="Two letters, such as US.")
    vat_id = forms.CharField(label="VAT number", required=False, max_length=20)
    terms_days = whole_field("Days until an invoice is due", most=365, hint="If empty: as for everybody.")
    look: ClassVar[dict[str, str]] = {"country": "third", "vat_id": "third", "terms_days": "third"}

    def __init__(self, *args: Any, record: CustomerBilling, **kwargs: Any) -> None:
        super().__init__(*args, record=record, **kwargs)


class NoticeForm(RecordForm):
    """A notice on papers."""

    title = forms.CharField(label="Title", max_length=80)
    text = WordsField(label="What it says", rows=4, max_length=3000)
    citation = forms.CharField(
        label="Where it is from",
        required=False,
        max_length=160,
        help_text="A statute with its section, or “our terms”.",
    )
    on_invoices = forms.BooleanField(label="Printed on invoices", required=False)
    on_estimates = forms.BooleanField(label="Printed on estimates", required=False)
    position = whole_field("Place", required=True, most=30_000, hint="The lowest comes first.")
    look: ClassVar[dict[str, str]] = {"title": "two-thirds", "position": "third"}


class AccountForm(EntryForm):
    """Under which account of the shop's books a kind of sum is kept."""

    role = forms.CharField(widget=forms.HiddenInput, max_length=60)
    code = forms.CharField(label="Number", required=False, max_length=20)
    name = forms.CharField(label="Name", required=False, max_length=80)
    look: ClassVar[dict[str, str]] = {"code": "third", "name": "two-thirds"}
