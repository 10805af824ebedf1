"""The form of a fitted part, new or corrected."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from vessels.forms.fields import WhenField
from vessels.forms.meters import ask_hours, label_if_of_several
from vessels.models import Engine, LogEntry
from vessels.queries.hours import hours_on_record
from vessels.shown_hours import LEAVE_OUT, hours_text, shown_hours, true_hours
from workorders.jobparts.forms.naming import NamedPartForm
from workorders.jobparts.models import CONDITIONS, FATES

THE_BOAT = "boat"
WHICH_ENGINE = "Say what it was fitted on. Nothing is logged yet."


class FitForm(NamedPartForm):
    """A part that was fitted. ``answers()`` goes into ``fit_part``."""

    condition = forms.ChoiceField(choices=CONDITIONS, widget=forms.RadioSelect, label="Condition")
    serial = forms.CharField(label="Serial number", max_length=60, required=False)
    engine = forms.ChoiceField(label="Fitted on", widget=forms.RadioSelect)
    hours = forms.CharField(required=False, max_length=20, label="Hour meter shows")
    old_serial = forms.CharField(label="Serial number of the old part", max_length=60, required=False)
    old_fate = forms.ChoiceField(
        label="The old part is", choices=[("", "not said"), *FATES], required=False, widget=forms.RadioSelect
    )
    happened_at = WhenField(label="Fitted at")
    text = forms.CharField(required=False, max_length=5000, label="Remark", widget=forms.Textarea(attrs={"rows": 2}))

    units: ClassVar[dict[str, str]] = {"hours": "h"}
    look: ClassVar[dict[str, str]] = {
        "number": "half", "maker": "half", "quantity": "third", "serial": "two-thirds", "line": "half",
        "hours": "half", "old_serial": "half", "happened_at": "half",
    }  # fmt: skip

    def __init__(self, *args: Any, engines: Sequence[Engine], wrong: LogEntry | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.engines, self.wrong = {str(one.pk): one for one in engines}, wrong
        self.fields["condition"].error_messages["required"] = "Say whether it is new, used, rebuilt or reconditioned."
        which = self.fields["engine"]
        assert isinstance(which, forms.ChoiceField)  # noqa: S101  (declared above)
        which.choices = [*((key, str(one)) for key, one in self.engines.items()), (THE_BOAT, "The boat itself")]
        which.error_messages["required"] = WHICH_ENGINE
        if wrong is not None:
            self.fields["happened_at"].help_text = ""
            self.fields["text"].label, self.fields["text"].help_text = "Why", "What was wrong with it."
        self._ask_hours(engines)

    def _ask_hours(self, engines: Sequence[Engine]) -> None:
        known = hours_on_record(engines)
        words = [known[one.pk].words(if_unread=LEAVE_OUT) for one in engines]
        if len(engines) == 1:
            ask_hours(self, "hours", words[0], label=label_if_of_several(engines[0]))
            return
        said = [f"{one.get_position_display()}: {told}" for one, told in zip(engines, words, strict=True)]
        hint = " ".join(said) or "The boat has no engine on record: leave the hours empty."
        ask_hours(self, "hours", hint, label="Hour meter of that engine shows" if engines else "")

    def answers(self) -> dict[str, Any]:
        """What ``fit_part`` is called with.

        Raises:
            Refused: the hours are none, or of no engine.
        """
        data = dict(self.cleaned_data)
        engine = self.engines.get(data["engine"])
        moment = self._moment(data["happened_at"])
        hours = self._hours(engine, shown_hours(data.pop("hours")), moment)
        return {**data, "engine": engine, "engine_hours": hours, "happened_at": moment}

    def _moment(self, typed: datetime | None) -> datetime | None:
        """The very moment of what is corrected, which the field shows to the minute, unless another was written."""
        if self.wrong is None:
            return typed
        before = self.wrong.happened_at
        return before if typed is None or typed == before.replace(second=0, microsecond=0) else typed

    def _hours(self, engine: Engine | None, shown: Decimal | None, moment: datetime | None) -> Decimal | None:
        """The true hours: those of what is corrected where what the meter showed was left as it was."""
        wrong = self.wrong
        if wrong is not None and engine == wrong.engine and shown is not None:
            before = hours_text(engine, wrong.engine_hours, wrong.happened_at)
            if before and shown == Decimal(before):
                return wrong.engine_hours
        return true_hours(engine, shown, moment)
