"""Forms of estimates and kits."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from billing.estimates.lines import FIELDS, ON_ESTIMATES
from billing.estimates.models import HUNDRED, MOST, PERCENT_OF, Estimate, EstimateOption, Kit, PricedLine
from billing.estimates.to_charge import Choice
from parts.models import Part
from staff.models import ShopProfile
from vessels.forms.fields import EntryForm, RecordForm
from web.fields import FigureField, MoneyField
from workorders.forms.charges import LineField
from workorders.forms.fields import DayField, WordsField
from workorders.models import Charge, JobLine
from workorders.money import ChargeKind, currency_sign, money_words

NOTHING = Decimal("0")


def _money(label: str, **more: Any) -> MoneyField:
    return MoneyField(
        label=label, min_value=NOTHING, max_value=MOST, max_digits=11, decimal_places=2, required=False, **more
    )


def _percent(label: str, **more: Any) -> FigureField:
    return FigureField(
        label=label, min_value=NOTHING, max_value=HUNDRED, max_digits=6, decimal_places=3, required=False, **more
    )


class PricedLineForm(RecordForm):
    """A line of a kit. ``told()`` goes into the action."""

    kind = forms.ChoiceField(label="Kind", choices=Charge.KINDS, initial="labor", widget=forms.RadioSelect)
    description = forms.CharField(max_length=160, required=False, help_text="As it reads on the estimate.")
    chosen_part = forms.IntegerField(required=False, widget=forms.HiddenInput)
    part_number = forms.CharField(
        label="Number in the catalog",
        max_length=40,
        required=False,
        help_text="For a part: its words and price come with it.",
    )
    quantity = FigureField(
        label="Hours or quantity", min_value=Decimal("0.01"), max_digits=9, decimal_places=2, required=False
    )
    unit_price = _money("Price or rate")
    is_flat = forms.BooleanField(label="Flat: this price for all of it", required=False)
    taxable = forms.BooleanField(label="Taxed, as the shop’s taxes say for its kind", required=False, initial=True)
    is_core = forms.BooleanField(
        label="It is a core charge", required=False, help_text="For a part: owed until the old one is here."
    )
    core_back = forms.BooleanField(
        label="The old part comes back with the work", required=False,
        help_text="The core charge is given back on the line after it.",
    )  # fmt: skip
    percent = _percent("Fee as a percentage")
    percent_of = forms.ChoiceField(label="Of", choices=[("", "labor and parts"), *[
        one for one in PERCENT_OF if one[0] != "both"]], required=False)  # fmt: skip
    cap = _money("At most")
    feet = FigureField(label="Feet", min_value=Decimal("0.01"), max_digits=6, decimal_places=2, required=False)
    days = forms.IntegerField(
        label="Days",
        min_value=1,
        max_value=3660,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("What", "", ["kind", "description", "part_number"]),
        ("Price", "", ["quantity", "unit_price", "is_flat", "taxable", "is_core", "core_back"]),
        ("Fee by percentage", "Shop supplies, for example.", ["percent", "percent_of", "cap"]),
        ("Storage by foot and day", "The price is for one foot and one day.", ["feet", "days"]),
    ]
    look: ClassVar[dict[str, str]] = {
        "description": "two-thirds", "part_number": "third", "quantity": "half", "unit_price": "half",
        "percent": "third", "percent_of": "third", "cap": "third", "feet": "half", "days": "half",
    }  # fmt: skip
    names: ClassVar[tuple[str, ...]] = FIELDS

    def __init__(self, *args: Any, shop: ShopProfile, record: PricedLine | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sign = currency_sign(shop.currency)
        self.units = dict.fromkeys(("unit_price", "cap", "discount_amount"), sign) | {
            "percent": "%", "discount_percent": "%", "feet": "ft",
        }  # fmt: skip
        rate = money_words(shop.labor_rate, shop.currency)
        self.fields[
            "unit_price"
        ].help_text = f"Empty: {rate} an hour for labor, the catalog’s price for a part. Not known yet is fine, too."
        self.part: Part | None = record.part if record is not None else None
        if record is not None:
            self.initial["seen_version"] = record.version
            for name in self.names:
                if name != "part":
                    self.initial.setdefault(name, _initial(record, name))
            self.initial.setdefault("part_number", record.part.number if record.part is not None else "")
            if record.percent_of == "both":
                self.initial["percent_of"] = ""

    def clean_chosen_part(self) -> int | None:
        """The key of a part that a button chose; one that can be none is as none."""
        key: int | None = self.cleaned_data["chosen_part"]
        return key if key is not None and 0 < key < 2**63 else None

    def clean_part_number(self) -> str:
        """A number of the catalog."""
        number = str(self.cleaned_data["part_number"]).strip()
        if not number:
            self.part = None
            return ""
        if self.part is not None and self.part.number == number:
            return number
        key = self.cleaned_data.get("chosen_part")
        chosen = Part.objects.filter(pk=key, is_active=True).first() if key is not None else None
        if chosen is not None and chosen.number == number:
            self.part = chosen
            return number
        found = list(Part.objects.filter(number__iexact=number, is_active=True)[:2])
        if len(found) != 1:
            few = "No part of the catalog has" if not found else "More than one part of the catalog has"
            raise forms.ValidationError(f"{few} this number. Leave it empty and describe the part instead.")
        self.part = found[0]
        return number

    def clean(self) -> dict[str, Any]:
        """A line says what it is for or how much of it: one on which nothing was typed is none."""
        told = super().clean() or self.cleaned_data
        if self.errors:
            return told
        figures = ("quantity", "unit_price", "percent", "cap", "feet", "days")
        typed = {name for name in figures if told[name] is not None}
        is_named = bool(told["description"].strip() or self.part)
        if not is_named and not typed:
            self.add_error("description", "Nothing is entered. Write what it is for, or the hours or the price of it.")
        elif not is_named and told["kind"] == ChargeKind.LABOR and typed == {"unit_price"} and not told["is_flat"]:
            self.add_error("quantity", "Enter the hours, or select that the price is for all of it.")
        return told

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.part if name == "part" else self.cleaned_data[name] for name in self.names}


def _initial(record: PricedLine, name: str) -> Any:
    value = getattr(record, name)
    return value.pk if name in {"option", "job_line"} and value is not None else value


class EstimateLineForm(PricedLineForm):
    """A line of an estimate."""

    job_line = LineField()
    option = forms.ModelChoiceField(
        label="On", queryset=EstimateOption.objects.none(), required=False, empty_label="The work itself"
    )
    discount_percent = _percent("Discount")
    discount_amount = _money("Or a sum off")
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("What", "", ["kind", "description", "part_number", "job_line", "option"]),
        *PricedLineForm.sections[1:2],
        ("Discount", "", ["discount_percent", "discount_amount"]),
        *PricedLineForm.sections[2:],
    ]
    look: ClassVar[dict[str, str]] = {
        **PricedLineForm.look, "job_line": "half", "option": "half", "discount_percent": "half",
        "discount_amount": "half",
    }  # fmt: skip
    names: ClassVar[tuple[str, ...]] = ON_ESTIMATES

    def __init__(self, *args: Any, estimate: Estimate, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, rows in [("job_line", estimate.job.lines.order_by("position")), ("option", estimate.options.all())]:
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
            field.queryset = rows


class TermsForm(RecordForm):
    """How long an estimate holds, its words, and what is asked beforehand."""

    valid_until = DayField(label="Valid until")
    words = WordsField(label="Words to the customer", required=False, max_length=2000)
    discount_percent = _percent("Discount on the whole")
    discount_amount = _money("Or a sum off the whole")
    deposit = _money("Deposit asked")
    contingency_percent = _percent("Contingency", help_text="Told beside the total, and no part of it.")
    look: ClassVar[dict[str, str]] = dict.fromkeys(
        ("valid_until", "discount_percent", "discount_amount", "deposit", "contingency_percent"), "half"
    )
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("", "", ["valid_until", "words", "discount_percent", "discount_amount", "deposit", "contingency_percent"])
    ]

    def __init__(self, *args: Any, estimate: Estimate, shop: ShopProfile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sign = currency_sign(shop.currency)
        self.units = {"discount_percent": "%", "contingency_percent": "%", "discount_amount": sign, "deposit": sign}
        self.initial["seen_version"] = estimate.version
        for name in self.sections[0][2]:
            self.initial[name] = getattr(estimate, name)

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in self.sections[0][2]}


class OptionForm(RecordForm):
    """An option of an estimate."""

    name = forms.CharField(max_length=80, help_text="“Rebuild”, for example.")
    alternatives = forms.CharField(
        label="One of",
        max_length=40,
        required=False,
        help_text="“Engine”, for example: of options with the same word here the customer takes one.",
    )
    look: ClassVar[dict[str, str]] = {"name": "half", "alternatives": "half"}

    def __init__(self, *args: Any, record: EstimateOption | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if record is not None:
            self.initial.update({
                "seen_version": record.version, "name": record.name, "alternatives": record.alternatives,
            })  # fmt: skip

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in ("name", "alternatives")}


class KitFilterForm(forms.Form):
    """Which kits are shown."""

    is_filter = True
    q = forms.CharField(label="Name, or a part inside by number or name", max_length=60, required=False)

    def text(self) -> str:
        """The words that are looked for; nonsense counts as nothing."""
        return self.cleaned_data["q"].replace("\0", "").strip() if self.is_valid() else ""


class KitForm(RecordForm):
    """A kit's name and note."""

    name = forms.CharField(max_length=80, help_text="“Impeller service, N6”, for example.")
    note = forms.CharField(max_length=200, required=False, help_text="For whom it fits, or what it leaves out.")
    is_sold = forms.BooleanField(label="Offered on estimates", required=False, initial=True)

    def __init__(self, *args: Any, record: Kit | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if record is None:
            del self.fields["is_sold"]
        else:
            self.initial.update({
                "seen_version": record.version, "name": record.name, "note": record.note, "is_sold": record.is_sold,
            })  # fmt: skip

    def told(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: self.cleaned_data[name] for name in ("name", "note", "is_sold") if name in self.cleaned_data}


class FillForm(forms.Form):
    """From where an estimate is filled."""

    kit = forms.ModelChoiceField(queryset=Kit.objects.filter(is_sold=True), required=False)
    job_line = forms.ModelChoiceField(queryset=JobLine.objects.all(), required=False)


class TakenForm(EntryForm):
    """What is charged of an estimate: a tick for each choice. ``answers()`` goes into ``charge_estimate``."""

    def __init__(self, *args: Any, choices: Sequence[Choice], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.names = {self._name(one): one for one in choices}
        for name, one in self.names.items():
            field = forms.BooleanField(label=one.words, required=False, initial=one.is_proposed, help_text=one.hint)
            if not one.is_offered:  # a form that is sent twice says the same twice
                field.widget = forms.HiddenInput()
            self.fields[name] = field
        work = [name for name, one in self.names.items() if one.is_offered and not one.is_option]
        options = [name for name, one in self.names.items() if one.is_offered and one.is_option]
        sections = [
            ("The work", "Each with its price before tax and before a discount on the whole.", work),
            ("Options", "Select what the customer took. Prices are before tax and a discount on the whole.", options),
        ]
        self.sections = [one for one in sections if one[2]]  # type: ignore[misc]

    @staticmethod
    def _name(one: Choice) -> str:
        return f"{'option' if one.is_option else 'line'}-{one.key}"

    def answers(self) -> dict[str, Any]:
        """What was selected, by key."""
        said = super().answers()
        kept = {name: value for name, value in said.items() if name not in self.names}
        for argument, is_option in (("lines", False), ("options", True)):
            kept[argument] = [
                str(one.key)
                for name, one in self.names.items()
                if one.is_option is is_option and self.cleaned_data.get(name)
            ]
        return kept
