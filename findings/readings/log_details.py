"""What the vessel log shows of readings: the question for it, and its markup."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from findings.drawing.strip import range_strip
from findings.instruments.queries import MadeWithWords
from findings.log_parts import file_link, with_days
from findings.readings.by_hand import CHAIN, by_hand_words
from findings.readings.models import Parameter, Reading
from findings.readings.queries import limits_words, measured_with, reading_row
from vessels.models import LogEntry
from web.markup import filled

READING = f"""
    SELECT reading.entry_id, json_build_object('reading', to_json(reading), 'parameter', parameter.name,
        'at', entry.happened_at, 'engine', entry.engine_id, 'amends', entry.amends_id,
        'chain', {CHAIN})::text AS facts
    FROM readings_reading reading JOIN readings_parameter parameter ON parameter.id = reading.parameter_id
    JOIN vessels_logentry entry ON entry.id = reading.entry_id
    WHERE reading.entry_id = ANY(%(keys)s)
"""  # noqa: S608  (put together from what the program says)


def reading(facts: dict[str, Any]) -> SafeString:
    """A reading beside its limits."""
    found = Reading(**with_days(facts["reading"]) | {"entry_id": UUID(facts["reading"]["entry_id"])})
    found.entry = LogEntry(pk=found.entry_id, engine_id=facts["engine"], amends_id=facts["amends"])
    found.parameter = Parameter(pk=found.parameter_id, name=facts["parameter"])
    row = reading_row(found)
    measured = measured_with(found, datetime.fromisoformat(facts["at"]))
    limits = f"{limits_words(row.band, found.limits_from)}. " if row.band else ""
    return filled(
        '{}<p class="small soft">{}{}</p>{}{}{}',
        range_strip(row.strip) if row.strip else "",
        limits,
        _measured_with(measured),
        _out_of_calibration(measured),
        file_link(found.file_sha256, by_hand_words(found, facts["chain"])),
        render_to_string("findings/readings/working.html", {"working": row.working}) if row.working else "",
    )


def read_from(facts: dict[str, Any]) -> str:
    """What a reading was read from, where that was a file."""
    return "from a CAN log" if facts["reading"]["file_sha256"] else ""


def _measured_with(said: MadeWithWords) -> str:
    if not said.words:
        return said.remark
    calibration = f", {said.calibration}" if said.calibration and not said.is_out else ""
    return f"Measured with {said.words}{calibration}. {said.remark}".strip()


def _out_of_calibration(said: MadeWithWords) -> SafeString | str:
    """That an instrument's calibration had run out is said by itself, so that nobody reads past it."""
    return filled('<p><span class="tag tag-signal tag-words">{}</span></p>', said.calibration) if said.is_out else ""
