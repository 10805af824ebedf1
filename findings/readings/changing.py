"""What a button of the sheet makes of it, and a pasted text that goes onto it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import uuid5

from django.http import HttpRequest, QueryDict

from engineering.plurals import counted
from findings.instruments.forms import REGISTERED
from findings.instruments.models import Instrument
from findings.readings.actions.learning import NameMeans, forget_name, learn_names
from findings.readings.card_file import text_of
from findings.readings.cells import cell_name
from findings.readings.layout import Column, Layout
from findings.readings.models import Parameter
from findings.readings.pasting import Pasted, SkippedLine, folded, pasted
from findings.readings.queries import limits_of
from staff.requests import signed_in
from web.typed import sent_id, whole_number

FILE, MOST_BYTES = "paste-file", 40_000


@dataclass
class Change:
    """What a button made of the layout: what to look at next, what is said of it, and what was typed in the finder."""

    layout: Layout
    typed: QueryDict
    focus: str = ""
    said: str = ""
    find: str = ""
    pasted: Pasted | None = None
    offered: str = ""
    """A condition that the values without one may have been read under."""


def take_file(request: HttpRequest) -> str:
    """Put the text of a chosen file below what is pasted, whatever button was pressed; or say why it has none.

    So a file is never passed over: what is not on the sheet is asked about before anything is logged.
    """
    file = request.FILES.get(FILE)
    if file is None:
        return ""
    content = file.read(MOST_BYTES + 1)
    text, why = text_of(content, most=MOST_BYTES)
    if why:
        return f"{why} Nothing of it was taken."
    typed = request.POST.copy()
    typed["paste"] = "\n".join(filter(None, [str(typed.get("paste", "")).rstrip(), text.strip()]))
    request.POST = typed  # type: ignore[assignment]  # as mutable as nobody minds
    return "" if text.strip() else "The file is empty."


def row_for(layout: Layout, parameter: Parameter, *, has_value: bool = False) -> tuple[Layout, str]:
    """The row that a value of a parameter belongs to, and the layout that has it: its only one, else one of its own.

    What comes with its value (``has_value``) and names no condition does not go into the row of one: nobody said that
    it was read under that (decision 0208).
    """
    own = [one for one in limits_of(layout.engine) if one.parameter_id == parameter.pk] if layout.engine else []
    is_free = not (has_value and own and own[0].condition)
    if len(own) == 1 and is_free and not layout.conditions and layout.version is None:
        return layout, f"limit-{own[0].pk}"
    return layout if _is_on(layout, parameter) else layout.with_line(parameter), f"line-{parameter.pk}"


def put_in(request: HttpRequest, layout: Layout) -> Change:
    """A pasted text: what is understood of it in its rows, the rest where it was pasted, nothing logged."""
    typed = request.POST.copy()
    registered = Instrument.objects.filter(pk=whole_number(typed.get(REGISTERED, "")) or 0).first()
    instrument = str(typed.get("instrument", ""))
    text = str(typed.get("paste", ""))
    told = _told(typed)
    if wrong := str(typed.get("forget-name", "")):
        forget_name(by=signed_in(request), name=wrong, registered=registered, instrument=instrument, entry_id=None)
        return Change(
            layout, typed, focus="paste", said=f"“{wrong}” is no longer taken for anything. Paste it once more."
        )
    if told:
        sent, by = sent_id(request), signed_in(request)
        names = [NameMeans(name, parameter) for name, parameter in told.items()]
        act_id = uuid5(sent, f"names {sorted((name, one.pk) for name, one in told.items())}") if sent else None
        learn_names(by=by, names=names, registered=registered, instrument=instrument, entry_id=act_id)
    found = pasted(text, registered, instrument, told)
    at = whole_number(str(typed.get("paste-column", ""))) or 0
    column = layout.columns[at if at < len(layout.columns) else 0]
    before = len(found.values)
    layout, unjudged = _fill(layout, typed, found, column)
    typed["paste"] = found.text_left
    count = before - sum(1 for one in found.left if one.why in _NOT_FREE)
    lines = counted(count, "line")
    left = f", {len(found.left)} left below" if found.left else ""
    said = f"{lines} put on the sheet{left}. Nothing is logged yet." if text.strip() else "Paste some lines first."
    if unjudged:
        said = f"{said} {without_condition_words(unjudged)}"
    return Change(layout, typed, focus="paste" if found.left or not text.strip() else "", said=said, pasted=found)


_HAS_A_VALUE, _NO_ROOM = "Its row has a value already: empty that first.", "The sheet has no room for more rows."
_NOT_FREE = {_HAS_A_VALUE, _NO_ROOM}


def without_condition_words(parameters: Sequence[Parameter]) -> str:
    """That values stand without a condition, where the spec card judges them under a condition only."""
    names, is_one = [one.name for one in parameters], len(parameters) == 1
    named = names[0] if is_one else f"{', '.join(names[:-1])} and {names[-1]}"
    return (
        f"{named} {'stands' if is_one else 'stand'} without a condition, and the spec card judges "
        f"{'it' if is_one else 'them'} only under one. What was read under one belongs into the row of that condition."
    )


def is_judged_under_conditions_only(parameter: Parameter, column: Column) -> bool:
    """Whether a value that stands without a condition is judged by no limit, while one of a condition might."""
    limits = limits_of(column.engine) if column.engine else []
    of_it = [one for one in limits if one.parameter_id == parameter.pk]
    return bool(of_it) and not column.condition and all(one.condition for one in of_it)


def _fill(layout: Layout, typed: QueryDict, found: Pasted, column: Column) -> tuple[Layout, list[Parameter]]:
    """Write the values into their rows; a row that has a value keeps it. Also which have no condition to be judged."""
    unjudged = []
    for parameter, line in found.values:
        wider, row = row_for(layout, parameter, has_value=True)
        name = f"{cell_name(row, column)}-value"
        if str(typed.get(name, "")).strip():
            found.left.append(SkippedLine(line, _HAS_A_VALUE))
        elif row.startswith("line-") and not _is_on(wider, parameter):
            found.left.append(SkippedLine(line, _NO_ROOM))
        else:
            layout = wider
            typed[name] = line.value
            if is_judged_under_conditions_only(parameter, column):
                unjudged.append(parameter)
    return layout, unjudged


def _is_on(layout: Layout, parameter: Parameter) -> bool:
    """Whether a layout has a row of its own for the parameter."""
    saved = layout.version.rows.all() if layout.version else ()
    return parameter in layout.lines or any(row.parameter_id == parameter.pk for row in saved)


def _told(typed: QueryDict) -> dict[str, Parameter]:
    """What the person said that names mean, on the page that asked."""
    chosen = {
        folded(str(typed.get(f"{key}-name", ""))): whole_number(str(value))
        for key, value in typed.items()
        if key.startswith("as-") and not key.endswith("-name") and str(value).strip()
    }
    known = Parameter.objects.in_bulk([one for one in chosen.values() if one is not None])
    return {name: known[pk] for name, pk in chosen.items() if name and pk in known}
