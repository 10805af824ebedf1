"""The form of a charge."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from parts.models import Part
from staff.models import ShopProfile
from vessels.forms.fields import EntryForm
from web.fields import FigureField, MoneyField
from workorders.models import Charge, Job, JobLine
from workorders.money import ChargeKind, currency_sign, money_words


class LineField(forms.ModelChoiceField[JobLine]):
    """Which line of the job a charge belongs to."""

    def __init__(self) -> None:
        super().__init__(
            label="For line", queryset=JobLine.objects.none(), required=False, empty_label="The job as a whole"
        )

    def label_from_instance(self, obj: JobLine) -> str:
        """Number and the beginning of the concern."""
        return f"{obj.position}. {obj.concern[:60]}"


class ChargeForm(EntryForm):
    """One charge. ``answers()`` goes into ``add_charge``.

    What may stay empty is taken from what the shop knows: the labor rate, and a catalog part's words and price.
    """

    kind = forms.ChoiceField(label="Kind", choices=Charge.KINDS, initial="labor", widget=forms.RadioSelect)
    part = forms.ModelChoiceField(
        queryset=Part.objects.all(), required=False, widget=forms.HiddenInput, label="Catalog part"
    )
    description = forms.CharField(label="Description on the invoice", max_length=160, required=False)
    quantity = FigureField(
        label="Quantity or hours",
        min_value=Decimal("0.01"),
        max_digits=9,
        decimal_places=2,
        initial=Decimal("1"),
    )
    unit_price = MoneyField(
        label="Price or rate",
        min_value=Decimal("0"),
        max_value=Decimal("9999999"),
        max_digits=11,
        decimal_places=2,
        required=False,
    )
    taxable = forms.ChoiceField(
        label="Tax", required=False, choices=[("", "As usual"), ("yes", "Taxed"), ("no", "Not taxed")]
    )
    line = LineField()
    discount_percent = FigureField(
        label="Discount", min_value=Decimal(0), max_value=Decimal(100), max_digits=6, decimal_places=3, required=False
    )
    discount_amount = MoneyField(
        label="Or a sum off", min_value=Decimal(0), max_digits=11, decimal_places=2, required=False
    )
    is_core = forms.BooleanField(
        label="It is a core charge", required=False,
        help_text="For a part: owed until the old one comes back. It is given back on the Lines tab in one touch.",
    )  # fmt: skip
    asked_sometimes: ClassVar[frozenset[str]] = frozenset({"description", "unit_price"})
    look: ClassVar[dict[str, str]] = {
        "description": "two-thirds", "line": "third", "quantity": "third", "unit_price": "third", "taxable": "third",
        "discount_percent": "third", "discount_amount": "third",
    }  # fmt: skip

    def __init__(self, *args: Any, job: Job, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sign = currency_sign(shop.currency)
        self.units = {"unit_price": sign, "discount_percent": "%", "discount_amount": sign}
        lines = self.fields["line"]
        assert isinstance(lines, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        lines.queryset = job.lines.order_by("position")
        taxable = self.fields["taxable"]
        assert isinstance(taxable, forms.ChoiceField)  # noqa: S101  (the same)
        if job.tax_percent is None:  # which kinds are taxed, the shop's taxes say; here a charge can only be left out
            taxable.choices = [("", "By the shop’s taxes"), ("no", "Not taxed")]
            taxable.help_text = "Each tax says on which kinds of charge it is due."
        else:
            labor = "taxed" if job.tax_on_labor else "not taxed"
            taxable.help_text = f"As usual: labor is {labor}, everything else is taxed."
        rate = money_words(shop.labor_rate, shop.currency)
        self.fields["unit_price"].help_text = f"If empty: {rate} an hour for labor; the catalog’s price for a part."

    def answers(self) -> dict[str, Any]:
        """What ``add_charge`` is called with."""
        data = dict(self.cleaned_data)
        data["taxable"] = {"yes": True, "no": False}.get(data["taxable"])
        if data["kind"] != ChargeKind.PART.value:
            data["part"] = None
        return data


class JobDiscountForm(EntryForm):
    """What is taken off everything that is charged on a job. ``answers()`` goes into ``change_job_discount``."""

    percent = FigureField(
        label="Discount", min_value=Decimal(0), max_value=Decimal(100), max_digits=6, decimal_places=3, required=False
    )
    amount = MoneyField(label="Or a sum off", min_value=Decimal(0), max_digits=11, decimal_places=2, required=False)
    seen_version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    seen_percent = FigureField(required=False, widget=forms.HiddenInput)
    seen_amount = FigureField(required=False, widget=forms.HiddenInput)
    look: ClassVar[dict[str, str]] = {"percent": "half", "amount": "half"}

    def __init__(self, *args: Any, job: Job, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = {"percent": "%", "amount": currency_sign(shop.currency)}
        self.initial.update({"percent": job.discount_percent, "amount": job.discount_amount, **_seen(job)})

    def look_again(self, job: Job) -> None:
        """Build the next sending on the discount that the person is shown now; what was typed stays."""
        data = self.data.copy()  # type: ignore[attr-defined]
        for name, value in _seen(job).items():
            data[self.add_prefix(name)] = "" if value is None else str(value)
        self.data = data


def _seen(job: Job) -> dict[str, Any]:
    """The discount of a job as a form keeps it, with the version of the job."""
    return {"seen_version": job.version, "seen_percent": job.discount_percent, "seen_amount": job.discount_amount}
