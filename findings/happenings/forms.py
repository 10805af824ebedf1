"""The forms. Each says what its action is called with."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.utils import timezone

from commands.refusals import Refused
from engineering.canonical import plain_decimal
from findings.faults.forms import FindingForm
from findings.happenings.models import FunctionTest, Severity, Verdict
from vessels.forms.meters import ask_hours
from vessels.models import Engine, LogEntry
from vessels.shown_hours import hours_text, last_hours, shown_hours, true_hours
from web.fields import FigureField

BOAT = "boat"
MINUTE = "%Y-%m-%dT%H:%M"


class HappeningForm(FindingForm):
    """What all of them have in common: engine or boat, hours, when. ``wrong`` is the entry that is corrected."""

    engine = forms.ChoiceField(
        label="On which engine",
        widget=forms.RadioSelect,
        error_messages={"required": "Choose the engine, or the boat itself."},
    )
    text = forms.CharField(max_length=5000, widget=forms.Textarea(attrs={"rows": 3}))

    look: ClassVar[dict[str, str]] = {"hours": "half", "happened_at": "half"}

    def __init__(self, *args: Any, engines: Sequence[Engine], wrong: LogEntry | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by_key, self.wrong = {str(one.pk): one for one in engines}, wrong
        which = self.fields["engine"]
        assert isinstance(which, forms.ChoiceField)  # noqa: S101  (declared above)
        which.choices = [*((key, str(one)) for key, one in self.by_key.items()), (BOAT, "the boat itself")]
        if not engines:
            which.initial = BOAT
        known = [f"{one.get_position_display()}: {last_hours(one)}" for one in engines]
        hint = last_hours(engines[0]) if len(engines) == 1 else " ".join(known)
        ask_hours(self, "hours", hint or "The boat has no engine on record: leave the hours empty.")
        if wrong is not None:
            self.fields["happened_at"].help_text = ""

    @classmethod
    def as_it_was(cls, entry: LogEntry) -> dict[str, Any]:
        """What stood in the entry that is corrected."""
        return {
            "engine": str(entry.engine_id) if entry.engine_id else BOAT,
            "hours": hours_text(entry.engine, entry.engine_hours, entry.happened_at),
            "happened_at": timezone.localtime(entry.happened_at).strftime(MINUTE),
            "text": entry.text,
        }

    def answers(self) -> dict[str, Any]:
        """What the action is called with.

        Raises:
            Refused: the hours are none, are of no engine, or cannot be told from the meter.
        """
        data = dict(self.cleaned_data)
        engine = self.by_key.get(data["engine"])
        moment = self._moment(data["happened_at"])
        shown = shown_hours(data.pop("hours"))
        if shown is not None and engine is None:
            raise Refused("Hours of which engine?", fields={"hours": "Choose the engine, or leave the hours empty."})
        return {**data, "engine": engine, "engine_hours": self._hours(engine, shown, moment), "happened_at": moment}

    def _moment(self, typed: datetime | None) -> datetime | None:
        """The very moment of what is corrected, which the field shows to the minute, unless another was written."""
        if self.wrong is None:
            return typed
        before = self.wrong.happened_at
        return before if typed is None or typed == before.replace(second=0, microsecond=0) else typed

    def _hours(self, engine: Engine | None, shown: Any, moment: datetime | None) -> Any:
        """The true hours: those of what is corrected where what the meter showed was left as it was."""
        wrong = self.wrong
        if wrong is None or shown is None or engine is None or engine.pk != wrong.engine_id:
            return true_hours(engine, shown, moment)
        as_it_was = plain_decimal(shown) == hours_text(wrong.engine, wrong.engine_hours, wrong.happened_at)
        return wrong.engine_hours if as_it_was else true_hours(engine, shown, moment)


class VisualForm(HappeningForm):
    """A visual finding."""

    place = forms.CharField(
        max_length=160,
        label="Where",
        help_text="The part, and where it is: raw-water hose at the pump.",
        error_messages={"required": "Say where it is on the boat or the engine."},
    )
    severity = forms.ChoiceField(
        choices=Severity.choices,
        widget=forms.RadioSelect,
        label="How serious",
        error_messages={"required": "Choose how serious it is."},
    )
    recommendation = forms.CharField(
        max_length=400,
        required=False,
        label="What should be done",
        help_text="It stands in the report’s recommendations; a repair is also offered to the estimate.",
    )
    field_order = ("engine", "place", "text", "severity", "recommendation", "hours", "happened_at")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        text = self.fields["text"]
        text.label, text.error_messages["required"] = "What you saw", "Say what you saw."


class FunctionTestForm(HappeningForm):
    """A function test."""

    operated = forms.CharField(
        max_length=160,
        label="What was driven or operated",
        help_text="And by what: bilge blower, from the helm switch.",
        error_messages={"required": "Say what was driven or operated."},
    )
    lasted = FigureField(required=False, max_digits=7, decimal_places=1, label="How long")
    lasted_unit = forms.ChoiceField(choices=FunctionTest.UNITS, required=False, initial="s", label="Unit")
    verdict = forms.ChoiceField(
        choices=Verdict.choices,
        widget=forms.RadioSelect,
        label="What the test says",
        error_messages={"required": "Choose what the test says."},
    )
    field_order = ("engine", "operated", "lasted", "lasted_unit", "text", "verdict", "hours", "happened_at")
    look: ClassVar[dict[str, str]] = {**HappeningForm.look, "lasted": "half"}
    units = {**HappeningForm.units, "lasted": "lasted_unit"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        text = self.fields["text"]
        text.label, text.error_messages["required"] = "What happened", "Say what happened."
