"""An instrument's text, read line by line. Each line gives one answer, and nothing is dropped."""

from engineering.codes.code import CodeSystem
from engineering.codes.frame_lines import FrameReader
from engineering.codes.lines import Draft, ReadLine, Readout, SeenCode
from engineering.codes.text_lines import TextReader

__all__ = ["MAX_LINES", "MAX_LINE_LENGTH", "ReadLine", "Readout", "SeenCode", "read_text"]

MAX_LINES = 5_000
MAX_LINE_LENGTH = 1_000


def read_text(text: str, *, preferred: CodeSystem | None = None) -> Readout:
    """Read an instrument's text: codes in words, CAN frames in candump notation, service replies in hex.

    Lines are those of ``str.splitlines``. A heading such as "Active codes:" gives its status to the lines after it
    until the next heading; a status in the line itself goes first. Statuses before the first code of a line apply to
    the codes after them, statuses after a code to the codes before them. Nothing is guessed: where a notation can be
    read in two ways the line is not understood, unless ``preferred`` decides it.

    At most MAX_LINES lines of MAX_LINE_LENGTH characters are read; the others are kept and say that they were not.
    Never raises, whatever the text.
    """
    drafts = [Draft(number, line) for number, line in enumerate(text.splitlines(), 1)]
    frames, words = FrameReader(preferred), TextReader(preferred)
    for draft in drafts:
        _read_line(draft, frames, words)
    frames.finish(drafts)
    return Readout(
        lines=tuple(draft.line() for draft in drafts),
        codes=tuple(code for draft in drafts for code in draft.codes),
        lamps=tuple(dict.fromkeys(lamp for draft in drafts for lamp in draft.lamps)),
        no_codes_stated=any(draft.no_codes for draft in drafts),
    )


def _read_line(draft: Draft, frames: FrameReader, words: TextReader) -> None:
    if draft.number > MAX_LINES:
        draft.set(
            "unread", f"Not read: only the first {MAX_LINES} lines are. Paste the rest by itself.", understood=False
        )
    elif len(draft.text) > MAX_LINE_LENGTH:
        draft.set("unread", f"Not read: the line is longer than {MAX_LINE_LENGTH} characters.", understood=False)
    elif not draft.text.strip():
        draft.set("blank", "")
    elif not frames.read(draft):
        words.read(draft)
