"""What the lines so far say of the next ones: their status, their engine, the columns of their table."""

from dataclasses import dataclass, field

from engineering.codes.code import CodeStatus
from engineering.codes.lines import Draft, SeenCode
from engineering.codes.records import Line
from engineering.codes.side_by_side import Sides
from engineering.codes.tables import Columns

UNCLEAR_HEADING = "Status not read: the line above may end the list or begin another."


@dataclass(slots=True)
class Above:
    """What the lines so far say of the next ones."""

    status: CodeStatus | None = None
    unread: str = ""
    unit: str = ""
    is_heading: bool = False
    has_noun: bool = False
    other: str = ""
    earlier: str = ""
    columns: Columns | None = None
    sides: Sides | None = None
    left_open: bool = False
    last_code: Line | None = None
    heading: Draft | None = None
    expected: int | None = None
    counted: int = 0
    read: list[SeenCode] = field(default_factory=list)
    """The codes below the last heading."""
    all_read: list[SeenCode] = field(default_factory=list)
    read_above: list[SeenCode] = field(default_factory=list)
    """Those of the list above the heading that counts, where it may tell the length of that one."""
    sender: int | None = None
    """The MID of the codes below that name none."""

    def forget_heading(self) -> None:
        """A line that is not understood may end the list above it, or begin another."""
        if self.status is not None or self.unread:
            self.status, self.unread = None, UNCLEAR_HEADING
        self.is_heading, self.left_open = False, False
        self.sender = None
        self.check_expected()

    def keep(self, codes: list[SeenCode]) -> None:
        """Remember what was read, for the counts that the text tells."""
        self.read += codes
        self.all_read += codes

    def check_expected(self) -> None:
        """Say so where not as many codes were read as the heading above them counts."""
        if self.heading is not None and self.expected is not None and (told := self._differs(self.expected)):
            self.heading.add(told[0], understood=told[1])
        self.heading = self.expected = None

    def _differs(self, said: int) -> tuple[str, bool] | None:
        """What to say of a count, and whether it agrees with the list above it; None where nothing is to be said."""
        above = len({seen.code for seen in self.read_above})
        if not self.counted and above:
            in_all = len({seen.code for seen in self.all_read})
            return f"It says {said}, and {_number(in_all)} read above it.", said in (above, in_all)
        if self.counted < said:
            return f"It says {said}, and {_number(self.counted)} read.", False
        codes = {seen.code for seen in self.read}
        of_status = {seen.code for seen in self.read if seen.status is self.status}
        others = codes - {seen.code for seen in self.read if seen.status in (self.status, None)}
        if self.status and others and len(codes) - len(others) < said:
            return f"It says {said}, and {_number(len(of_status))} read as {self.status}.", False
        read = len(of_status if self.status else codes)
        return (f"It says {said}, and {_number(read)} read.", False) if read > said else None


def _number(read: int) -> str:
    return f"{read or 'none'} {'was' if read == 1 else 'were'}"
