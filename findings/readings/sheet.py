"""The sheet that readings of one sitting are written on, and what becomes of it where its layout is changed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from django.http import HttpRequest, QueryDict

from commands.questions import is_in_doubt, nobody_to_ask
from commands.refusals import Refused
from findings.faults.phases import usual_phase
from findings.readings.cells import CellForm, Line, Row, UnitForm, usual_unit
from findings.readings.choosing import differing_on, left_out_of
from findings.readings.fitting import cards_left_out, fitting
from findings.readings.forms import OtherForm, SheetForm
from findings.readings.last_time import last_values
from findings.readings.layout import Column, Layout, asked_lines
from findings.readings.models import Parameter, SpecLimit
from findings.readings.queries import band_words, limits_by_family, match_of
from findings.readings.typed import said_of
from vessels.forms.meters import ask_hours, label_if_of_several, meter_label
from vessels.hours import refuse_impossible_hours
from vessels.models import Engine
from vessels.shown_hours import last_hours, show_hours_in_doubt, true_hours
from web.texts import is_sound, odd_signs
from web.typed import whole_number
from workorders.models import Job

SWITCH = "switch-engine"
"""The name of the buttons that choose another engine for what is typed."""
_FIGURE = re.compile(r"limit-([0-9]{1,12})(-[0-9]{0,12}x[0-9a-f]{8})?-(value|minimum|maximum)")
_LINE = re.compile(r"line-([0-9]{1,12})(?:-[0-9]{0,12}x[0-9a-f]{8})?-(?:value|minimum|maximum)")

Limits = Callable[[Engine | None], list[SpecLimit]]


@dataclass
class Sheet:
    """The forms of one sitting: what is common, the rows, and one reading of another kind."""

    layout: Layout
    common: SheetForm
    rows: list[Row]
    other: OtherForm
    logging: CellForm | OtherForm | None = None
    """What is being logged, so that what is wrong with it is said there."""
    has_card: bool = False
    """Whether a spec card in use is for the engine."""
    hours_left: str = ""
    """The hours that were typed for another engine's meter, which are not this one's."""

    @property
    def cells(self) -> list[CellForm]:
        """All cells, row by row."""
        return [cell for row in self.rows for cell in row.shown_cells]

    @property
    def forms(self) -> list[Any]:
        """All of them, for the error summary."""
        return [self.common, *(form for row in self.rows for form in (row.unit, *row.shown_cells)), self.other]

    @cached_property
    def cards_left_out(self) -> list[str]:
        """The spec cards of the engine's family that are not for this engine, a sentence each."""
        engine = self.layout.engine
        if engine is None or self.has_card:
            return []
        return cards_left_out(limits_by_family([engine.family_id]).get(engine.family_id or 0, []), engine)

    def is_valid(self) -> bool:
        """Whether everything typed can be logged, and something was typed; what is asked is asked together."""
        sound = all([form.is_valid() for form in self.forms])  # noqa: C419  (every form shows its errors)
        sound = all([is_sound(form) for form in (self.common, self.other)]) and sound  # noqa: C419  (the same)
        for condition in self.layout.conditions:
            if said := odd_signs(condition):
                self.common.add_error(None, f"Condition “{condition}”: {said}")
                sound = False
        if not sound:
            show_hours_in_doubt(self.common, self.layout.engine)
            self._doubt_meters()
        if sound and not any(cell.was_filled for cell in self.cells) and self.other.cleaned_data.get("number") is None:
            self.common.add_error(None, "Nothing is filled in yet. Enter at least one value.")
            return False
        return self._ask_about_pasted() and sound

    def _ask_about_pasted(self) -> bool:
        """Whether no pasted line is left beside the sheet, or somebody said that those are to be left out."""
        left = " ".join(str(self.common.data.get("paste", "")).split())
        if not left or not is_in_doubt(f"pasted lines left out: {left[:200]}", "Leave out the pasted lines"):
            return True
        shown = left if len(left) <= 80 else f"{left[:79]}…"
        self.common.add_error(
            None,
            f"Pasted lines are not on the sheet, and would not be logged: “{shown}”. Put them on it, or empty their "
            "field. To leave them out, select that at the top and send this again.",
        )
        return False

    def _doubt_meters(self) -> None:
        """Say beside each further meter what is wrong or unusual with its hours."""
        data, at = self.common.cleaned_data, self.common.cleaned_data.get("happened_at")
        for engine in self.layout.beside:
            name = f"hours-{engine.pk}"
            if data.get(name) is None or "happened_at" in self.common.errors:
                continue
            try:
                refuse_impossible_hours(engine, true_hours(engine, data[name], at), at)
            except Refused as refusal:
                self.common.add_error(name, refusal.fields.get("hours", refusal.sentence))


def asked_sheet(request: HttpRequest, job: Job, layout: Layout) -> Sheet:
    """The sheet as it is asked for, or as it was sent."""
    data = request.POST if request.method == "POST" else None
    phase = usual_phase(job, engine=layout.engine, wanted=request.GET.get("phase", ""))
    common = SheetForm(data, initial={"phase": phase})
    return _Making(request, job, layout, typed=data, is_sent=data is not None).sheet(common)


def redrawn_sheet(request: HttpRequest, job: Job, before: Layout, layout: Layout, data: QueryDict) -> Sheet:
    """The sheet in another layout, with all that was typed in the one before.

    A value goes into the row for the same parameter under the same condition; what has none here keeps a row of its
    own. Hours are of one meter, and do not go along to another engine.
    """
    goes_on = before.engine == layout.engine
    left = "" if goes_on else data.get("hours", "").strip()
    answers = {name: data.get(name, "") for name in SheetForm.base_fields if name in data}
    answers |= {f"hours-{one.pk}": data.get(f"hours-{one.pk}", "") for one in layout.beside}
    answers |= {} if goes_on else {"hours": ""}
    sheet = _Making(request, job, layout, typed=data, is_sent=False).sheet(SheetForm(initial=answers))
    sheet.hours_left = left
    return sheet


def is_filled_in(data: QueryDict, column: Column) -> bool:
    """Whether something was typed in a column, so that it cannot go without a loss."""
    key = f"-{re.escape(column.key)}" if column.key else ""
    figure = re.compile(rf"(?:limit|line)-[0-9]{{1,12}}{key}-(?:value|minimum|maximum)")
    return any(figure.fullmatch(name) and str(value).strip() for name, value in data.items())


class _Making:
    """Makes the rows of a sheet from its layout, the spec cards, and what was typed."""

    def __init__(
        self, request: HttpRequest, job: Job, layout: Layout, *, typed: QueryDict | None, is_sent: bool
    ) -> None:
        self.system: str = request.shop.units  # type: ignore[attr-defined]
        self.job, self.layout, self.is_sent = job, layout, is_sent
        self.columns = layout.columns
        engines = [one for one in (layout.engine, *layout.beside) if one is not None]
        families = limits_by_family(one.family_id for one in engines)
        found = {one.pk: fitting(families.get(one.family_id or 0, []), one) for one in engines}
        self.limits: Limits = lambda engine: found.get(engine.pk, []) if engine else []
        self.of_parameter: dict[tuple[int, int], list[SpecLimit]] = {}
        for family, limits in families.items():
            for limit in limits:
                self.of_parameter.setdefault((family, limit.parameter_id), []).append(limit)
        self.typed = _renamed(typed, self.limits(layout.engine), keeps_all=is_sent) if typed is not None else None

    def sheet(self, common: SheetForm) -> Sheet:
        """The whole sheet."""
        layout = self.layout
        ask_hours(common, "hours", last_hours(layout.engine), label=label_if_of_several(layout.engine))
        common.ask_meters((one.pk, meter_label(one), last_hours(one)) for one in layout.beside)
        rows = [self._row(line) for line in self._lines()]
        self._add_last(rows)
        other = {"system": self.system, "prefix": "other"}
        has_card = bool(self.limits(layout.engine))
        if self.is_sent:
            return Sheet(layout, common, rows, OtherForm(self.typed, **other), has_card=has_card)
        typed = self.typed or QueryDict()
        initial = {name: typed.get(f"other-{name}", "") for name in OtherForm.base_fields} if typed else None
        return Sheet(layout, common, rows, OtherForm(initial=initial, **other), has_card=has_card)

    def _lines(self) -> list[Line]:
        """What the sheet has a row for, in its order; what was typed elsewhere comes last."""
        limits = self.limits(self.layout.engine)
        filled = {_key_of(limit): limit for limit in _filled(self.typed)} if self.typed else {}
        if self.layout.version:
            lines = self._of_version([one for one in limits if _key_of(one) in filled])
        elif self.layout.conditions:
            lines = [self._of_limit(one) for one in limits if _key_of(one) in filled]
            lines += [self._of_parameter(one) for one in dict.fromkeys(limit.parameter for limit in limits)]
        else:
            lines = [self._of_limit(one) for one in limits]
        added = [*self.layout.lines, *asked_lines(_lines_in(self.typed))] if self.typed else self.layout.lines
        known = {line.key for line in lines}
        lines += [line for line in map(self._of_parameter, dict.fromkeys(added)) if line.key not in known]
        known = {line.key for line in lines}
        lines += [self._of_limit(one, is_foreign=True) for key, one in filled.items() if key not in known]
        return lines + (self._lost(known | set(filled)) if self.typed else [])

    def _of_version(self, filled: list[SpecLimit]) -> list[Line]:
        """The rows of a saved sheet; what was typed in the card's row for the same stands in its place."""
        assert self.layout.version is not None  # noqa: S101  (asked before)
        same = {} if self.layout.conditions else {one.parameter_id: one for one in filled if not one.condition}
        lines = [self._of_limit(one) for one in filled if one not in same.values()]
        for row in self.layout.version.rows.all():
            own = same.get(row.parameter_id)
            lines.append(self._of_limit(own) if own else replace(self._of_parameter(row.parameter), unit=row.unit))
        return lines

    def _of_limit(self, limit: SpecLimit, *, is_foreign: bool = False) -> Line:
        unit = limit.unit or usual_unit(limit.parameter, self.system)
        was_changed = is_foreign and limit.ended_at is not None and self._of_now(limit) is not None
        return Line(_key_of(limit), limit.parameter, unit, limit.condition, limit, is_foreign, was_changed)

    def _of_now(self, limit: SpecLimit) -> SpecLimit | None:
        """The limit of this engine that judges what one that has ended was for."""
        return match_of(self.limits(self.layout.engine), limit.parameter, limit.condition)

    def _of_parameter(self, parameter: Parameter) -> Line:
        limit = next((one for one in self.limits(self.layout.engine) if one.parameter_id == parameter.pk), None)
        return Line(f"line-{parameter.pk}", parameter, limit.unit if limit else usual_unit(parameter, self.system))

    def _lost(self, known: set[str]) -> list[Line]:
        """Rows of limits that a spec card no longer has: what was typed in them is kept."""
        typed = self.typed or QueryDict()
        found = []
        for key in dict.fromkeys(f"limit-{one[1]}" for one in _figures(typed)):
            number, _, condition = typed.get(f"{key}-of", "").partition(":")
            parameter = Parameter.objects.filter(pk=whole_number(number) or 0).first()
            if key not in known and parameter is not None:
                unit = usual_unit(parameter, self.system)
                found.append(Line(key, parameter, unit, condition[:120].replace("\0", ""), None, is_foreign=True))
        return found

    def _row(self, line: Line) -> Row:
        unit = UnitForm(self.typed, line=line) if self.is_sent else self._unit_shown(line)
        row = Row(line, unit)
        chosen = self.typed.get(f"{line.key}-unit", "") if self.typed else ""
        known = {key for key, _ in unit.fields["unit"].choices}  # type: ignore[attr-defined]
        in_unit = chosen if chosen in known else line.unit
        for column in self.columns:
            is_there = column.is_first_of_engine if line.condition and self.layout.conditions else True
            row.cells.append(self._cell(line, column, in_unit) if is_there else None)
        return row

    def _unit_shown(self, line: Line) -> UnitForm:
        typed = self.typed.get(f"{line.key}-unit", "") if self.typed else ""
        return UnitForm(line=line, initial={"unit": typed} if typed else None)

    def _cell(self, line: Line, column: Column, unit: str) -> CellForm:
        given: dict[str, Any] = {"line": line, "column": column, "limit": self._limit(line, column), "unit": unit}
        bound = CellForm(self.typed, **given) if self.typed is not None else None
        if self.is_sent and bound is not None:
            cell = bound
        else:
            cell = CellForm(initial=_typed_in(bound) if bound else None, **given)
        if bound is not None:
            with nobody_to_ask():
                probe = CellForm(self.typed, **given)
                cell.said = said_of(probe) if probe.is_valid() and probe.was_filled else None
        cell.in_words = len(self.columns) > 1
        cell.band = band_words(cell.limit.low, cell.limit.high, cell.limit.unit) if cell.limit else ""
        cell.remark = self._remark(cell)
        return cell

    def _remark(self, cell: CellForm) -> str:
        """What another card says of the same, or why the cards that have limits of it do not judge it here."""
        engine, parameter = cell.column.engine, cell.line.parameter
        of_it = self.of_parameter.get((engine.family_id or 0, parameter.pk), []) if engine else []
        is_said_on_top = engine == self.layout.engine and not self.limits(engine)
        if engine is None or not of_it or is_said_on_top or (cell.limit is not None and len(of_it) == 1):
            return ""
        return differing_on(cell.limit, engine, of_it, parameter, cell.condition) or left_out_of(
            of_it, engine, parameter
        )

    def _limit(self, line: Line, column: Column) -> SpecLimit | None:
        own = None if line.is_foreign else line.limit
        if own is not None and any(one.pk == own.pk for one in self.limits(column.engine)):
            return own
        return match_of(self.limits(column.engine), line.parameter, line.condition or column.condition)

    def _add_last(self, rows: Iterable[Row]) -> None:
        """What each value was on the last visit, in one question for all of them."""
        cells = [cell for row in rows for cell in row.shown_cells]
        if not cells:
            return
        engines = [self.layout.engine, *self.layout.beside]
        found = last_values(self.job.vessel, self.job, engines, {cell.line.parameter.pk for cell in cells})
        for cell in cells:
            engine = cell.column.engine
            place = (engine.pk if engine else None, cell.line.parameter.pk, cell.condition.lower())
            cell.last = found.get(place)


def _key_of(limit: SpecLimit) -> str:
    return f"limit-{limit.pk}"


def _typed_in(bound: CellForm) -> dict[str, str]:
    return {name: str(bound[name].value() or "") for name in bound.fields}


def _figures(data: Mapping[str, Any]) -> list[re.Match[str]]:
    found = (_FIGURE.fullmatch(name) for name, value in data.items() if str(value).strip())
    return [one for one in found if one]


def _lines_in(data: Mapping[str, Any]) -> list[str]:
    """The keys of the parameters in whose own rows something was written."""
    found = (_LINE.fullmatch(name) for name, value in data.items() if str(value).strip())
    return [one[1] for one in found if one]


def _filled(data: Mapping[str, Any]) -> list[SpecLimit]:
    """The limits in whose rows something was written, whichever engine they are for."""
    keys = {int(one[1]) for one in _figures(data)}
    return (
        list(SpecLimit.objects.filter(pk__in=keys).select_related("card", "parameter").order_by("pk")) if keys else []
    )


def _renamed(data: QueryDict, here: list[SpecLimit], *, keeps_all: bool) -> QueryDict:
    """What was typed, each value under the name of the row that it belongs to here.

    What was sent stands where it was sent: there is nothing to rename.
    """
    if keeps_all:
        return data
    typed = data.copy()
    taken = {int(one[1]) for one in _figures(data)}
    known = {limit.pk for limit in here}
    for limit in _filled(data):
        alike = next((one for one in here if one.pk not in taken and _is_alike(one, limit)), None)
        if limit.pk in known or alike is None:
            continue
        taken.add(alike.pk)
        before = f"{_key_of(limit)}-"
        for name in [one for one in typed if one.startswith(before) and not one.endswith("-of")]:
            typed[f"{_key_of(alike)}-{name.removeprefix(before)}"] = typed.get(name, "")
            del typed[name]
    return typed


def _is_alike(one: SpecLimit, other: SpecLimit) -> bool:
    return one.parameter_id == other.parameter_id and one.condition.casefold() == other.condition.casefold()
