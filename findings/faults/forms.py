"""Forms for scans, clears and work done."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from django import forms
from django.utils import timezone

from engineering.codes import CodeStatus, CodeSystem
from findings.faults.models import Scan
from findings.instruments.forms import MadeWithForm
from vessels.forms.meters import ask_hours, label_if_of_several, meter_label
from vessels.models import ControlUnit, Engine
from vessels.shown_hours import last_hours
from web.fields import MomentField

STATUS_CHOICES = [(status.value, status.value) for status in CodeStatus]
SYSTEM_CHOICES = [
    ("", "Detect it"),
    (CodeSystem.SPN.value, "SPN/FMI"),
    (CodeSystem.J1587.value, "MID/PID/FMI"),
    (CodeSystem.OBD.value, "P/C/B/U"),
    (CodeSystem.FLASH.value, "Flash"),
    (CodeSystem.MAKER.value, "Maker's own"),
]
EXTENT_CHOICES = [("all", "Everything the unit listed"), ("some", "Only some of it")]
OLDEST = timedelta(days=365 * 60)


class FindingForm(forms.Form):
    """What all findings have in common: the entry's id, the hours, when it was, a remark."""

    entry_id = forms.UUIDField(required=False, initial=uuid4, widget=forms.HiddenInput(attrs={"data-entry-id": ""}))
    hours = forms.CharField(required=False, max_length=20, label="Hour meter shows")
    happened_at = MomentField(
        required=False,
        label="Date and time",
        help_text="Leave empty to use the current time.",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )
    text = forms.CharField(required=False, max_length=5000, label="Remark", widget=forms.Textarea(attrs={"rows": 2}))

    units = {"hours": "h"}

    def ask_hours(self, engine: Engine | None) -> None:
        """Ask for the hours of an engine, with the last ones known beside the empty field."""
        ask_hours(self, "hours", last_hours(engine), label=label_if_of_several(engine))

    def clean_happened_at(self) -> datetime | None:
        """A time that has been, and not before there were such units."""
        moment: datetime | None = self.cleaned_data["happened_at"]
        if moment is None:
            return None
        if moment > timezone.now() + timedelta(minutes=10):
            raise forms.ValidationError("This is in the future. Check date and time.")
        if moment < timezone.now() - OLDEST:
            raise forms.ValidationError("This is too long ago. Check the year.")
        return moment


class UnitForm(FindingForm):
    """A finding of one control unit of the boat, which the page chooses by buttons of its own."""

    unit = forms.TypedChoiceField(coerce=int, widget=forms.HiddenInput, label="Control unit")

    def __init__(self, *args: Any, units_offered: Sequence[ControlUnit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units_by_key = {unit.pk: unit for unit in units_offered}
        field = self.fields["unit"]
        assert isinstance(field, forms.TypedChoiceField)  # noqa: S101  (declared above)
        field.choices = [(unit.pk, str(unit)) for unit in units_offered]


class ScanForm(MadeWithForm, UnitForm):
    """A scan by touch. The codes come in ``listed`` and in the field for the next one."""

    phase = forms.ChoiceField(choices=Scan.PHASES, widget=forms.RadioSelect, label="When in the job")
    extent = forms.ChoiceField(
        choices=EXTENT_CHOICES,
        widget=forms.RadioSelect,
        label="What you log",
        initial="all",
        help_text="With everything listed, a code that is not in your list counts as gone.",
    )
    listed = forms.CharField(required=False, widget=forms.Textarea)
    corrects = forms.UUIDField(required=False, widget=forms.HiddenInput)
    code = forms.CharField(required=False, max_length=200, label="Code")
    status = forms.ChoiceField(choices=STATUS_CHOICES, widget=forms.RadioSelect, label="Status", initial="active")
    count = forms.CharField(required=False, max_length=9, label="Count")
    system = forms.ChoiceField(choices=SYSTEM_CHOICES, required=False, label="Kind of code")
    instrument = forms.CharField(required=False, max_length=80, label="Read with")
    really_none = forms.BooleanField(required=False, label="Yes: the unit lists no code now", widget=forms.HiddenInput)
    really_zero = forms.BooleanField(
        required=False, label="Yes: the unit gives it as active with a count of 0", widget=forms.HiddenInput
    )

    look = {
        "code": "code-field", "hours": "third", "registered": "half", "instrument": "half", "happened_at": "half",
    }  # fmt: skip


def hours_field(engine: Engine) -> str:
    """The field for the hours of an engine that the chosen unit is not on."""
    return f"hours_of_{engine.pk}"


def more_engines(units: Sequence[ControlUnit], chosen: ControlUnit) -> list[Engine]:
    """The engines that codes of one text may go to beside that of the chosen unit."""
    engines = {unit.engine.pk: unit.engine for unit in units if unit.engine is not None}
    return [engine for pk, engine in engines.items() if pk != chosen.engine_id]


class PasteForm(MadeWithForm, UnitForm):
    """An instrument's text, and what is the same for all of it."""

    pasted = forms.CharField(
        max_length=400_000,
        strip=False,
        label="The instrument's text",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "autocomplete": "off", "autocapitalize": "off"}),
        error_messages={"required": "Paste the instrument's text first."},
        help_text="As it comes: codes in words, CAN frames, replies in hex. All of it is kept with the scan.",
    )
    pasted.keeps_every_sign = True  # type: ignore[attr-defined]  # an instrument's own words, which no paper prints
    read_digest = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)
    status = forms.ChoiceField(
        choices=STATUS_CHOICES, required=False, widget=forms.RadioSelect, label="Codes without a status are"
    )
    more_codes = forms.CharField(
        required=False,
        max_length=2000,
        label="Codes that were not read",
        help_text="Write them as the instrument shows them, such as: 110-0 active, 94-1 stored.",
        widget=forms.Textarea(attrs={"rows": 2, "spellcheck": "false", "autocomplete": "off"}),
    )
    phase = forms.ChoiceField(choices=Scan.PHASES, widget=forms.RadioSelect, label="When in the job")
    extent = forms.ChoiceField(choices=EXTENT_CHOICES, required=False, widget=forms.RadioSelect, label="This text is")
    instrument = forms.CharField(required=False, max_length=80, label="Read with")

    look = {
        "pasted": "raw", "more_codes": "raw", "hours": "half", "registered": "half", "instrument": "half",
        "happened_at": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, chosen: ControlUnit, units_offered: Sequence[ControlUnit], **kwargs: Any) -> None:
        super().__init__(*args, units_offered=units_offered, **kwargs)
        self.chosen = chosen
        self.more_engines = more_engines(units_offered, chosen)
        if not self.more_engines:
            return
        if chosen.engine is not None:
            self.fields["hours"].label = meter_label(chosen.engine)
        for engine in self.more_engines:
            self.fields[hours_field(engine)] = forms.CharField(
                required=False,
                max_length=20,
                label=meter_label(engine),
                help_text="Used only if codes above belong to a unit of this engine.",
            )
        names = [hours_field(engine) for engine in self.more_engines]
        self.units = {**self.units, **dict.fromkeys(names, "h")}
        self.look = {**self.look, **dict.fromkeys(names, "half")}

    def ask_for_hours(self, said: str) -> None:
        """Ask for the hours of each engine; ``said`` is what the text itself gives for the chosen unit's."""
        ask_hours(self, "hours", f"{said} {last_hours(self.chosen.engine)}".strip())
        for engine in self.more_engines:
            hint = f"Used only if codes above belong to a unit of this engine. {last_hours(engine)}"
            ask_hours(self, hours_field(engine), hint)

    @property
    def more_hours(self) -> list[forms.BoundField]:
        """The hour meters of the engines that the chosen unit is not on."""
        return [self[hours_field(engine)] for engine in self.more_engines]

    def clean_pasted(self) -> str:
        """The text as it came; it has to hold something."""
        pasted: str = self.cleaned_data["pasted"]
        if not pasted.strip():
            raise forms.ValidationError("Paste the instrument's text first.")
        return pasted

    def ask_what_the_text_cannot_say(self) -> None:
        """Once the text was read: whether it is everything has to be answered."""
        extent = self.fields["extent"]
        extent.required = True
        extent.error_messages["required"] = "Say whether this is all that the unit listed."


class ClearForm(UnitForm):
    """Codes of a unit were cleared."""

    extent = forms.ChoiceField(
        choices=[("all", "All codes of the unit"), ("some", "Only those selected below")],
        widget=forms.RadioSelect,
        label="What was cleared",
        initial="all",
    )
    faults = forms.TypedMultipleChoiceField(
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple, label="Codes"
    )
    look = {"hours": "half", "happened_at": "half"}
    asked_sometimes = frozenset({"faults"})

    def __init__(self, *args: Any, faults_offered: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["faults"]
        assert isinstance(field, forms.TypedMultipleChoiceField)  # noqa: S101  (declared above)
        field.choices = list(faults_offered)

    def clean(self) -> dict[str, Any]:
        """Only some needs to say which, and all is not said by ticking some."""
        data: dict[str, Any] = super().clean() or {}
        if data.get("extent") == "all" and data.get("faults"):
            self.add_error(
                "extent",
                "Codes are selected, but all codes of the unit are chosen. Choose the selected ones, or deselect them.",
            )
        if data.get("extent") == "some" and not data.get("faults"):
            self.add_error("faults", "Select the codes that were cleared, or choose all codes of the unit.")
        return data


class WorkForm(FindingForm):
    """Work done: about faults, or about none."""

    faults = forms.TypedMultipleChoiceField(
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple, label="About"
    )
    text = forms.CharField(
        label="What was done",
        max_length=5000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Say what was found, replaced, repaired or adjusted."},
    )
    line = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="For this line of the job")
    engine = forms.TypedChoiceField(
        coerce=int,
        required=False,
        empty_value=None,
        label="On which engine",
        help_text="If no fault above tells it.",
    )

    look = {"hours": "half", "happened_at": "half", "line": "half", "engine": "half"}

    def __init__(
        self,
        *args: Any,
        faults_offered: Sequence[tuple[int, str]],
        lines: Sequence[tuple[int, str]],
        engines: Sequence[Engine],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        known = [f"{one.get_position_display()}: {last_hours(one)}" for one in engines]
        ask_hours(self, "hours", last_hours(engines[0]) if len(engines) == 1 else " ".join(known))
        which = self.fields["engine"]
        assert isinstance(which, forms.TypedChoiceField)  # noqa: S101  (declared above)
        which.choices = [("", "the boat, or as the faults say"), *((one.pk, str(one)) for one in engines)]
        field, line = self.fields["faults"], self.fields["line"]
        assert isinstance(field, forms.TypedMultipleChoiceField)  # noqa: S101  (declared above)
        assert isinstance(line, forms.TypedChoiceField)  # noqa: S101  (declared above)
        field.choices = list(faults_offered)
        line.choices = [("", "no line in particular"), *lines]
