"""Forms of customers: who they are, and their phones and mails."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms
from django.forms.formsets import BaseFormSet, formset_factory

from commands.envelope import outcome_of
from commands.refusals import Refused
from vessels.models import Customer
from vessels.phones import dialed, shop_region
from vessels.queries import possible_duplicates
from web.texts import is_sound

SPARE_ROWS = 2


class _OneTwinForm(forms.Form):
    """Notices a customer who may be here already. ``twins`` holds them for the page to show and link."""

    not_a_twin = forms.BooleanField(label="Add anyway: this is somebody else", required=False, widget=forms.HiddenInput)
    twins: Sequence[Customer] = ()
    made_before: Customer | None = None
    """The customer that an earlier sending of the same form made: no twin of itself."""

    def find_twins(self, numbers: Sequence[str]) -> None:
        """Look for the same name or phone; without a tick that it is somebody else, that is an error."""
        name = self.cleaned_data.get("name", "")
        if not name:
            return
        own = self.made_before or outcome_of(self.cleaned_data.get("entry_id"), "add_customer")
        self.twins = [one for one in possible_duplicates(name, list(numbers)) if one != own]
        if self.twins:
            self.fields["not_a_twin"].widget = forms.CheckboxInput()
        if self.twins and not self.cleaned_data.get("not_a_twin"):
            names = ", ".join(twin.name for twin in self.twins)
            self.add_error(
                "not_a_twin",
                f"On record with this name or phone: {names}. Use that one, or select “Add anyway” below.",
            )


class CustomerForm(forms.Form):
    """Who a customer is. ``changes()`` goes into ``change_customer``."""

    kind = forms.ChoiceField(
        label="Person or company", choices=Customer.KINDS, initial="person", widget=forms.RadioSelect
    )
    name = forms.CharField(label="Name", max_length=120, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    contact = forms.CharField(
        label="Contact person", max_length=120, required=False, help_text="For a company: who to ask for."
    )
    address = forms.CharField(
        label="Address", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3})
    )
    notes = forms.CharField(
        label="Notes",
        required=False,
        max_length=5000,
        help_text="Seen by everyone in the shop, never printed on a report.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    seen_version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    look: ClassVar[dict[str, str]] = {"name": "half", "contact": "half", "address": "half", "notes": "half"}

    def __init__(self, *args: Any, record: Customer | None = None, **kwargs: Any) -> None:
        self.record = record
        super().__init__(*args, **kwargs)
        if record is not None:
            for name in ("kind", "name", "contact", "address", "notes"):
                self.initial.setdefault(name, getattr(record, name))
            self.initial["seen_version"] = record.version

    def changes(self) -> dict[str, Any]:
        """The customer's own columns."""
        return {name: self.cleaned_data[name] for name in ("kind", "name", "contact", "address", "notes")}

    def answers(self) -> dict[str, Any]:
        """What ``add_customer`` is called with."""
        return self.changes()


class NewCustomerForm(_OneTwinForm, CustomerForm):
    """A customer who is added, with duplicates noticed. The page adds the formsets of phones and mails.

    Call ``find_twins`` with the numbers of the formset after both are valid.
    """

    entry_id = forms.UUIDField(
        required=False, initial=uuid.uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""})
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("entry_id", uuid.uuid4())

    def answers(self) -> dict[str, Any]:
        """What ``add_customer`` is called with."""
        return {**self.changes(), "entry_id": self.cleaned_data["entry_id"]}


class IntakeCustomerForm(_OneTwinForm, CustomerForm):
    """A customer added at the counter, in one form: one phone, one mail. ``answers()`` goes into ``add_customer``."""

    phone = forms.CharField(
        label="Phone",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off", "inputmode": "tel"}),
    )
    email = forms.EmailField(label="Email", required=False, widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    field_order = ["kind", "name", "contact", "phone", "email", "address", "notes", "not_a_twin"]
    look: ClassVar[dict[str, str]] = {**CustomerForm.look, "phone": "half", "email": "half"}

    def clean(self) -> dict[str, Any]:
        """The phone can be dialed, and nobody here has it already."""
        data = super().clean() or self.cleaned_data
        numbers = []
        if data.get("phone"):
            try:
                numbers = [dialed(data["phone"], region=shop_region())]
            except Refused as refusal:
                self.add_error("phone", refusal.sentence)
        self.find_twins(numbers)
        return data

    def answers(self) -> dict[str, Any]:
        """What ``add_customer`` is called with."""
        phone, email = self.cleaned_data["phone"], self.cleaned_data["email"]
        return {**self.changes(), "phones": [("", phone)] if phone else [], "emails": [("", email)] if email else []}


class PhoneForm(forms.Form):
    """One phone number; an empty one is left out, an emptied one is taken away."""

    number = forms.CharField(
        label="Number",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off", "inputmode": "tel"}),
    )
    label = forms.CharField(label="What it is", max_length=20, required=False)
    look: ClassVar[dict[str, str]] = {"number": "two-thirds", "label": "third"}
    dialed = ""

    def clean(self) -> dict[str, Any]:
        """A number that can be dialed."""
        data = super().clean() or self.cleaned_data
        if data.get("label") and not data.get("number"):
            self.add_error("number", "Enter the number as well, or leave both empty.")
        if data.get("number"):
            try:
                self.dialed = dialed(data["number"], region=shop_region())
            except Refused as refusal:
                self.add_error("number", refusal.sentence)
        return data


class EmailForm(forms.Form):
    """One mail address; an empty one is left out, an emptied one is taken away."""

    address = forms.EmailField(label="Address", required=False, widget=forms.EmailInput(attrs={"autocomplete": "off"}))
    label = forms.CharField(label="What it is", max_length=20, required=False)
    look: ClassVar[dict[str, str]] = {"address": "two-thirds", "label": "third"}

    def clean(self) -> dict[str, Any]:
        """A label needs its address."""
        data = super().clean() or self.cleaned_data
        if data.get("label") and not data.get("address") and "address" not in self.errors:
            self.add_error("address", "Enter the address as well, or leave both empty.")
        return data


_Phones = formset_factory(PhoneForm, extra=SPARE_ROWS, max_num=12, absolute_max=40)
_Emails = formset_factory(EmailForm, extra=SPARE_ROWS, max_num=12, absolute_max=40)


class ContactForms:
    """The formsets of a customer's phones and mails. There are always some empty rows, so no script is needed."""

    def __init__(self, data: Mapping[str, Any] | None = None, *, customer: Customer | None = None) -> None:
        phones = list(customer.phones.all()) if customer else []
        emails = list(customer.emails.all()) if customer else []
        self.phones: BaseFormSet[PhoneForm] = _Phones(
            data, prefix="phones", initial=[{"label": phone.label, "number": phone.number} for phone in phones]
        )
        self.emails: BaseFormSet[EmailForm] = _Emails(
            data, prefix="emails", initial=[{"label": email.label, "address": email.address} for email in emails]
        )

    def is_valid(self) -> bool:
        """Whether every row is right; both are checked, so that every problem shows at once."""
        rows = [is_sound(form) for form in (*self.phones, *self.emails)]
        return all([self.phones.is_valid(), self.emails.is_valid(), *rows])

    def numbers(self) -> list[str]:
        """The numbers as dialed."""
        return [form.dialed for form in self.phones if form.dialed]

    def answers(self) -> dict[str, list[tuple[str, str]]]:
        """``phones`` and ``emails`` as the actions take them."""
        return {
            "phones": [
                (form.cleaned_data.get("label", ""), form.cleaned_data["number"])
                for form in self.phones
                if form.cleaned_data.get("number")
            ],
            "emails": [
                (form.cleaned_data.get("label", ""), form.cleaned_data["address"])
                for form in self.emails
                if form.cleaned_data.get("address")
            ],
        }
