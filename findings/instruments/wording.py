"""What is said of an instrument and of its calibration, one rule for pages, log and paper. Pure."""

from __future__ import annotations

from datetime import date

NOT_ON_RECORD = "calibration not on record"


def is_out_of_calibration(until: date | None, day: date) -> bool:
    """Whether a calibration had run out on a day. It still holds on the day that it is due."""
    return until is not None and until < day


def calibration_words(calibrated_on: date | None, until: date | None, day: date) -> str:
    """How an instrument stood on a day: what is not known is said, and nothing is taken for granted."""
    if until is not None and is_out_of_calibration(until, day):
        return f"out of calibration (was due {day_words(until)})"
    if until is not None:
        return f"calibrated until {day_words(until)}"
    if calibrated_on is not None:
        return f"calibrated {day_words(calibrated_on)}, no due date on record"
    return NOT_ON_RECORD


def instrument_words(registered_as: str, typed: str) -> str:
    """The instrument's name in the register, and beside it what the person typed, where that says more."""
    if not registered_as or not typed or typed.casefold() == registered_as.casefold():
        return registered_as or typed
    return f"{registered_as} ({typed})"


def day_words(day: date) -> str:
    """A day as people write it: Mar 4, 2026."""
    return f"{day:%b} {day.day}, {day.year}"
