"""What a tool answers: a sentence, figures, a verdict, a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import KW_ONLY, dataclass, field

from engineering.limits import Verdict
from findings.readings.models import SpecLimit


@dataclass(frozen=True, kw_only=True)
class Shown:
    """How a value is shown.

    It is shown in the shop's usual unit where US and metric shops differ; ``us`` and ``metric`` name other units for
    them (a run of wire: ``us="ft", metric="m"``); ``like`` names a field of the tool and shows it in the unit typed
    there. ``significant`` figures are kept, or ``decimals`` places. ``word`` is a unit in words for what ``measures``
    does not know; ``unit`` is then "count". ``is_difference`` is for a rise or fall of temperature.
    """

    significant: int = 3
    decimals: int | None = None
    us: str = ""
    metric: str = ""
    like: str = ""
    word: str = ""
    is_difference: bool = False


@dataclass(frozen=True)
class Figure(Shown):
    """One value of the result, in ``unit`` (a key of ``measures.UNITS``).

    ``entered`` names the control of a value that a person typed and nothing was worked out of: it is shown, judged and
    kept exactly as typed.
    """

    label: str
    value: float
    unit: str = "count"
    entered: str = field(default="", kw_only=True)


@dataclass(frozen=True)
class Told:
    """A figure that is words: a wire gauge, a date, a cylinder."""

    label: str
    text: str


AS_TYPED = "as typed"


@dataclass(frozen=True)
class Band:
    """What the main figure is judged by, in ``unit``. ``source`` names the document, or says that it was typed.

    ``typed`` are the limits as they were typed ("0.006 to 0.010 in"), in ``typed_unit`` where they share one: shown in
    another unit, they are told so as well. ``judged_by`` is the limit of a spec card that it was made of; None for one
    that was typed, or that the tool worked out of more than one limit.
    """

    low: float | None
    high: float | None
    unit: str
    _: KW_ONLY
    nominal: float | None = None
    near_percent: float = 10
    source: str = AS_TYPED
    typed: str = ""
    typed_unit: str = ""
    judged_by: SpecLimit | None = None

    def source_in(self, unit: str) -> str:
        """Where the limits are from, for one who sees them in a unit."""
        as_typed = self.typed and self.typed_unit != unit and self.source.endswith(AS_TYPED)
        return f"{self.source}: {self.typed}" if as_typed else self.source


@dataclass(frozen=True)
class Column(Shown):
    """One column of a table; numbers in it are in ``unit`` and shown as a ``Figure`` would show them."""

    label: str
    unit: str = "count"


@dataclass(frozen=True)
class Table:
    """A table to read off or print. A cell is a number in its column's unit, words, or None for nothing."""

    caption: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[float | str | None]]


@dataclass(frozen=True)
class Outcome:
    """The answer.

    ``sentence`` says it in one sentence. ``main`` is the figure that the log keeps. ``band`` judges it (verdict and
    range strip come by themselves; ``given.judge`` tells the work function the same judgment for its sentence);
    ``verdict`` overrules that, or judges where there is no band: a band that says otherwise is then not kept.
    ``not_judged`` says why there is no verdict where one would be expected, without a period: then nothing judges, no
    spec card either. ``warnings`` are what can hurt somebody, and stand first. ``notes`` are sentences under the
    figures: what it suggests, what to do next. ``logs_as`` and ``condition`` say more exactly than the tool what
    parameter was measured, and under what condition ("cylinder 3, dry"). ``may_be_logged`` is False where what was
    entered says nothing of the thing, so that the record never holds a table beside what it is not for.
    """

    sentence: str
    _: KW_ONLY
    main: Figure | None = None
    figures: Sequence[Figure | Told] = ()
    verdict: Verdict | None = None
    band: Band | None = None
    not_judged: str = ""
    tables: Sequence[Table] = ()
    warnings: Sequence[str] = ()
    notes: Sequence[str] = ()
    logs_as: str = ""
    condition: str = ""
    may_be_logged: bool = True
