"""The sheet that readings of one sitting are written on, and what becomes of it where another engine is chosen."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.http import HttpRequest, QueryDict

from findings.faults.phases import usual_phase
from findings.readings.forms import OtherForm, RowForm, SheetForm
from findings.readings.models import SpecLimit
from findings.readings.queries import limits_of
from vessels.forms.meters import ask_hours, label_if_of_several
from vessels.models import Engine
from vessels.shown_hours import last_hours, show_hours_in_doubt
from workorders.models import Job

NO_ENGINE = "boat"
"""In an address: what is measured belongs to the boat itself, such as a house battery."""
SWITCH = "switch-engine"
"""The name of the buttons that choose another engine for what is typed."""
_FIGURE = re.compile(r"limit-([0-9]{1,12})-(?:value|minimum|maximum)")
_OF_ROW = ("value", "unit", "minimum", "maximum")


@dataclass
class Sheet:
    """The forms of one sitting: what is common, a row for each limit, and one reading of another kind."""

    common: SheetForm
    rows: list[RowForm]
    other: OtherForm
    logging: RowForm | OtherForm | None = None
    """The row that is being logged, so that what is wrong with it is said there."""
    hours_left: str = ""
    """The hours that were typed for another engine's meter, which are not this one's."""

    @property
    def forms(self) -> list[Any]:
        """All of them, for the error summary."""
        return [self.common, *self.rows, self.other]

    def is_valid(self, engine: Engine | None) -> bool:
        """Whether everything typed can be logged, and something was typed; what is asked is asked together."""
        sound = all([form.is_valid() for form in self.forms])  # noqa: C419  (every form shows its errors)
        if not sound:
            show_hours_in_doubt(self.common, engine)
        if sound and not any(row.was_filled for row in self.rows) and self.other.cleaned_data.get("number") is None:
            self.common.add_error(None, "Nothing is filled in yet. Enter at least one value.")
            return False
        return sound


def asked_sheet(request: HttpRequest, job: Job, engine: Engine | None) -> Sheet:
    """The sheet of an engine as it is asked for, or as it was sent."""
    data = request.POST if request.method == "POST" else None
    phase = usual_phase(job, engine=engine, wanted=request.GET.get("phase", ""))
    limits = list(limits_of(engine)) if engine else []
    rows = [_row(request, limit, data) for limit in limits]
    if data is not None:
        rows += [_row(request, limit, data, is_foreign=True) for limit in _filled(data) if limit not in limits]
    return _sheet(request, engine, SheetForm(data, initial={"phase": phase}), rows, OtherForm(data, **_other(request)))


def switched_sheet(request: HttpRequest, job: Job, engine: Engine | None) -> Sheet:
    """The sheet of the engine that was chosen, with all that was typed on another one's.

    A value goes into the row for the same parameter under the same condition; what has none here keeps a row of its
    own. Hours are of one meter, and do not go along.
    """
    data = request.POST
    limits = list(limits_of(engine)) if engine else []
    rows = {limit.pk: _row(request, limit, None) for limit in limits}
    for limit in _filled(data):
        typed = {name: data.get(f"limit-{limit.pk}-{name}", "") for name in _OF_ROW}
        here = rows.get(limit.pk) or _alike(limit, [row for row in rows.values() if not row.initial])
        row = here or _row(request, limit, None, is_foreign=True)
        row.initial = typed
        rows[row.limit.pk] = row
    goes_on = data[SWITCH] == request.GET.get("engine")
    left = "" if goes_on else data.get("hours", "").strip()
    answers = {name: data.get(name, "") for name in SheetForm.base_fields if name in data}
    answers |= {} if goes_on else {"hours": ""}
    other = OtherForm(
        initial={name: data.get(f"other-{name}", "") for name in OtherForm.base_fields}, **_other(request)
    )
    sheet = _sheet(request, engine, SheetForm(initial=answers), list(rows.values()), other)
    return replace(sheet, hours_left=left)


def _sheet(
    request: HttpRequest, engine: Engine | None, common: SheetForm, rows: list[RowForm], other: OtherForm
) -> Sheet:
    ask_hours(common, "hours", last_hours(engine), label=label_if_of_several(engine))
    return Sheet(common=common, rows=rows, other=other)


def _other(request: HttpRequest) -> dict[str, str]:
    return {"system": request.shop.units, "prefix": "other"}  # type: ignore[attr-defined]


def _row(request: HttpRequest, limit: SpecLimit, data: QueryDict | None, *, is_foreign: bool = False) -> RowForm:
    system = request.shop.units  # type: ignore[attr-defined]
    return RowForm(data, limit=limit, system=system, prefix=f"limit-{limit.pk}", is_foreign=is_foreign)


def _filled(data: QueryDict) -> list[SpecLimit]:
    """The limits in whose rows something was written, whichever engine they are for."""
    found = (_FIGURE.fullmatch(name) for name, value in data.items() if str(value).strip())
    keys = {int(one[1]) for one in found if one}
    return (
        list(SpecLimit.objects.filter(pk__in=keys).select_related("card", "parameter").order_by("pk")) if keys else []
    )


def _alike(limit: SpecLimit, rows: Sequence[RowForm]) -> RowForm | None:
    """The row for the same parameter under the same words, where there is one."""
    words = limit.condition.casefold()
    same = (
        row for row in rows if row.limit.parameter_id == limit.parameter_id and row.limit.condition.casefold() == words
    )
    return next(same, None)
