"""What the vessel log shows of readings: the question for it, and its markup."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from findings.drawing.strip import range_strip
from findings.instruments.queries import MadeWithWords
from findings.log_parts import file_link, with_days
from findings.readings.by_hand import CHAIN, by_hand_words
from findings.readings.models import Parameter, Reading, SpecLimit
from findings.readings.queries import limits_words, measured_with, reading_row
from findings.readings.revising import entered_after_words, revision_words
from vessels.models import LogEntry
from web.addresses import address_of
from web.markup import filled

_FIGURES = {"low", "nominal", "high", "near_percent"}

READING = f"""
    SELECT reading.entry_id, json_build_object('reading', to_json(reading), 'parameter', parameter.name,
        'at', entry.happened_at, 'engine', entry.engine_id, 'amends', entry.amends_id,
        'chain', {CHAIN}, 'judged_by', (SELECT json_build_object('card', old.card_id, 'ended', old.ended_at,
            'begun', CASE WHEN old.begun_by_id IS NOT NULL THEN old.begun_at END,
            'who', who.name, 'next', to_json(next_one)) FROM readings_speclimit old
            LEFT JOIN staff_person who ON who.id = old.ended_by_id
            LEFT JOIN readings_speclimit next_one ON next_one.replaces_id = old.id
            WHERE old.id = reading.judged_by_id AND (old.ended_at IS NOT NULL OR old.begun_at > entry.happened_at))
        )::text AS facts
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
    remark = f"{row.remark_then} " if row.remark_then else ""
    return filled(
        '{}<p class="small soft">{}{}{}</p>{}{}{}{}',
        range_strip(row.strip) if row.strip else "",
        limits,
        remark,
        _measured_with(measured),
        _revised(facts["judged_by"], datetime.fromisoformat(facts["at"])),
        _out_of_calibration(measured),
        file_link(found.file_sha256, by_hand_words(found, facts["chain"])),
        render_to_string("findings/readings/working.html", {"working": row.working}) if row.working else "",
    )


def _revised(facts: dict[str, Any] | None, read_at: datetime) -> SafeString | str:
    """What became of the limit that judged it, and that it is younger than the reading; nothing where neither is so."""
    if facts is None:
        return ""
    figures = {
        name: Decimal(str(value)) if name in _FIGURES and value is not None else value
        for name, value in (facts["next"] or {}).items()
    }
    ended, begun = (datetime.fromisoformat(facts[one]) if facts[one] else None for one in ("ended", "begun"))
    became = revision_words(ended, facts["who"] or "", SpecLimit(**figures) if figures else None)
    words = " ".join(filter(None, [entered_after_words(begun, read_at), became]))
    if not words:
        return ""
    address = address_of("findings:card", facts["card"])
    return filled('<p class="small soft">{} <a href="{}">The card</a></p>', words, address)


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
