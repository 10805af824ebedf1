"""What reading a text gives: one answer for each line, and the codes of all of them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, overload

from engineering.codes.code import Code, CodeStatus


@dataclass(frozen=True, slots=True)
class SeenCode:
    """One code in one line. ``problem`` says what to look at before trusting it; ``raw`` is what stood there.

    ``reason`` says why the text may not mean that this code is there: such a code is offered, and never taken by
    itself. ``unread`` says what was said beside the code and could not be told: its status, its count. ``unit`` is
    the engine or unit that the text puts it under, as written there.
    """

    code: Code
    status: CodeStatus | None
    count: int | None
    line: int
    source_address: int | None
    raw: str
    problem: str | None = None
    reason: str | None = None
    unread: tuple[str, ...] = ()
    unit: str | None = None

    @property
    def certain(self) -> bool:
        """Whether the text says clearly that the code is there."""
        return self.reason is None


class ReadLine(NamedTuple):
    """One line of the input, counted from 1, as it stood, and what was made of it.

    ``understood`` is False as soon as anything in the line was not: ``codes`` may still hold the part that was.
    ``kind`` is one of "blank", "code", "heading", "no codes", "lamp", "frame", "transport", "reply", "note",
    "unknown", "unread".
    """

    number: int
    text: str
    kind: str
    understood: bool
    sentence: str
    codes: tuple[SeenCode, ...] = ()


@dataclass(frozen=True, slots=True)
class Readout:
    """A whole text read: every line in order, and the codes and lamps of all of them."""

    lines: Sequence[ReadLine]
    codes: tuple[SeenCode, ...]
    lamps: tuple[str, ...]
    no_codes_stated: bool
    """Some line says outright that there are no codes (text, a DM with no code in it, a reply with count 0)."""
    no_codes_at_all: bool = False
    """Such a line names no single status: it speaks of all codes."""
    lists: frozenset[CodeStatus] = frozenset()
    """The statuses by which lists are named, with codes in them or none: "Active codes:"; not those of one code."""

    @property
    def not_understood_lines(self) -> tuple[ReadLine, ...]:
        """The lines in which something was not understood."""
        return tuple(line for line in self.lines if not line.understood)


@dataclass(slots=True)
class Draft:
    """A line while it is being read: a later line may still complete it, or show that it never will be."""

    number: int
    text: str
    kind: str = "unknown"
    understood: bool = False
    sentence: str = ""
    codes: list[SeenCode] = field(default_factory=list)
    lamps: list[str] = field(default_factory=list)
    no_codes: bool = False
    no_codes_at_all: bool = False
    denied: list[tuple[Code, str]] = field(default_factory=list)
    """The codes that the line says are not there, each with its engine or unit."""
    none_under: str = ""
    """The engine or unit of which it says that there are no codes; empty where it names none."""
    lists: set[CodeStatus] = field(default_factory=set)
    """The statuses by which it names a list."""

    def set(self, kind: str, sentence: str, *, understood: bool = True) -> None:
        """Say what the line is and what was made of it."""
        self.kind, self.sentence, self.understood = kind, sentence, understood

    def add(self, sentence: str, *, understood: bool) -> None:
        """Say more of the line."""
        self.sentence = f"{self.sentence} {sentence}".strip()
        self.understood = self.understood and understood

    def line(self) -> ReadLine:
        """The finished line."""
        return ReadLine(self.number, self.text, self.kind, self.understood, self.sentence, tuple(self.codes))


@dataclass(frozen=True, slots=True)
class LinesAndRest(Sequence[ReadLine]):
    """Lines that were read, and those after them that were not: each of these is made when it is asked for.

    A text of a million empty lines is then kept as it stands, at no more cost than the text itself.
    """

    read: tuple[ReadLine, ...]
    rest: Sequence[str]
    told: str
    """What an unread line says; an empty one says nothing."""

    def __len__(self) -> int:
        """All of them."""
        return len(self.read) + len(self.rest)

    def __iter__(self) -> Iterator[ReadLine]:
        """In order."""
        yield from self.read
        for number, text in enumerate(self.rest, len(self.read) + 1):
            yield self._unread(number, text)

    @overload
    def __getitem__(self, at: int) -> ReadLine: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[ReadLine]: ...
    def __getitem__(self, at: int | slice) -> ReadLine | Sequence[ReadLine]:
        """One line, or some."""
        if isinstance(at, slice):
            return tuple(self[one] for one in range(*at.indices(len(self))))
        place = range(len(self))[at]
        if place < len(self.read):
            return self.read[place]
        return self._unread(place + 1, self.rest[place - len(self.read)])

    def _unread(self, number: int, text: str) -> ReadLine:
        if text.strip():
            return ReadLine(number, text, "unread", False, self.told)
        return ReadLine(number, text, "blank", True, "")


def readout_of(drafts: Iterable[Draft], unread: Sequence[str], told: str) -> Readout:
    """The drafts finished, with the lines after them that nobody read and what is ``told`` of each."""
    drafts = list(drafts)
    return Readout(
        lines=LinesAndRest(tuple(draft.line() for draft in drafts), unread, told),
        codes=tuple(code for draft in drafts for code in draft.codes),
        lamps=tuple(dict.fromkeys(lamp for draft in drafts for lamp in draft.lamps)),
        no_codes_stated=any(draft.no_codes for draft in drafts),
        no_codes_at_all=any(draft.no_codes_at_all for draft in drafts),
        lists=frozenset(status for draft in drafts for status in draft.lists),
    )
