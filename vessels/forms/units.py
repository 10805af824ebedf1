"""Forms of control units."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms

from vessels.forms.fields import EntryForm, RecordForm, WhenField, whole_field
from vessels.identity import IDENTITY, Identity
from vessels.models import ControlUnit, Engine, Vessel


def _identity_field(label: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}),
    )


class UnitForm(RecordForm):
    """A control unit's place and name, for changing. ``changes()`` goes into ``change_unit``."""

    name = forms.CharField(label="Name", max_length=60, initial="Engine control unit")
    code_system = forms.ChoiceField(label="Codes it gives", choices=ControlUnit.CODES, initial="spn")
    address = whole_field("J1939 source address", most=253, hint="0 to 253, where it is on a J1939 bus.")
    look: ClassVar[dict[str, str]] = {
        "name": "half", "engine": "half", "code_system": "half", "address": "half", "serial": "half",
        "hardware": "half", "software": "half", "calibration": "half",
    }  # fmt: skip


class NewUnitForm(UnitForm):
    """A control unit that is added, with its first identification. ``answers()`` goes into ``add_unit``."""

    engine = forms.ModelChoiceField(
        label="On engine", queryset=Engine.objects.none(), required=False, empty_label="On the boat itself"
    )
    serial = _identity_field("Serial number")
    hardware = _identity_field("Hardware")
    software = _identity_field("Software")
    calibration = _identity_field("Calibration")
    sections: ClassVar[list[tuple[str, str, list[str]]]] = [
        ("The unit", "", ["name", "engine", "code_system", "address"]),
        ("How it identifies itself", "As read out. You can add it later.", list(IDENTITY)),
    ]

    def __init__(self, *args: Any, vessel: Vessel, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["engine"]
        assert isinstance(field, forms.ModelChoiceField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = vessel.engines.filter(removed_on=None)


class IdentifyForm(EntryForm):
    """What a control unit says it is. ``answers()`` goes into ``identify_unit``."""

    serial = _identity_field("Serial number")
    hardware = _identity_field("Hardware")
    software = _identity_field("Software")
    calibration = _identity_field("Calibration")
    happened_at = WhenField(label="Read out")
    text = forms.CharField(label="Note", required=False, max_length=5000, widget=forms.Textarea(attrs={"rows": 2}))
    asked_sometimes: ClassVar[frozenset[str]] = frozenset(IDENTITY)
    look: ClassVar[dict[str, str]] = {**dict.fromkeys(IDENTITY, "half"), "happened_at": "half"}

    def __init__(self, *args: Any, known: Identity, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in IDENTITY:
            self.fields[name].help_text = known.hint(name)

    def clean(self) -> dict[str, Any]:
        """At least one identification."""
        data = super().clean() or self.cleaned_data
        if not self.errors and not any(data.get(name) for name in IDENTITY):
            self.add_error("serial", "Enter at least one of serial, hardware, software and calibration.")
        return data
