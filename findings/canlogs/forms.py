"""Forms for bringing a CAN log, and for saying what of it is logged."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.utils import timezone

from commands.refusals import Refused
from engineering.hours import hours_words
from findings.canlogs.moments import Moment
from findings.canlogs.preview import WHICH
from findings.canlogs.senders import Sender, Target
from findings.faults.forms import FindingForm
from findings.faults.models import Scan
from findings.instruments.forms import MadeWithForm
from vessels.forms.meters import ask_hours
from vessels.models import Engine
from vessels.shown_hours import last_hours, shown_hours

MINUTE = "%Y-%m-%dT%H:%M"


class BringForm(forms.Form):
    """The file."""

    file = forms.FileField(
        label="The log",
        allow_empty_file=True,  # the action says it in its own words
        max_length=1000,
        error_messages={"required": "Choose the file of the log first."},
    )

    def __init__(self, *args: Any, most_megabytes: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields[
            "file"
        ].help_text = (
            f"As the logger saved it: candump, ASC, BLF or TRC, also packed with gzip. At most {most_megabytes:,} MB."
        )


@dataclass(frozen=True)
class HoursAsked:
    """The hours of one engine: what its unit counts in the log. What the meter showed is not known, and not filled in.

    ``doubt``: why the count cannot be the engine's hours, by those on record.
    """

    engine: Engine
    counted: Decimal | None
    doubt: str = ""


class LogItForm(MadeWithForm, FindingForm):
    """What is the same for all that is logged; the ticks of codes and values stand in the tables beside it.

    For each sender there is a field ``to_<n>``, for each engine ``hours_<key>`` and ``condition_<key>``.
    """

    phase = forms.ChoiceField(
        choices=Scan.PHASES,
        widget=forms.RadioSelect,
        label="When in the job",
        error_messages={"required": "Say when in the job the log was recorded."},
    )
    which = forms.ChoiceField(
        choices=WHICH,
        widget=forms.RadioSelect,
        label="The value that is logged",
        initial="median",
        help_text="Lowest and highest of the whole log are kept with it. Under a condition only the value is judged: "
        "the log may begin with a cold start.",
    )
    extent = forms.ChoiceField(
        choices=[("some", "Only some of what the units can report"), ("all", "Everything the units can report")],
        widget=forms.RadioSelect,
        label="This log holds",
        initial="some",
        help_text="If you choose everything, a code or status bit that is not in the log counts as gone. "
        "Without DM2 a log holds no "
        "stored codes, and a short one may have missed a message.",
    )
    instrument = forms.CharField(required=False, max_length=80, label="Recorded with")

    look = {"happened_at": "half", "registered": "half", "instrument": "half"}

    def __init__(
        self,
        *args: Any,
        moment: Moment,
        senders: Sequence[Sender],
        targets: Sequence[Target],
        usual: Mapping[Sender, Target],
        engines: Sequence[HoursAsked],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.moment = moment
        del self.fields["hours"]
        self.units = {}
        self.look = dict(self.look)
        self._ask_when()
        for index, sender in enumerate(senders):
            self.fields[f"to_{index}"] = forms.ChoiceField(
                choices=[(target.value, target.words) for target in targets],
                required=False,
                label=f"{sender.words} belongs to",
                initial=usual[sender].value,
            )
        for asked in engines:
            self._ask_about(asked)

    def _ask_when(self) -> None:
        field = self.fields["happened_at"]
        field.help_text = self.moment.words
        if self.moment.at is None:
            field.required = True
            field.error_messages["required"] = "Say when the log was recorded."
        else:
            field.initial = timezone.localtime(self.moment.at).strftime(MINUTE)

    def _ask_about(self, asked: HoursAsked) -> None:
        engine = asked.engine
        position = engine.get_position_display().lower()
        said, initial = "", ""
        if asked.counted is not None:
            words = hours_words(asked.counted)
            said = f"The unit itself counts {words} at the end of the log. That is not filled in. {asked.doubt} "
            if not asked.doubt:
                said = f"Read from the log: the unit itself counts {words} at its end. "
                initial = str(asked.counted)
        field = forms.CharField(required=False, max_length=20, label=f"Hour meter, {position}", initial=initial)
        self.fields[f"hours_{engine.pk}"] = field
        ask_hours(self, f"hours_{engine.pk}", said + last_hours(engine))
        self.fields[f"condition_{engine.pk}"] = forms.CharField(
            required=False,
            max_length=120,
            label=f"Condition, {position}",
            help_text="Such as: warm, 2000 rpm. A limit of the spec card under the same words judges the value.",
        )
        self.units[f"hours_{engine.pk}"] = "h"
        self.look[f"hours_{engine.pk}"] = "half"
        self.look[f"condition_{engine.pk}"] = "half"

    def clean(self) -> dict[str, Any]:
        """Hours are hours, for each engine by itself."""
        data: dict[str, Any] = super().clean() or {}
        for name in [name for name in data if name.startswith("hours_")]:
            try:
                data[name] = shown_hours(data[name])
            except Refused as refusal:
                self.add_error(name, refusal.fields["hours"])
        return data

    @property
    def moment_chosen(self) -> datetime:
        """Date and time: what the log's clock says to the second, unless another minute was written."""
        typed: datetime | None = self.cleaned_data["happened_at"]
        at = self.moment.at
        if at is not None and (typed is None or _minute(typed) == _minute(at)):
            return at
        return typed or timezone.now()


def _minute(moment: datetime) -> datetime:
    return moment.astimezone(timezone.get_current_timezone()).replace(second=0, microsecond=0)
