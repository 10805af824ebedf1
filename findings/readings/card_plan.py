"""What a CSV of limits would change on spec cards, row by row, before anything is saved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from engineering.measures import Kind, units_of
from engineering.plurals import counted
from findings.readings.actions.cards import MOST_LIMITS, CardRows, NewLimit, limit_written
from findings.readings.card_file import CARD, NUMBER, SCOPE, FileRow, ReadFile
from findings.readings.card_forms import LimitForm, limit_initial
from findings.readings.models import Parameter, SpecCard, SpecLimit
from findings.readings.revising import is_same, place_of, what_for, whole_words
from web.typed import whole_number

NEW, REVISES, EQUAL, REFUSED = "new", "revises", "equal", "refused"
_FIELDS = {
    "parameter": "parameter", "condition": "condition", "at least": "low", "nominal": "nominal", "at most": "high",
    "unit": "unit", "near within %": "near_percent", "document": "source", "page": "page",
}  # fmt: skip
_SHOWN = 60
_COLUMNS = {name: column for column, name in _FIELDS.items()}


@dataclass(frozen=True)
class PlannedRow:
    """What one row of the file would do. ``before`` and ``after`` are the limit in words, ``why`` says why not."""

    line: int
    state: str
    card: SpecCard | None = None
    what: str = ""
    before: str = ""
    after: str = ""
    why: str = ""


@dataclass
class Plan:
    """What a file would change. ``stays`` are limits that it does not name, in words, by card."""

    problem: str = ""
    rows: list[PlannedRow] = field(default_factory=list)
    cards: list[CardRows] = field(default_factory=list)
    stays: list[tuple[SpecCard, Sequence[str]]] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)

    def count(self, state: str) -> int:
        """How many rows are of a state."""
        return sum(row.state == state for row in self.rows)

    @property
    def changes(self) -> int:
        """How many limits would be added or revised."""
        return self.count(NEW) + self.count(REVISES)

    @property
    def refused(self) -> int:
        """How many rows cannot be taken."""
        return self.count(REFUSED)

    @property
    def may_be_applied(self) -> bool:
        """Whether there is something to save, and no row that cannot be taken."""
        return not self.problem and not self.refused and self.changes > 0

    @property
    def seen(self) -> str:
        """The versions of the cards that the plan is of: "12:3 14:1"."""
        return " ".join(f"{one.card.pk}:{one.seen_version}" for one in self.cards)

    @property
    def sentence(self) -> str:
        """What the rows come to, in one sentence."""
        said = [
            f"{self.count(NEW)} new" if self.count(NEW) else "",
            f"{counted(self.count(REVISES), 'limit')} revised" if self.count(REVISES) else "",
            f"{self.count(EQUAL)} as on the card" if self.count(EQUAL) else "",
            f"{counted(self.refused, 'row')} that cannot be taken" if self.refused else "",
        ]
        return f"{counted(len(self.rows), 'row')}: {', '.join(filter(None, said))}." if self.rows else ""


def plan_of(
    read: ReadFile, cards: Sequence[SpecCard], *, system: str, parameters: Mapping[str, Parameter], only: bool
) -> Plan:
    """What the rows of a file would change on these cards. ``only``: it is of one card, which a row need not name."""
    if read.problem:
        return Plan(read.problem)
    making = _Planning(cards, system=system, parameters=parameters, only=only)
    rows = [making.row(one) for one in read.rows]
    plan = Plan("" if rows else "There is no row under the first line.", rows, remarks=_remarks(read, cards))
    plan.cards = [CardRows(one, one.version, making.limits[one.pk]) for one in cards if making.limits[one.pk]]
    for card in cards:
        if left := making.left_of(card):
            plan.stays.append((card, left))
        too_many = len(making.known[card.pk]) + len(making.added[card.pk])
        if too_many > MOST_LIMITS:
            plan.problem = f"“{card.title}” would have {too_many} limits. A card has at most {MOST_LIMITS}."
    return plan


def _remarks(read: ReadFile, cards: Sequence[SpecCard]) -> list[str]:
    said = []
    if read.unread:
        names = ", ".join(f"“{one[:40]}”" for one in read.unread)
        said.append(f"Not read, as it is no column of this table: {names}.")
    if any(row.cells.get(SCOPE) for row in read.rows):
        said.append(f"For which engines a card is (“{SCOPE}”) is not changed by a file.")
    return said


class _Planning:
    """Looks at the rows one after the other."""

    def __init__(
        self, cards: Sequence[SpecCard], *, system: str, parameters: Mapping[str, Parameter], only: bool
    ) -> None:
        self.cards, self.system, self.parameters, self.only = cards, system, parameters, only
        self.known = {one.pk: {place_of(limit.parameter_id, limit.condition): limit for limit in one.limits.all()}
                      for one in cards}  # fmt: skip
        self.limits: dict[int, list[NewLimit]] = {one.pk: [] for one in cards}
        self.added: dict[int, list[SpecLimit]] = {one.pk: [] for one in cards}
        self.lines: dict[tuple[int, tuple[int, str]], int] = {}

    def row(self, row: FileRow) -> PlannedRow:
        """What a row would do."""
        card, why = self._card(row) if row.cells else (None, "")
        what = ", ".join(filter(None, [row.cells.get("parameter", "")[:60], row.cells.get("condition", "")[:60]]))
        why = row.why or why
        if card is None or why:
            return PlannedRow(row.line, REFUSED, card, what, why=why)
        parameter = self.parameters.get(" ".join(row.cells["parameter"].split()).casefold())
        place = place_of(parameter.pk, row.cells["condition"]) if parameter else (0, "")
        first = self.lines.setdefault((card.pk, place), row.line)
        before = self.known[card.pk].get(place)
        form = self._form(row, before)
        if not form.is_valid():
            return PlannedRow(row.line, REFUSED, card, what, why=_wrong(form))
        written: NewLimit | None = form.cleaned_data["row"]
        if written is None:
            return PlannedRow(row.line, REFUSED, card, what, why="parameter: Write what these limits are for.")
        if first != row.line:
            why = f"Line {first} is for the same under the same condition. Keep one of the two."
            return PlannedRow(row.line, REFUSED, card, what, why=why)
        return self._taken(row, card, written, before)

    def _taken(self, row: FileRow, card: SpecCard, written: NewLimit, before: SpecLimit | None) -> PlannedRow:
        after = limit_written(card, written)
        self.limits[card.pk].append(written)
        what = what_for(after.parameter, after.condition)
        if before is None:
            self.added[card.pk].append(after)
            return PlannedRow(row.line, NEW, card, what, after=whole_words(after))
        if is_same(before, after):
            return PlannedRow(row.line, EQUAL, card, what, after=whole_words(after))
        words = [whole_words(before), whole_words(after)]
        if before.condition != after.condition:
            words = [f"{one.condition}: {said}" for one, said in zip((before, after), words, strict=True)]
        return PlannedRow(row.line, REVISES, card, what, *words)

    def _form(self, row: FileRow, before: SpecLimit | None) -> LimitForm:
        data = {name: row.cells.get(column, "") for column, name in _FIELDS.items()}
        initial: dict[str, Any] = {} if before is None else limit_initial([before])[0]
        form = LimitForm(data, initial=initial, system=self.system, parameters=self.parameters)
        parameter = self.parameters.get(" ".join(data["parameter"].split()).casefold())
        if parameter is not None and not data["unit"] and len(units := units_of(Kind(parameter.kind))) > 1:
            labels = ", ".join(one.label for one in units if one.label)
            form.add_error("unit", f"Enter one of: {labels}.")
        return form

    def _card(self, row: FileRow) -> tuple[SpecCard | None, str]:
        """The card that a row is of, or why it is of none."""
        number, title = row.cells.get(NUMBER, ""), " ".join(row.cells.get(CARD, "").split())
        named = [one for one in self.cards if " ".join(one.title.split()).casefold() == title.casefold()]
        of = "this card" if self.only else "a card of this family"
        shown = title if len(title) <= _SHOWN else f"{title[: _SHOWN - 1]}…"
        if number:
            found = [one for one in self.cards if one.pk == whole_number(number)]
            why = "" if found else f"{NUMBER}: “{number[:20]}” is not {of}."
            if found and title and found[0] not in named:
                why = f"{CARD}: card {number} is called “{found[0].title}”, not “{shown}”."
        elif title:
            found, numbers = named, " and ".join(str(one.pk) for one in named)
            why = "" if found else f"{CARD}: “{shown}” is not {of}."
            if len(found) > 1:
                why = f"{CARD}: cards {numbers} are called “{shown}”. Give the number of one under “{NUMBER}”."
        else:
            found = list(self.cards) if self.only else []
            why = "" if self.only else f"{CARD}: Say which card of the family this limit is on."
        return (None, why) if why else (found[0], "")

    def left_of(self, card: SpecCard) -> list[str]:
        """The limits of a card that no row is of, in words."""
        return [
            what_for(limit.parameter, limit.condition)
            for place, limit in self.known[card.pk].items()
            if (card.pk, place) not in self.lines
        ]


def _wrong(form: LimitForm) -> str:
    """What is wrong with a row, by its columns."""
    said = (f"{_COLUMNS.get(name, name)}: {' '.join(map(str, several))}" for name, several in form.errors.items())
    return " ".join(said)
