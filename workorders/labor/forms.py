"""The forms of hours: noting some without a clock, correcting, voiding, and saying until when a clock was."""

from __future__ import annotations

from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.db.models import Q, QuerySet
from django.utils import timezone

from staff.models import Person
from staff.policy import Permission
from vessels.forms.fields import EntryForm
from web.fields import FigureField
from workorders.forms.fields import DayField, TechnicianField
from workorders.labor.checking import shop_zone
from workorders.labor.models import Stretch
from workorders.labor.reckoning import minutes_of, moment_of_day, plain_hours
from workorders.models import Job, JobLine
from workorders.queries.jobs import OPEN_STATES


class ClockTimeField(forms.TimeField):
    """A time of day, picked or typed."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
        kwargs.setdefault("input_formats", ["%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M%p", "%I %p", "%I%p"])
        super().__init__(**kwargs)
        self.error_messages["invalid"] = "Enter a time such as 8:30 AM or 13:05."


class LineOfWorkField(forms.ModelChoiceField[JobLine]):
    """Which line was worked on."""

    def __init__(self, *, names_job: bool = False) -> None:
        super().__init__(label="Line", queryset=JobLine.objects.none(), empty_label="Choose a line")
        self.names_job = names_job
        self.error_messages["invalid_choice"] = "Choose one from the list."

    def label_from_instance(self, obj: JobLine) -> str:
        """Number and the beginning of the concern; the job's number where there are several."""
        said = f"{obj.position}. {obj.concern[:60]}"
        return f"Job {obj.job.number}, {obj.job.vessel}: {said}" if self.names_job else said


class WorkForm(EntryForm):
    """On which line, on what day, and how long or from when until when. ``answers()`` goes into the action."""

    line = LineOfWorkField()
    day = DayField(label="Day")
    hours = FigureField(
        label="Hours", required=False, min_value=Decimal("0.01"), max_digits=4, decimal_places=2,
        help_text="Such as 1.5. Leave it empty if you enter times.",
    )  # fmt: skip
    started = ClockTimeField(label="Or from", required=False)
    ended = ClockTimeField(label="Until", required=False)
    look: ClassVar[dict[str, str]] = {
        "line": "two-thirds", "day": "third", "hours": "third", "started": "third", "ended": "third", "person": "half",
    }  # fmt: skip
    units: ClassVar[dict[str, str]] = {"hours": "h"}

    def __init__(self, *args: Any, lines: QuerySet[JobLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["line"]
        assert isinstance(field, LineOfWorkField)  # noqa: S101  (for the type checker: declared above)
        field.queryset = lines
        self.initial.setdefault("day", timezone.localdate())

    def clean(self) -> dict[str, Any]:
        """Times of the day as moments of the shop's zone; one that the clocks skip or show twice is told."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name in ("started", "ended"):
            clock = data.get(name)
            if not isinstance(clock, time) or not isinstance(data.get("day"), date):
                continue
            try:
                data[name] = moment_of_day(data["day"], clock, shop_zone())
            except ValueError as problem:
                self.add_error(name, str(problem))
        return data

    def answers(self) -> dict[str, Any]:
        """What the action is called with."""
        data = dict(self.cleaned_data)
        hours = data.pop("hours")
        data["minutes"] = None if hours is None else minutes_of(hours)
        data["started_at"], data["ended_at"] = data.pop("started"), data.pop("ended")
        return data


class NoteForm(WorkForm):
    """Hours without a clock."""

    person = TechnicianField()
    remark = forms.CharField(label="Remark", required=False, max_length=500)

    def __init__(self, *args: Any, job: Job, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, lines=job.lines.order_by("position"), **kwargs)
        if person.may(Permission.CORRECT_HOURS):
            self.initial.setdefault("person", person.pk)
            self.fields["person"].help_text = "Whose hours these are."
        else:
            del self.fields["person"]
        only = list(job.lines.order_by("position")[:2])
        if len(only) == 1:
            self.initial.setdefault("line", only[0].pk)


class CorrectForm(WorkForm):
    """Other hours in the place of some, with why."""

    reason = forms.CharField(label="Why they are corrected", max_length=500)
    line = LineOfWorkField(names_job=True)

    def __init__(self, *args: Any, stretch: Stretch, **kwargs: Any) -> None:
        near = Q(job=stretch.line.job_id) | Q(job__state__in=OPEN_STATES, stretches__person=stretch.person_id)
        near |= Q(job__state__in=OPEN_STATES, job__technician=stretch.person_id)
        keys = JobLine.objects.filter(near).values("pk")
        lines = JobLine.objects.filter(pk__in=keys).select_related("job__vessel").order_by("-job__number", "position")
        super().__init__(*args, lines=lines, **kwargs)
        zone = shop_zone()
        self.initial["line"], self.initial["day"] = stretch.line_id, stretch.day
        if stretch.started_at is not None:
            self.initial["started"] = stretch.started_at.astimezone(zone).time()
            if stretch.ended_at is not None:
                self.initial["ended"] = stretch.ended_at.astimezone(zone).time()
        elif stretch.minutes is not None:
            self.initial["hours"] = plain_hours(stretch.minutes).normalize()
        self.fields["reason"].error_messages["required"] = "Write why the hours are corrected."


class VoidForm(EntryForm):
    """Why some hours do not count."""

    reason = forms.CharField(label="Why they are voided", max_length=500)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = "Write why the hours are voided."


class UntilForm(EntryForm):
    """Until when a clock that was left running was worked."""

    day = DayField(label="Day")
    until = ClockTimeField(label="Until")
    look: ClassVar[dict[str, str]] = {"day": "half", "until": "half"}

    def __init__(self, *args: Any, stretch: Stretch, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("day", stretch.day)
        self.fields["until"].error_messages["required"] = "Say until when it was."

    def clean(self) -> dict[str, Any]:
        """The moment, in the shop's zone."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if isinstance(data.get("until"), time) and isinstance(data.get("day"), date):
            try:
                data["until"] = moment_of_day(data["day"], data["until"], shop_zone())
            except ValueError as problem:
                self.add_error("until", str(problem))
        return data

    def answers(self) -> dict[str, Any]:
        """What ``answer_clock`` is called with."""
        until: datetime = self.cleaned_data["until"]
        return {"until": until, "entry_id": self.cleaned_data["entry_id"]}


class SinceForm(EntryForm):
    """Since when somebody works who clocks on only now."""

    day = DayField(label="Day")
    since = ClockTimeField(label="Since")
    look: ClassVar[dict[str, str]] = {"day": "half", "since": "half"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("day", timezone.localdate())
        self.fields["since"].error_messages["required"] = "Say since when it is."

    def clean(self) -> dict[str, Any]:
        """The moment, in the shop's zone."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if isinstance(data.get("since"), time) and isinstance(data.get("day"), date):
            try:
                data["since"] = moment_of_day(data["day"], data["since"], shop_zone())
            except ValueError as problem:
                self.add_error("since", str(problem))
        return data

    def answers(self) -> dict[str, Any]:
        """What ``start_clock_since`` is called with."""
        return {"since": self.cleaned_data["since"], "entry_id": self.cleaned_data["entry_id"]}
