"""What the vessel log shows of scans, clears, work and readings: the question for it, and its markup."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from functools import lru_cache
from typing import Any
from uuid import UUID

from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.safestring import SafeString

from findings.drawing.strip import range_strip
from findings.instruments.queries import MadeWithWords, made_with
from findings.models import ClearedFault, Parameter, Reading, Scan
from findings.readings.queries import limits_words, reading_row
from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled

SCAN = """
    SELECT scan.entry_id, json_build_object(
        'made_with', json_build_object(
            'instrument', scan.instrument, 'registered_id', scan.registered_id,
            'registered_as', scan.registered_as, 'instrument_serial', scan.instrument_serial,
            'calibrated_on', scan.calibrated_on, 'calibrated_until', scan.calibrated_until),
        'at', entry.happened_at, 'raw', scan.raw, 'not_understood', scan.not_understood, 'file', scan.file_sha256,
        'codes', (SELECT json_agg(json_build_array(seen.fault_id, seen.system, seen.code, seen.status, seen.count)
                                  ORDER BY seen.id)
                  FROM findings_sighting seen WHERE seen.scan_id = scan.entry_id))::text
    FROM findings_scan scan JOIN vessels_logentry entry ON entry.id = scan.entry_id
    WHERE scan.entry_id = ANY(%(keys)s)
"""
CLEAR = """
    SELECT clear.entry_id, json_build_object('everything', clear.everything,
        'codes', (SELECT json_agg(json_build_array(named.fault_id, named.system, named.code) ORDER BY named.id)
                  FROM findings_clearedfault named WHERE named.clear_id = clear.entry_id))::text
    FROM findings_clear clear WHERE clear.entry_id = ANY(%(keys)s)
"""
WORK = """
    SELECT work.entry_id, json_build_object('concern', line.concern,
        'codes', (SELECT json_agg(json_build_array(about.fault_id, about.system, about.code) ORDER BY about.id)
                  FROM findings_workonfault about WHERE about.work_id = work.entry_id))::text
    FROM findings_workdone work LEFT JOIN workorders_jobline line ON line.id = work.line_id
    WHERE work.entry_id = ANY(%(keys)s)
"""
READING = """
    SELECT reading.entry_id, json_build_object('reading', to_json(reading), 'parameter', parameter.name,
        'at', entry.happened_at)::text
    FROM findings_reading reading JOIN findings_parameter parameter ON parameter.id = reading.parameter_id
    JOIN vessels_logentry entry ON entry.id = reading.entry_id
    WHERE reading.entry_id = ANY(%(keys)s)
"""


def scan(facts: dict[str, Any]) -> SafeString:
    """The codes of a scan, what it was read with, and the text that was pasted."""
    codes = each_filled("<li>{}: {}{}</li>", map(_sighting, facts["codes"] or ()))
    return filled(
        '<div class="stack-tight">{}{}{}{}</div>',
        filled("<ul>{}</ul>", codes) if codes else "",
        _how_it_was_read(_scanned_with(facts), facts["not_understood"], is_log=bool(facts["file"])),
        _file_link(facts["file"]),
        _pasted(facts["raw"], is_log=bool(facts["file"])) if facts["raw"] else "",
    )


def _sighting(row: Sequence[Any]) -> tuple[SafeString, str, SafeString | str]:
    fault, system, code, status, count = row
    times = "" if count is None else filled(' <span class="num">×{}</span>', count)
    return _code(fault, system, code), status, times


def _scanned_with(facts: dict[str, Any]) -> str:
    found = Scan(**_with_days(facts["made_with"]))
    said = made_with(found, datetime.fromisoformat(facts["at"]), calibration_matters=False)
    return ", ".join(word for word in (said.words, said.calibration) if word)


def _with_days(columns: dict[str, Any]) -> dict[str, Any]:
    """Columns of a row out of JSON, days as days."""
    days = ("calibrated_on", "calibrated_until")
    return columns | {name: date.fromisoformat(columns[name]) for name in days if columns[name]}


def _how_it_was_read(instrument: str, lost: int, *, is_log: bool) -> SafeString | str:
    said = [f"Read with {instrument}."] if instrument else []
    if lost:
        what, whole = ("frame", "of the log") if is_log else ("line", "of the pasted text")
        said.append(
            f"{lost} {what} {whole} was not understood."
            if lost == 1
            else f"{lost} {what}s {whole} were not understood."
        )
    return filled('<p class="soft">{}</p>', " ".join(said)) if said else ""


def _file_link(digest: str | None) -> SafeString | str:
    """The way to the CAN log that was read, where there was one."""
    if not digest:
        return ""
    url = reverse("findings:can_log_file", args=[digest])
    return filled('<p class="small"><a href="{}">The CAN log it was read from</a></p>', url)


def _pasted(text: str, *, is_log: bool) -> SafeString:
    return filled(
        '<details class="more"><summary>{0}</summary>'
        '<pre class="region" role="region" tabindex="0" aria-label="{0}">{1}</pre></details>',
        "What the log says of this unit" if is_log else "The text as it was pasted",
        text,
    )


def clear(facts: dict[str, Any]) -> SafeString:
    """The codes that a clear named; one of everything names none."""
    return NOTHING if facts["everything"] else _codes(facts["codes"])


def work(facts: dict[str, Any]) -> SafeString:
    """What the work was about."""
    concern = filled('<p class="soft">For “{}”</p>', facts["concern"]) if facts["concern"] else ""
    return filled("{}{}", _codes(facts["codes"]) if facts["codes"] else "", concern)


def reading(facts: dict[str, Any]) -> SafeString:
    """A reading beside its limits."""
    found = Reading(**_with_days(facts["reading"]) | {"entry_id": UUID(facts["reading"]["entry_id"])})
    found.parameter = Parameter(pk=found.parameter_id, name=facts["parameter"])
    row = reading_row(found)
    measured = made_with(found, datetime.fromisoformat(facts["at"]))
    limits = f"{limits_words(row.band, found.limits_from)}. " if row.band else ""
    return filled(
        '{}<p class="small soft">{}{}</p>{}{}{}',
        range_strip(row.strip) if row.strip else "",
        limits,
        _measured_with(measured),
        _out_of_calibration(measured),
        _file_link(found.file_sha256),
        render_to_string("findings/readings/working.html", {"working": row.working}) if row.working else "",
    )


def _measured_with(said: MadeWithWords) -> str:
    if not said.words:
        return ""
    calibration = f", {said.calibration}" if said.calibration and not said.is_out else ""
    return f"Measured with {said.words}{calibration}."


def _out_of_calibration(said: MadeWithWords) -> SafeString | str:
    """That an instrument's calibration had run out is said by itself, so that nobody reads past it."""
    return filled('<p><span class="tag tag-signal tag-words">{}</span></p>', said.calibration) if said.is_out else ""


def _codes(codes: Sequence[Sequence[Any]] | None) -> SafeString:
    return filled("<ul>{}</ul>", each_filled("<li>{}</li>", ((_code(*code),) for code in codes or ())))


def _code(fault: int, system: str, code: str) -> SafeString:
    """A code as a link to its fault, with what it says by itself."""
    return filled(
        '<a class="code" href="{}">{}</a> {}',
        address_of("findings:fault", fault),
        *_said(system, code),
    )


@lru_cache(maxsize=2000)
def _said(system: str, code: str) -> tuple[str, str]:
    """A code as people write it, and what it says by itself."""
    named = ClearedFault(system=system, code=code)
    return named.label, named.meaning
