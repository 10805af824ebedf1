"""The hours that an instrument’s text gives itself: offered where they can be that engine’s, and said to be read."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils import timezone

from engineering.canonical import plain_decimal
from engineering.hours import hours_said, hours_words
from findings.faults.pasting import PasteRead
from vessels.models import ControlUnit
from vessels.shown_hours import doubt_about


def offered_hours(read: PasteRead, units: Sequence[ControlUnit], chosen: ControlUnit) -> str:
    """What is filled in for the meter of the chosen unit's engine: nothing, unless the text says it beyond doubt."""
    said = hours_said(text_of(read))
    if said is None or chosen.engine is None or _why_not(read, units, chosen):
        return ""
    return plain_decimal(said.hours)


def hours_words_read(read: PasteRead, units: Sequence[ControlUnit], chosen: ControlUnit) -> str:
    """What the text says about hours, in words; empty where it says nothing."""
    said = hours_said(text_of(read))
    if said is None or chosen.engine is None:
        return ""
    doubt = _why_not(read, units, chosen)
    if doubt:
        return f"Line {said.line} of the text says {hours_words(said.hours)}. That is not filled in: {doubt}"
    return f"Read from the text, line {said.line}: “{said.text}”."


def text_of(read: PasteRead) -> str:
    """The text that was read."""
    return "\n".join(line.text for line in read.readout.lines)


def _why_not(read: PasteRead, units: Sequence[ControlUnit], chosen: ControlUnit) -> str:
    engines = {unit.pk: unit.engine_id for unit in units}
    if any(engines.get(code.unit_id) != chosen.engine_id for code in read.codes):
        return "codes of the text belong to more than one engine."
    said = hours_said(text_of(read))
    return doubt_about(chosen.engine, said.hours if said else None, timezone.now())
