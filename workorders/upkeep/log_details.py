"""What the vessel log shows of a service that was done: the question for it, and its markup."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.utils.safestring import SafeString

from engineering.hours import hours_words
from vessels.log.evidence import SUPERSEDED
from web.markup import each_filled, filled, joined
from workorders.upkeep.models import interval_words

DONE = f"""
    SELECT done.entry_id, json_build_object(
        'line', line.position,
        'read', (SELECT reading.engine_hours::text FROM vessels_logentry reading
                 WHERE reading.id = done.read_in_id AND NOT {SUPERSEDED.replace("entry.", "reading.")}),
        'services', (SELECT json_agg(json_build_object(
                        'name', version.name, 'hours', version.every_hours::text, 'months', version.every_months
                     ) ORDER BY service.id)
                     FROM upkeep_serviceof service JOIN upkeep_planversion version
                       ON version.id = service.plan_version_id WHERE service.done_id = done.entry_id)
        )::text AS facts
    FROM upkeep_servicedone done LEFT JOIN workorders_jobline line ON line.id = done.line_id
    WHERE done.entry_id = ANY(%(keys)s)
"""  # noqa: S608  (put together from what the program says)


def done(facts: dict[str, Any]) -> SafeString:
    """Which line it was for, the intervals of that day, and the hours that it counts from where others read them."""
    said = []
    if facts["line"] is not None:
        said.append(filled("For line {}. ", facts["line"]))
    if facts["read"]:
        said.append(filled("Counts from {}, as read on this job. ", hours_words(Decimal(facts["read"]))))
    every = [
        (one["name"], interval_words(Decimal(one["hours"]) if one["hours"] else None, one["months"]))
        for one in facts["services"] or []
    ]
    services = each_filled("{}: every {}. ", every)
    return filled('<p class="small">{}{}</p>', joined(said), services)
