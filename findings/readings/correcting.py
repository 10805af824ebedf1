"""Correcting a reading by its value: the new one amends the old, both stay visible, and only the new one counts."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.limits import Limits
from engineering.measures import Kind
from findings.faults.models import Scan
from findings.instruments.forms import instrument_of
from findings.readings.actions import log_reading
from findings.readings.forms import MeasureField, SheetForm, clean_values, unit_choices
from findings.readings.judging import Comparison, stored_judgment
from findings.readings.models import Reading
from findings.readings.queries import every_reading, reading_row
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.frames import vessel_frame
from vessels.models import Engine
from vessels.shown_hours import hours_text, show_hours_in_doubt, true_hours
from web.submission import accepted

MINUTE = "%Y-%m-%dT%H:%M"


class CorrectForm(SheetForm):
    """What is right: everything about the reading but what was measured."""

    phase = forms.ChoiceField(
        choices=[("", "not said"), *Scan.PHASES], required=False, widget=forms.RadioSelect, label="When in the job"
    )
    value = MeasureField(required=True)
    unit = forms.ChoiceField()
    minimum = MeasureField(label="Lowest seen")
    maximum = MeasureField(label="Highest seen")
    condition = forms.CharField(max_length=120, required=False)
    engine = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Engine")
    text = forms.CharField(
        required=False, label="Why", help_text="What was wrong with it.", widget=forms.Textarea(attrs={"rows": 2})
    )
    field_order = [
        "value", "minimum", "maximum", "condition", "engine", "hours", "happened_at", "registered",
        "instrument", "phase",
    ]  # fmt: skip

    look = {
        "value": "half", "minimum": "quarter", "maximum": "quarter", "condition": "half", "engine": "half",
        "hours": "half", "happened_at": "half", "registered": "half", "instrument": "half",
    }  # fmt: skip
    units = {"value": "unit", "hours": "h"}

    def __init__(self, *args: Any, wrong: Reading, engines: list[Engine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.wrong, self.parameter = wrong, wrong.parameter
        self.fields["value"].label = wrong.parameter.name
        self.fields["happened_at"].help_text = ""
        unit, engine = self.fields["unit"], self.fields["engine"]
        assert isinstance(unit, forms.ChoiceField)  # noqa: S101  (declared above)
        assert isinstance(engine, forms.ChoiceField)  # noqa: S101  (declared above)
        unit.choices = unit_choices([Kind(wrong.parameter.kind)])
        engine.choices = [("", "none (the boat itself)"), *((one.pk, str(one)) for one in engines)]

    def clean(self) -> dict[str, Any]:
        """Turn the words into values of one unit."""
        data: dict[str, Any] = super().clean() or {}
        if not data.get("unit"):
            return data
        return clean_values(self, data, data["unit"], of="" if self._is_as_it_was(data) else self.parameter.name)

    def _is_as_it_was(self, data: dict[str, Any]) -> bool:
        """Whether the figures are left as they stand: what was kept once is not asked about again."""
        figures = ("value", "minimum", "maximum")
        return data["unit"] == self.wrong.unit and all(
            data.get(name, "")
            == ("" if getattr(self.wrong, name) is None else plain_decimal(getattr(self.wrong, name)))
            for name in figures
        )


@permission_required(Permission.AMEND_FINDINGS)
def correct(request: HttpRequest, pk: UUID) -> HttpResponse:
    """Correct one reading."""
    wrong = get_object_or_404(every_reading().select_related("entry__vessel"), pk=pk)
    vessel, row = wrong.entry.vessel, reading_row(wrong)
    is_again = row.later is not None and row.afterwards.can_be_corrected
    engines = [one for one in vessel.engines.all() if one.removed_on is None or one.pk == wrong.entry.engine_id]
    data = request.POST if request.method == "POST" else None
    form = CorrectForm(data, wrong=wrong, engines=engines, initial=_as_it_was(wrong))
    if data is not None:
        right = accepted(form, lambda: _log(request, wrong, form.cleaned_data, engines))
        if right is not None:
            shown = reading_row(right).shown
            said = (
                f"{shown} is logged again." if is_again else f"{shown} is now the corrected value. Both stay visible."
            )
            messages.success(request, said)
            if wrong.entry.job is not None:
                return redirect("findings:job", wrong.entry.job.number)
            return redirect("findings:vessel_readings", vessel.pk)
        show_hours_in_doubt(form, _engine(form.cleaned_data, engines), amends=wrong.entry)
    context = {
        "frame": vessel_frame(request.user, vessel, "findings:vessel_readings"),
        "vessel": vessel,
        "form": form,
        "row": row,
        "is_again": is_again,
    }
    return render(request, "findings/readings/correct.html", context, status=422 if form.errors else 200)


def _as_it_was(wrong: Reading) -> dict[str, Any]:
    entry = wrong.entry
    kept = {"value": wrong.value, "minimum": wrong.minimum, "maximum": wrong.maximum}
    return {
        **{name: "" if figure is None else plain_decimal(figure) for name, figure in kept.items()},
        "unit": wrong.unit,
        "condition": wrong.condition,
        "engine": entry.engine_id,
        "hours": hours_text(entry.engine, entry.engine_hours, entry.happened_at),
        "registered": wrong.registered_id or "",
        "instrument": wrong.instrument,
        "phase": wrong.phase,
        "happened_at": timezone.localtime(entry.happened_at).strftime(MINUTE),
    }


def _log(request: HttpRequest, wrong: Reading, data: dict[str, Any], engines: list[Engine]) -> Reading:
    """Log what was sent, in the place of the wrong one."""
    engine = _engine(data, engines)
    moment = _moment(wrong.entry.happened_at, data["happened_at"])
    return log_reading(
        by=signed_in(request),
        vessel=wrong.entry.vessel,
        engine=engine,
        parameter=wrong.parameter,
        value=data["number"],
        unit=data["unit"],
        minimum=data["low_seen"],
        maximum=data["high_seen"],
        condition=data["condition"],
        **instrument_of(data),
        phase=data["phase"],
        job=wrong.entry.job,
        engine_hours=_hours(wrong, engine, data, moment),
        text=data["text"],
        file_sha256=wrong.file_sha256,
        **_calculated(wrong, data),
        entry_id=data["entry_id"],
        happened_at=moment,
        amends=wrong.entry,
    )


def _engine(data: dict[str, Any], engines: list[Engine]) -> Engine | None:
    return next((one for one in engines if one.pk == data.get("engine")), None)


def _calculated(wrong: Reading, data: dict[str, Any]) -> dict[str, Any]:
    """How it was calculated and what that said of it, while its value is not what was corrected."""
    if wrong.worked_from is None or not _is_as_it_was(wrong, data):
        return {}
    limits = Limits(
        low=wrong.low,
        high=wrong.high,
        nominal=wrong.nominal,
        near_fraction=(Decimal(10) if wrong.near_percent is None else wrong.near_percent) / 100,
    )
    said = Comparison(limits, wrong.near_percent, wrong.limits_from, stored_judgment(wrong), wrong.judged_by,
                      wrong.limits_remark or "")  # fmt: skip
    return {"worked_from": wrong.worked_from, "compared": said}


def _is_as_it_was(wrong: Reading, data: dict[str, Any]) -> bool:
    """Whether the values are left as they were."""
    values = (data["number"], data["low_seen"], data["high_seen"], data["unit"])
    return values == (wrong.value, wrong.minimum, wrong.maximum, wrong.unit)


def _moment(before: datetime, typed: datetime | None) -> datetime:
    """The very moment of the reading, which the field shows to the minute, unless another was written."""
    if typed is None or typed == before.replace(second=0, microsecond=0):
        return before
    return typed


def _hours(wrong: Reading, engine: Engine | None, data: dict[str, Any], moment: datetime) -> Any:
    """The true hours: those of the reading where what its meter showed was left as it was."""
    entry = wrong.entry
    if engine == entry.engine and data["hours"] is not None:
        shown = hours_text(engine, entry.engine_hours, entry.happened_at)
        if shown and plain_decimal(data["hours"]) == shown:
            return entry.engine_hours
    return true_hours(engine, data["hours"], moment)
