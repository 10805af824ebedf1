"""Which engines, conditions and parameters a sheet has: its address says so, and what is sent goes to that address.

So a sheet that was filled in and is sent late, or once more, has the rows and columns that it had when it was shown.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.http import QueryDict

from findings.readings.models import Parameter, SheetVersion
from vessels.models import Engine
from web.typed import whole_number

NO_ENGINE = "boat"
"""In an address: what is measured belongs to the boat itself, such as a house battery."""
MOST_CONDITIONS, MOST_LINES = 6, 60
USUAL_CONDITIONS = ("Key on", "Idle, warm", "2000 rpm", "Wide open")
"""Common practice, no source: the states in which an engine is read."""
_LONGEST = 120


def one_condition(text: str) -> str:
    """A condition as it is kept: its words with one space between, as long as there is room for."""
    return " ".join(text.replace("\0", "").split())[:_LONGEST].strip()


@dataclass(frozen=True)
class Column:
    """One engine under one condition.

    ``key`` tells its fields from those of another column, whatever the order; the engine that the sheet is of is not in
    it, so that what was typed goes along where another one is chosen.
    """

    engine: Engine | None
    condition: str
    key: str
    label: str
    is_first_of_engine: bool


@dataclass(frozen=True)
class Layout:
    """What a sheet is made of beside the spec card of its engine."""

    engine: Engine | None
    is_boat: bool = False
    beside: tuple[Engine, ...] = ()
    conditions: tuple[str, ...] = ()
    lines: tuple[Parameter, ...] = ()
    version: SheetVersion | None = None
    engines: Sequence[Engine] = field(default=(), compare=False)

    @property
    def query(self) -> str:
        """The address's question: "engine=3&beside=4&under=Key+on&line=17"; empty where no engine is chosen."""
        if self.engine is None and not self.is_boat:
            return ""
        said = QueryDict(mutable=True)
        said["engine"] = str(self.engine.pk) if self.engine else NO_ENGINE
        for name, values in (
            ("beside", [one.pk for one in self.beside]),
            ("under", self.conditions),
            ("line", [one.pk for one in self.lines]),
            ("sheet", [self.version.pk] if self.version else []),
        ):
            if values:
                said.setlist(name, [str(one) for one in values])
        return said.urlencode()

    @property
    def columns(self) -> list[Column]:
        """Every engine under every condition, the engine that the sheet is of first."""
        engines = [self.engine, *self.beside]
        conditions = self.conditions or ("",)
        return [
            self._column(engine, condition, several=len(engines) > 1, is_first=condition == conditions[0])
            for engine in engines
            for condition in conditions
        ]

    def _column(self, engine: Engine | None, condition: str, *, several: bool, is_first: bool) -> Column:
        is_plain = engine == self.engine and not condition
        of = "" if engine is None or engine == self.engine else engine.pk
        marked = f"{of}x{zlib.crc32(condition.casefold().encode()):08x}"
        place = self.place(engine) if several else ""
        return Column(
            engine=engine,
            condition=condition,
            key="" if is_plain else marked,
            label=", ".join(filter(None, [place, condition])),
            is_first_of_engine=is_first,
        )

    def place(self, engine: Engine | None) -> str:
        """What an engine is called among the others of its boat: its position, and more where two have the same."""
        if engine is None:
            return "The boat"
        same = [one for one in self.engines if one.position == engine.position]
        return engine.get_position_display() if len(same) < 2 else str(engine)

    @property
    def draft_key(self) -> str:
        """What a half-filled sheet is kept under: fields are named by what they are of, so its columns do not count."""
        return str(self.engine.pk) if self.engine else "hull"

    def with_condition(self, text: str) -> Layout:
        """The same with one more condition, unless it has it, or has as many as there may be."""
        condition = one_condition(text)
        known = {one.casefold() for one in self.conditions}
        if not condition or condition.casefold() in known or len(self.conditions) >= MOST_CONDITIONS:
            return self
        return replace(self, conditions=(*self.conditions, condition))

    def without_condition(self, text: str) -> Layout:
        """The same without a condition."""
        return replace(self, conditions=tuple(one for one in self.conditions if one != text))

    def with_line(self, parameter: Parameter) -> Layout:
        """The same with a row for one more parameter."""
        if parameter in self.lines or len(self.lines) >= MOST_LINES:
            return self
        return replace(self, lines=(*self.lines, parameter))

    def on_sheet(self, version: SheetVersion | None) -> Layout:
        """The same engines with the rows and the conditions of a saved sheet, or with those of the spec card."""
        conditions = tuple(version.conditions) if version else ()
        return replace(self, version=version, conditions=conditions, lines=())

    def toggled(self, engine: Engine) -> Layout:
        """The same with an engine beside the first one, or without it."""
        if engine in self.beside:
            return replace(self, beside=tuple(one for one in self.beside if one != engine))
        return self if engine == self.engine else replace(self, beside=(*self.beside, engine))


def asked_layout(
    asked: QueryDict,
    engine: Engine | None,
    *,
    is_boat: bool,
    engines: Sequence[Engine],
    version: SheetVersion | None = None,
) -> Layout:
    """The layout that an address asks for; what makes no sense in it counts as nothing."""
    if engine is None and not is_boat:
        return Layout(None, engines=engines)
    by_key = {str(one.pk): one for one in engines}
    beside = [by_key[key] for key in dict.fromkeys(asked.getlist("beside")) if key in by_key and by_key[key] != engine]
    layout = Layout(
        engine,
        is_boat=is_boat,
        beside=tuple(beside) if engine else (),
        lines=tuple(asked_lines(asked.getlist("line"))),
        version=version,
        engines=engines,
    )
    for text in asked.getlist("under")[:MOST_CONDITIONS]:
        layout = layout.with_condition(text)
    return layout


def asked_lines(keys: Sequence[str]) -> list[Parameter]:
    """The parameters that an address names, in its order."""
    numbers = list(dict.fromkeys(whole_number(key) for key in keys))[:MOST_LINES]
    wanted = [one for one in numbers if one is not None]
    if not wanted:
        return []
    known = Parameter.objects.in_bulk(wanted)
    return [known[one] for one in wanted if one in known]
