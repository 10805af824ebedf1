"""What reading a text gives: one answer for each line, and the codes of all of them."""

from dataclasses import dataclass, field

from engineering.codes.code import Code, CodeStatus


@dataclass(frozen=True, slots=True)
class SeenCode:
    """One code in one line. ``problem`` says what to look at before trusting it; ``raw`` is what stood there."""

    code: Code
    status: CodeStatus | None
    count: int | None
    line: int
    source_address: int | None
    raw: str
    problem: str | None = None


@dataclass(frozen=True, slots=True)
class ReadLine:
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

    lines: tuple[ReadLine, ...]
    codes: tuple[SeenCode, ...]
    lamps: tuple[str, ...]
    no_codes_stated: bool
    """Some line says outright that there are no codes (text, a DM with no code in it, a reply with count 0)."""

    @property
    def understood_lines(self) -> tuple[ReadLine, ...]:
        """The lines that were wholly understood, blank ones left out."""
        return tuple(line for line in self.lines if line.understood and line.kind != "blank")

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

    def set(self, kind: str, sentence: str, *, understood: bool = True) -> None:
        """Say what the line is and what was made of it."""
        self.kind, self.sentence, self.understood = kind, sentence, understood

    def line(self) -> ReadLine:
        """The finished line."""
        return ReadLine(self.number, self.text, self.kind, self.understood, self.sentence, tuple(self.codes))
