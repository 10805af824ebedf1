"""What a tool asks for: the kinds of field on the Bench."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass
from typing import Literal

from engineering.measures import Kind
from findings.bench.context import ToolContext

Typed = str | Sequence[str] | Sequence[Sequence[str]]
"""What is typed into one field: words; low and high of ``Bounds``; or the rows of ``Rows``."""


@dataclass(frozen=True)
class Prefill:
    """What stands in a field before anybody typed, and where it is from (shown under the field).

    ``text`` carries its unit ("1.5", "30 psi"); ``note`` names the source ("from the engine's record").
    """

    text: str
    note: str = ""


Default = str | Callable[[ToolContext], Prefill | None]
"""What a field starts with: a text, or a function of the job and the engine at hand."""


@dataclass(frozen=True)
class Field:
    """What every field has.

    ``name`` is a short Python name, unique in the tool and lasting, as addresses carry it. ``argument`` is what the
    engineering function calls it ("current_a"), where that differs: an error that names the argument is then shown by
    this field. ``section`` puts consecutive fields under one legend. ``width`` is "half", "third", "quarter",
    "two-thirds" or "full"; left out, what suits the field.
    """

    name: str
    label: str
    _: KW_ONLY
    hint: str = ""
    required: bool = True
    default: Default = ""
    argument: str = ""
    section: str = ""
    width: str = ""


@dataclass(frozen=True)
class Quantity(Field):
    """A value with a unit to choose. The work function gets it as a float in ``to`` (a key of ``measures.UNITS``).

    ``us`` and ``metric`` are the units chosen at first in shops of that habit; without them, the usual unit of the
    kind. A person may write any unit of the kind into the field ("1/8 in"). ``fixed`` is a unit in words for what
    ``measures`` does not know ("Ah", "lb/hp·h"); then ``kind`` is COUNT and ``to`` is "count". ``least`` and ``most``
    are the ends, in ``to``, of what can be true here at all: beyond them the figure or its unit is a slip, and the
    field says so. They judge nothing.
    """

    kind: Kind = Kind.COUNT
    to: str = "count"
    _: KW_ONLY
    us: str = ""
    metric: str = ""
    fixed: str = ""
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True)
class Whole(Field):
    """A whole number from ``least`` to ``most``; the work function gets an int."""

    _: KW_ONLY
    least: int = 0
    most: int = 1_000_000


@dataclass(frozen=True)
class Choice(Field):
    """One of a few: pairs of key and label. The work function gets the key."""

    options: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class Words(Field):
    """A few words that go with the result, such as between which points it was measured.

    ``keys="decimal"`` brings the keys for figures.
    """

    _: KW_ONLY
    longest: int = 80
    keys: Literal["text", "decimal"] = "text"


@dataclass(frozen=True)
class Day(Field):
    """A date."""


@dataclass(frozen=True)
class Rows(Field):
    """Several rows of one or more quantities: one value a cylinder, or pairs of height and volume.

    A list is ``Rows`` with one column. Empty rows are left out; ``given.row_numbers(name)`` says which were filled.
    A column with ``required=False`` may be empty in a filled row, and gives None. ``start`` rows are shown at first (or
    as many as the default has), more on request, up to ``most``; at least ``least`` must be filled.
    ``row_label`` names the rows: "Cylinder" gives "Cylinder 1", "Cylinder 2". ``rows`` are the texts at first.
    """

    columns: Sequence[Quantity] = ()
    _: KW_ONLY
    row_label: str = "Row"
    start: int = 4
    least: int = 1
    most: int = 40
    rows: Sequence[Sequence[str]] | Callable[[ToolContext], Sequence[Sequence[str]]] = ()
    width: str = "full"


@dataclass(frozen=True)
class Bounds(Field):
    """Limits to judge by: at least, at most, or both; from the spec card of the engine's family, or typed.

    ``parameter`` names the spec card's parameter (``findings.readings.parameters``); its limit, under ``condition``
    if that is given, is filled in and its document named under the field. Nothing is ever hard-coded: without a card
    the person types the maker's limits or leaves them empty. ``given.band(name)`` is the ``Band`` or None.
    """

    kind: Kind = Kind.COUNT
    to: str = "count"
    _: KW_ONLY
    parameter: str = ""
    condition: str = ""
    sides: Literal["both", "low", "high"] = "both"
    us: str = ""
    metric: str = ""
    fixed: str = ""
    required: bool = False
    width: str = "full"


@dataclass(frozen=True)
class Option:
    """One record to choose: its key, and what is shown."""

    key: str
    label: str


@dataclass(frozen=True)
class FromRecords(Field):
    """Something on record: a fault, a parameter of this vessel.

    ``options`` lists what may be chosen (few queries, at most some hundred rows). ``load`` reads what was chosen,
    before the work, so that the work function stays pure: it gets the object by ``given.loaded(name, Type)``.
    ``load`` may raise any ValueError with a ``sentence``. ``nothing`` is said where there is nothing to choose.
    """

    _: KW_ONLY
    options: Callable[[ToolContext], Sequence[Option]]
    load: Callable[[ToolContext, str], object]
    nothing: str = "There is nothing on record to choose from yet."
    width: str = "full"


Inputs = Mapping[str, Typed]
"""What a person would type, by field name: ``{"drop": "0.35 V", "fills": [("10 cm", "12 L"), ("20 cm", "26 L")]}``."""
