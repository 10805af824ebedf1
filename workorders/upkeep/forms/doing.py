"""The form of a service that was done, new or corrected."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from engineering.hours import hours_words
from vessels.forms.fields import EntryForm, WhenField
from vessels.forms.meters import ask_hours, label_if_of_several
from vessels.models import Engine, LogEntry
from vessels.shown_hours import hours_text, last_hours, shown_hours, true_hours
from vessels.wording import day_words
from workorders.models import JobLine
from workorders.upkeep.forms.adopting import plan_label
from workorders.upkeep.models import ServicePlan


def counts_from(read: LogEntry | None) -> str:
    """What an empty field means where the hours were read on the job, and where they were not."""
    if read is None or read.engine_hours is None:
        return "Leave empty where nobody read it: the hours are then not known, nor is the next service by hours."
    on = day_words(read.happened_at)
    return f"Leave empty to count from the {hours_words(read.engine_hours)} read on this job, {on}."


class DoneForm(EntryForm):
    """Services that were done on an engine. ``answers()`` goes into ``log_service``."""

    plans = forms.ModelMultipleChoiceField(
        queryset=ServicePlan.objects.none(),
        label="What was done",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one service."},
    )
    hours = forms.CharField(required=False, max_length=20, label="Hour meter shows")
    happened_at = WhenField(label="Done at")
    text = forms.CharField(required=False, max_length=5000, label="Remark", widget=forms.Textarea(attrs={"rows": 2}))

    units: ClassVar[dict[str, str]] = {"hours": "h"}
    look: ClassVar[dict[str, str]] = {"hours": "half", "happened_at": "half"}

    def __init__(
        self,
        *args: Any,
        engine: Engine,
        plans: Sequence[ServicePlan],
        line: JobLine | None = None,
        read: LogEntry | None = None,
        wrong: LogEntry | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.engine, self.line, self.read, self.wrong = engine, line, read, wrong
        field = self.fields["plans"]
        assert isinstance(field, forms.ModelMultipleChoiceField)  # noqa: S101  (declared above)
        field.queryset = ServicePlan.objects.filter(pk__in=[plan.pk for plan in plans])
        field.label_from_instance = plan_label  # type: ignore[method-assign,assignment]
        hint = f"{last_hours(engine)} {counts_from(read)}"
        ask_hours(self, "hours", hint, label=label_if_of_several(engine))
        if wrong is not None:
            self.fields["happened_at"].help_text = ""
            self.fields["text"].label, self.fields["text"].help_text = "Why", "What was wrong with it."

    def answers(self) -> dict[str, Any]:
        """What the action is called with.

        Raises:
            Refused: the hours are none, or cannot be told from the meter.
        """
        data = dict(self.cleaned_data)
        moment = self._moment(data["happened_at"])
        hours = self._hours(shown_hours(data.pop("hours")), moment)
        return {
            **data,
            "plans": list(data["plans"]),
            "engine": self.engine,
            "engine_hours": hours,
            "read_in": self.read if hours is None else None,
            "line": self.line,
            "happened_at": moment,
        }

    def _moment(self, typed: datetime | None) -> datetime | None:
        """The very moment of what is corrected, which the field shows to the minute, unless another was written."""
        if self.wrong is None:
            return typed
        before = self.wrong.happened_at
        return before if typed is None or typed == before.replace(second=0, microsecond=0) else typed

    def _hours(self, shown: Decimal | None, moment: datetime | None) -> Decimal | None:
        """The true hours: those of what is corrected where what the meter showed was left as it was."""
        wrong = self.wrong
        if wrong is not None and shown is not None:
            before = hours_text(self.engine, wrong.engine_hours, wrong.happened_at)
            if before and shown == Decimal(before):
                return wrong.engine_hours
        return true_hours(self.engine, shown, moment)
