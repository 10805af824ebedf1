"""Forms of vessels and of their owners."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils import timezone

from commands.envelope import outcome_of
from commands.refusals import Refused
from engineering.hin import HinCheck, check_hin
from staff.queries import shop_profile
from vessels.actions.hulls import accepted_hin
from vessels.forms.fields import EntryForm, RecordForm, WhenField, year_field
from vessels.models import Customer, Vessel
from web.fields import FigureField


class VesselForm(RecordForm):
    """A boat, added or changed. ``answers()`` goes into ``add_vessel``, ``changes()`` into ``change_vessel``.

    ``twin`` is the boat that has this HIN already, for the page to link. ``hin_check`` is what the HIN says.
    ``made_before`` is the boat that an earlier sending of the same form made: it is no twin of itself.
    """

    name = forms.CharField(label="Name of the boat", max_length=80, required=False)
    kind = forms.ChoiceField(label="Kind", choices=Vessel.KINDS, initial="outboard")
    hin = forms.CharField(
        label="HIN",
        max_length=40,
        required=False,
        help_text="12 characters, on the starboard side of the transom. A country before it (US-) may stay.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )
    hin_remark = forms.CharField(
        label="Remark on the HIN",
        max_length=160,
        required=False,
        help_text="None, or odd? Say why: “built 1968”, “as found on the hull”.",
    )
    registration = forms.CharField(label="Registration number", max_length=20, required=False)
    berth = forms.CharField(
        label="Usual berth", max_length=40, required=False, help_text="Slip, rack, trailer or yard spot."
    )
    maker = forms.CharField(label="Maker", max_length=60, required=False)
    model = forms.CharField(label="Model", max_length=60, required=False)
    model_year = year_field("Model year")
    length = FigureField(label="Length", required=False, min_value=0, max_digits=6, decimal_places=2)
    length_unit = forms.ChoiceField(
        label="Unit of length",
        choices=[("ft", "ft"), ("m", "m")],
        required=False,
        widget=forms.Select(),
    )
    color = forms.CharField(label="Color", max_length=40, required=False)
    notes = forms.CharField(
        label="Notes",
        required=False,
        max_length=5000,
        help_text="Where the batteries are, which key, what to watch for.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    asked_sometimes: ClassVar[frozenset[str]] = frozenset({"name", "hin_remark"})
    units: ClassVar[dict[str, str]] = {"length": "length_unit"}
    look: ClassVar[dict[str, str]] = {
        "name": "half", "kind": "half", "hin": "half code-field", "hin_remark": "half", "registration": "half",
        "berth": "half", "maker": "third", "model": "third", "model_year": "third", "length": "half", "color": "half",
    }  # fmt: skip
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("The boat", "", ["name", "kind", "berth", "registration"]),
        ("Hull identification", "", ["hin", "hin_remark"]),
        ("Make", "", ["maker", "model", "model_year", "length", "color"]),
        ("Notes", "", ["notes"]),
    ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("length_unit", "ft" if shop_profile().units == "us" else "m")
        self.twin: Vessel | None = None
        self.made_before: Vessel | None = None
        self.hin_check: HinCheck | None = None

    def clean(self) -> dict[str, Any]:
        """The HIN is right, or a remark says why not; and no other boat has it."""
        data = super().clean() or self.cleaned_data
        data["length_unit"] = data.get("length_unit") or self.initial["length_unit"]
        hin = data.get("hin", "")
        if not hin.strip():
            self._say_what_is_known_by(data)
            return data
        self.hin_check = check_hin(hin, today=timezone.localdate())
        try:
            data["hin"] = accepted_hin(hin, data.get("hin_remark", ""))
        except Refused as refusal:
            for name, sentence in refusal.fields.items():
                self.add_error(name, sentence)
            return data
        own = [one.pk for one in (self.record, self.made_before or _made_before(data)) if one is not None]
        self.twin = Vessel.objects.filter(hin=data["hin"]).exclude(pk__in=own).select_related("owner").first()
        if self.twin is not None:
            self.add_error(
                "hin", f"A boat with this HIN is already on record: {self.twin}, owned by {self.twin.owner}."
            )
        return data

    def _say_what_is_known_by(self, data: dict[str, Any]) -> None:
        if self.errors or any(data.get(name) for name in ("name", "registration", "maker", "model")):
            return
        self.add_error("name", "Enter at least one of name, HIN, registration, maker or model.")


def _made_before(data: dict[str, Any]) -> Vessel | None:
    """The boat that an earlier sending of this form added."""
    made = outcome_of(data.get("entry_id"), "add_vessel")
    return made if isinstance(made, Vessel) else None


class OwnerForm(EntryForm):
    """Who takes the boat over, and when."""

    new_owner = forms.ModelChoiceField(label="New owner", queryset=Customer.objects.none(), widget=forms.RadioSelect)
    happened_at = WhenField(
        label="Since", help_text="Leave empty to use today. Enter the day of the sale if you know it."
    )
    text = forms.CharField(
        label="Note", required=False, max_length=5000, help_text="How you know, or what was agreed.",
        widget=forms.Textarea(attrs={"rows": 3}),
    )  # fmt: skip
    look: ClassVar[dict[str, str]] = {"new_owner": "as-list", "happened_at": "half"}

    def __init__(self, *args: Any, offered: list[Customer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["new_owner"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = Customer.objects.filter(pk__in=[customer.pk for customer in offered])
        field.empty_label = None
        field.error_messages["required"] = "Choose who owns the boat now."
