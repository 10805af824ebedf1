"""Forms of the register, and the choice of an instrument where something is logged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar
from uuid import uuid4

from django import forms
from django.utils import timezone

from findings.instruments.models import Instrument
from findings.instruments.queries import in_use, state_on
from web.typed import whole_number

REGISTERED = "registered"


def calibration_day(label: str, **kwargs: Any) -> forms.DateField:
    """A day, picked or typed."""
    return forms.DateField(label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs)


class MadeWithForm(forms.Form):
    """Chooses one of the shop's instruments, or none: what is typed beside it stays as it was typed.

    ``registered`` is not there while the register is empty. In ``cleaned_data`` it is the instrument, or None.
    """

    registered = forms.TypedChoiceField(required=False, empty_value=None, label="Instrument of the shop")
    instrument = forms.CharField(max_length=80, required=False, label="Measured with")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = {one.pk: one for one in in_use(also=self._named())}
        field = self.fields[REGISTERED]
        assert isinstance(field, forms.TypedChoiceField)  # noqa: S101  (declared above)
        if not offered:
            del self.fields[REGISTERED]
            return
        today = timezone.localdate()
        field.coerce = lambda key: offered.get(int(key))
        field.choices = [
            ("", "not of this list"),
            *((one.pk, f"{one} · {state_on(one, today)}") for one in offered.values()),
        ]
        self.fields["instrument"].label = "Another one, or more about it"

    def _named(self) -> list[int]:
        """The instrument that was chosen before, which may be out of service by now."""
        sent = self.data.get(self.add_prefix(REGISTERED), "") if self.is_bound else self.initial.get(REGISTERED, "")
        key = whole_number(str(sent or ""))
        return [] if key is None else [key]


def instrument_of(answers: Mapping[str, Any]) -> dict[str, Any]:
    """The arguments for an action that logs: what was chosen, and what was typed."""
    return {"registered": answers.get(REGISTERED), "instrument": answers["instrument"]}


class _ActForm(forms.Form):
    """A form of the register with the id of its act."""

    entry_id = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))


class CalibrationForm(_ActForm):
    """One more calibration."""

    calibrated_on = calibration_day("Calibrated on", help_text="As the certificate says.")
    due_on = calibration_day("Due on", required=False, help_text="The last day that it holds for.")
    look: ClassVar[dict[str, str]] = {"calibrated_on": "half", "due_on": "half"}


class InstrumentForm(_ActForm):
    """One instrument. A new one is asked for its last calibration, a known one whether it is still in service."""

    seen_version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    kind = forms.CharField(label="What it is", max_length=60, help_text="Such as: pressure gauge, multimeter, reader.")
    make = forms.CharField(label="Maker and model", max_length=80, required=False)
    serial = forms.CharField(label="Serial number", max_length=60, required=False)
    calibrated_on = calibration_day("Calibrated on", required=False, help_text="As the certificate says.")
    due_on = calibration_day("Due on", required=False, help_text="The last day that it holds for.")
    out_of_service_on = calibration_day(
        "Out of service since",
        required=False,
        help_text="Leave empty while it is in use. Findings made with it keep it.",
    )
    look: ClassVar[dict[str, str]] = {
        "kind": "half", "make": "half", "serial": "half code-field", "calibrated_on": "half", "due_on": "half",
        "out_of_service_on": "half",
    }  # fmt: skip
    ONLY_NEW = ("calibrated_on", "due_on")
    ONLY_KNOWN = ("out_of_service_on", "seen_version")

    def __init__(self, *args: Any, instrument: Instrument | None, **kwargs: Any) -> None:
        if instrument is not None:
            names = ("kind", "make", "serial", "out_of_service_on")
            kwargs["initial"] = {name: getattr(instrument, name) for name in names} | {
                "seen_version": instrument.version
            }
        super().__init__(*args, **kwargs)
        for name in self.ONLY_NEW if instrument is not None else self.ONLY_KNOWN:
            del self.fields[name]

    @property
    def answers(self) -> dict[str, Any]:
        """What the action gets."""
        return {name: value for name, value in self.cleaned_data.items() if name not in {"entry_id", "seen_version"}}
