"""A pasted text on the sheet: each line that is understood fills its row, every other one stays where it was pasted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from engineering.units import Kind, units_of
from findings.instruments.models import Instrument
from findings.readings.finding import matching
from findings.readings.lines import ReadLine, is_bare, may_be_thousands, read_lines
from findings.readings.models import LearnedName, Parameter


@dataclass(frozen=True)
class SkippedLine:
    """A line that is not on the sheet: why not, and what its name may mean where that is to be said."""

    line: ReadLine
    why: str
    offered: Sequence[Parameter] = ()


@dataclass
class Pasted:
    """What a text comes to: values for rows, in its order, and what is left of it."""

    values: list[tuple[Parameter, ReadLine]] = field(default_factory=list)
    left: list[SkippedLine] = field(default_factory=list)
    learned: list[tuple[str, Parameter]] = field(default_factory=list)
    parameters: Sequence[Parameter] = ()
    unread: Sequence[str] = ()

    @property
    def without_unit(self) -> Sequence[Parameter]:
        """What went to its row without a unit of its own, where another one than the row's is as likely."""
        left = {id(one.line) for one in self.left}
        found = [of for of, line in self.values if is_bare(line.value) and id(line) not in left]
        return [of for of in found if len(units_of(Kind(of.kind))) > 1]

    @property
    def text_left(self) -> str:
        """The lines that are not on the sheet, as they were pasted."""
        return "\n".join([*(one.line.text for one in self.left), *self.unread])


def folded(name: str) -> str:
    """A name as it is compared."""
    return " ".join(name.split()).casefold()[:120]


def pasted(text: str, registered: Instrument | None, instrument: str, told: Mapping[str, Parameter]) -> Pasted:
    """What a text of an instrument comes to. ``told`` says what names mean that this person was asked about.

    A name is what the list of readings calls so, else what the shop learned of this instrument; nothing is guessed.
    """
    parameters = list(Parameter.objects.all())
    known = {folded(one.name): one for one in parameters}
    learned = learned_names(registered, instrument)
    lines, unread = read_lines(text)
    found = Pasted(parameters=parameters, unread=unread)
    taken: set[int] = set()
    for line in lines:
        if not line.name:
            found.left.append(SkippedLine(line, "There is no name with a value in it."))
            continue
        name = folded(line.name)
        parameter = known.get(name) or told.get(name) or learned.get(name)
        if parameter is None:
            found.left.append(SkippedLine(line, "This name is not known here.", matching(line.name, parameters)))
        elif parameter.kind == Kind.ROTATION and (number := may_be_thousands(line.value)):
            large = number.replace(".", "")
            found.left.append(
                SkippedLine(line, f"“{number}” can mean {large} or {number}: write it without the point.")
            )
        elif parameter.pk in taken:
            found.left.append(SkippedLine(line, f"{parameter.name} stands in the text twice."))
        else:
            taken.add(parameter.pk)
            if name not in known:
                found.learned.append((line.name, parameter))
            found.values.append((parameter, line))
    return found


def learned_names(registered: Instrument | None, instrument: str) -> dict[str, Parameter]:
    """What names mean on an instrument: the registered one, else the one that was typed."""
    of = {"registered": registered} if registered else {"registered": None, "instrument": folded(instrument)}
    return {one.name: one.parameter for one in LearnedName.objects.filter(**of).select_related("parameter")}
