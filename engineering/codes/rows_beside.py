"""Rows below the names of engines side by side: each cell is read as a line of its own engine."""

from collections.abc import Callable
from dataclasses import replace

from engineering.codes.above import Above
from engineering.codes.code import CodeSystem
from engineering.codes.lines import Draft
from engineering.codes.records import Line
from engineering.codes.side_by_side import Sides
from engineering.codes.tables import is_rule
from engineering.codes.text_tokens import tokens_in
from engineering.codes.vocabulary import tidied

_WHOSE = "Engines stand side by side above it: whose it is could not be told."


def begin_sides(line: Line, sides: Sides, above: Above) -> None:
    """The names of engines side by side: what stands below each is its own."""
    above.check_expected()
    above.sides, above.unit, above.columns, above.last_code = sides, "", None, None
    above.is_heading, above.other, above.earlier, above.left_open = True, "", "", False
    line.draft.set("heading", "Engines side by side: what stands below the name of each is its own.")


def read_beside(
    line: Line, sides: Sides, above: Above, preferred: CodeSystem | None, read_codes: Callable[[Line], None]
) -> bool:
    """Read a row below engines side by side, by ``read_codes`` for each cell; False where none of them has a code."""
    if is_rule(line.text):
        line.draft.set("note", "A rule; it says nothing.")
        return True
    if not line.codes:
        return False
    draft = line.draft
    parts = sides.parts(draft.text)
    if parts is None:
        above.unit = ""
        read_codes(line)
        draft.codes = [replace(seen, reason=seen.reason or _WHOSE) for seen in draft.codes]
        draft.set(draft.kind, f"{draft.sentence} {_WHOSE}".strip(), understood=False)
        return True
    said: list[str] = []
    understood = True
    for name, cell in parts:
        part = Line(Draft(draft.number, cell), tidied(cell), block=line.block)
        part.tokens = tokens_in(part.text, preferred)
        if not part.codes:
            continue
        above.unit = name
        read_codes(part)
        draft.codes += part.draft.codes
        draft.denied += part.draft.denied
        said.append(f"{name}: {part.draft.sentence}")
        understood = understood and part.draft.understood
    above.unit, above.last_code = "", None
    draft.set("code" if draft.codes else "unknown", " ".join(said), understood=understood)
    return True
