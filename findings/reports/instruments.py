"""What the paper says of the instrument that a value or a read-out was made with. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from findings.instruments.wording import calibration_words, is_out_of_calibration
from findings.reports.record import ReadingFacts, ScanFacts

NOT_NAMED = "instrument not named"
DIGITS = 12
"""So much of a file's SHA-256 tells it from every other of a shop."""


@dataclass(frozen=True)
class MadeWith:
    """An instrument in words, and apart from them its calibration; ``is_out`` where that had run out."""

    words: str
    calibration: str
    is_out: bool


def made_with(one: ReadingFacts | ScanFacts) -> MadeWith:
    """What a reading was measured with, or a scan read with, and how that stood in its calibration on the day.

    Nothing is said of the calibration of an instrument that nobody named, nor of one that lists codes and measures
    nothing, unless there is one on record. A value out of a CAN log was measured by the boat's own sensor,
    unless somebody corrected it by hand: that value is in no log.
    """
    is_reading = isinstance(one, ReadingFacts)
    words = one.instrument
    if words and one.instrument_serial:
        words += f", serial {one.instrument_serial}"
    if one.file_sha256:
        file = f"CAN log {one.file_sha256[:DIGITS]}…"
        source = f"the boat’s own sensors, from {file}" if is_reading else f"from {file}"
        if isinstance(one, ReadingFacts) and one.by_hand:
            source = f"{one.by_hand} ({file})"
        words = f"{source}, recorded with {words}" if words else source
    elif not words:
        return MadeWith(NOT_NAMED if is_reading else "", "", is_out=False)
    if one.calibrated_on is None and one.calibrated_until is None and (one.file_sha256 or not is_reading):
        return MadeWith(words, "", is_out=False)
    day = one.at.date()
    said = calibration_words(one.calibrated_on, one.calibrated_until, day)
    return MadeWith(words, said, is_out_of_calibration(one.calibrated_until, day))
