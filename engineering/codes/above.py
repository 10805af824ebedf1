"""What the lines so far say of the next ones: their status, their engine, the columns of their table."""

from dataclasses import dataclass

from engineering.codes.code import CodeStatus
from engineering.codes.lines import Draft
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
    sender: int | None = None
    """The MID of the codes below that name none."""

    def forget_heading(self) -> None:
        """A line that is not understood may end the list above it, or begin another."""
        if self.status is not None or self.unread:
            self.status, self.unread = None, UNCLEAR_HEADING
        self.is_heading, self.left_open = False, False
        self.sender = None
        self.check_expected()

    def check_expected(self) -> None:
        """Say so where fewer codes were read than the heading above them counts."""
        if self.heading is not None and self.expected is not None and self.counted < self.expected:
            told = (
                f"It says {self.expected}, and {self.counted or 'none'} {'was' if self.counted == 1 else 'were'} read."
            )
            self.heading.add(told, understood=False)
        self.heading = self.expected = None
