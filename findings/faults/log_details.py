"""What the vessel log shows of scans, clears and work: the question for it, and its markup."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache
from typing import Any

from django.utils.safestring import SafeString

from findings.faults.models import ClearedFault, Scan
from findings.instruments.queries import made_with
from findings.log_parts import file_link, with_days
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
                  FROM faults_sighting seen WHERE seen.scan_id = scan.entry_id))::text AS facts
    FROM faults_scan scan JOIN vessels_logentry entry ON entry.id = scan.entry_id
    WHERE scan.entry_id = ANY(%(keys)s)
"""
CLEAR = """
    SELECT clear.entry_id, json_build_object('everything', clear.everything,
        'codes', (SELECT json_agg(json_build_array(named.fault_id, named.system, named.code) ORDER BY named.id)
                  FROM faults_clearedfault named WHERE named.clear_id = clear.entry_id))::text AS facts
    FROM faults_clear clear WHERE clear.entry_id = ANY(%(keys)s)
"""
WORK = """
    SELECT work.entry_id, json_build_object('concern', line.concern,
        'codes', (SELECT json_agg(json_build_array(about.fault_id, about.system, about.code) ORDER BY about.id)
                  FROM faults_workonfault about WHERE about.work_id = work.entry_id))::text AS facts
    FROM faults_workdone work LEFT JOIN workorders_jobline line ON line.id = work.line_id
    WHERE work.entry_id = ANY(%(keys)s)
"""


def scan(facts: dict[str, Any]) -> SafeString:
    """The codes of a scan, what it was read with, and the text that was pasted."""
    codes = each_filled("<li>{}: {}{}</li>", map(_sighting, facts["codes"] or ()))
    return filled(
        '<div class="stack-tight">{}{}{}{}</div>',
        filled("<ul>{}</ul>", codes) if codes else "",
        _how_it_was_read(_scanned_with(facts), facts["not_understood"], is_log=bool(facts["file"])),
        file_link(facts["file"]),
        _pasted(facts["raw"], is_log=bool(facts["file"])) if facts["raw"] else "",
    )


def read_from(facts: dict[str, Any]) -> str:
    """What a scan was read from, where somebody did not log it by touch."""
    return "from a CAN log" if facts["file"] else "from a pasted text" if facts["raw"] else ""


def _sighting(row: Sequence[Any]) -> tuple[SafeString, str, SafeString | str]:
    fault, system, code, status, count = row
    times = "" if count is None else filled(' <span class="num">×{}</span>', count)
    return _code(fault, system, code), status, times


def _scanned_with(facts: dict[str, Any]) -> str:
    found = Scan(**with_days(facts["made_with"]))
    said = made_with(found, datetime.fromisoformat(facts["at"]), calibration_matters=False)
    return ", ".join(word for word in (said.words, said.calibration) if word)


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
