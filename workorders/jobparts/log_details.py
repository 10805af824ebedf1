"""What the vessel log shows of a fitted part: the question for it, and its markup."""

from __future__ import annotations

from typing import Any

from django.utils.safestring import SafeString

from web.addresses import address_of
from web.markup import NOTHING, filled
from workorders.jobparts.models import FATES

FITTED = """
    SELECT fitted.entry_id, json_build_object(
        'part', fitted.part_id, 'number', fitted.number, 'line', line.position,
        'old_serial', fitted.old_serial, 'old_fate', fitted.old_fate)::text AS facts
    FROM jobparts_partfitted fitted LEFT JOIN workorders_jobline line ON line.id = fitted.line_id
    WHERE fitted.entry_id = ANY(%(keys)s)
"""
_FATES = dict(FATES)


def old_part_words(serial: str, fate: str) -> str:
    """What came out, and what became of it: “serial 4411, scrapped”; nothing where nothing was said."""
    said = [f"serial {serial}" if serial else "", _FATES.get(fate, fate)]
    return ", ".join(word for word in said if word)


def fitted(facts: dict[str, Any]) -> SafeString:
    """Which line it was for, where the catalog has it, and what came out."""
    old = old_part_words(facts["old_serial"], facts["old_fate"])
    pieces = [
        filled("For line {}. ", facts["line"]) if facts["line"] is not None else NOTHING,
        filled("Old part: {}. ", old) if old else NOTHING,
        filled('<a href="{}">In the catalog</a>', address_of("parts:part", facts["part"]))
        if facts["part"]
        else NOTHING,
    ]
    if not any(pieces):
        return NOTHING
    return filled('<p class="small">{}{}{}</p>', *pieces)
