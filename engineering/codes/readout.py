"""An instrument's text, read line by line. Each line gives one answer, and nothing is dropped."""

from engineering.codes.code import CodeSystem
from engineering.codes.frame_lines import FrameReader
from engineering.codes.lines import Draft, ReadLine, Readout, SeenCode, readout_of
from engineering.codes.text_lines import TextReader

__all__ = ["MAX_LINES", "MAX_LINE_LENGTH", "ReadLine", "Readout", "SeenCode", "read_text"]

MAX_LINES = 5_000
MAX_LINE_LENGTH = 1_000
_TOO_MANY = f"Not read: only the first {MAX_LINES} lines are. Paste the rest by itself."


def read_text(text: str, *, preferred: CodeSystem | None = None, typed: bool = False) -> Readout:
    """Read an instrument's text: codes in words, CAN frames in candump notation, service replies in hex.

    Lines are those of ``str.splitlines``. A heading such as "Active codes:" gives its status to the lines after it
    until the next heading, or a line that may be one; a status in the line itself goes first. Statuses before the
    first code of a line apply to the codes after them, statuses after a code to the codes before them.

    A code is ``certain`` only where the text clearly lists it. Where it may be there (it stands in a sentence, it is
    misspelled, nothing beside it says that it is a code) it is given with the ``reason``. What the text says is not
    there, and what only looks like a code, is told in its line. A status or a count that could not be told is None,
    and ``unread`` says so. With ``typed`` a person wrote the text as codes, one a line: nothing more needs to say so.

    At most MAX_LINES lines of MAX_LINE_LENGTH characters are read; the others are kept and say that they were not.
    Never raises, whatever the text.
    """
    lines = text.splitlines()
    drafts = [Draft(number, line) for number, line in enumerate(lines[:MAX_LINES], 1)]
    frames, words = FrameReader(preferred), TextReader(preferred, typed=typed)
    for draft in drafts:
        if len(draft.text) > MAX_LINE_LENGTH:
            draft.set("unread", f"Not read: the line is longer than {MAX_LINE_LENGTH} characters.", understood=False)
            words.take(draft, is_frame=True)
        elif not draft.text.strip():
            draft.set("blank", "")
            words.take(draft)
        else:
            words.take(draft, is_frame=frames.read(draft))
    frames.finish(drafts)
    words.finish()
    return readout_of(drafts, lines[MAX_LINES:], _TOO_MANY)
