"""Jobs, reports, faults and parts that fit."""

from __future__ import annotations

import re
from typing import Any

from django.urls import reverse

from engineering.codes import Code, CodeSystem, recognize
from findings.faults.models import ClearedFault
from parts.queries import found_parts
from shopfloor.search.found import FEW, FaultMark, Group, Hit, has_digit, list_of
from vessels.models.hulls import POSITION_WORDS
from vessels.models.searching import squeeze
from vessels.queries.finding import beginning, identifier
from vessels.wording import day_words
from web.addresses import address_of
from web.rows import rows
from workorders.jobparts.models import part_words
from workorders.jobparts.queries.aboard import FoundFitted, found_fitted
from workorders.states import LABELS, JobState

_JOB = re.compile(r"(?:job|no|nr|#)?[\s.#:]*([0-9]{1,9})", re.IGNORECASE)
_REPORT = re.compile(r"(?:report|no|nr|#)?[\s.#:]*([0-9]{1,9}-[0-9]{1,4})", re.IGNORECASE)
_SPN_ALONE = re.compile(r"SPN\s*[:#]?\s*([0-9]{1,6})", re.IGNORECASE)
_PLAIN_OBD = re.compile(r"[PCBU][0-3][0-9A-F]{3}")
_VESSEL = """COALESCE(NULLIF(vessel.name, ''), NULLIF(concat_ws(
             ' ', NULLIF(vessel.maker, ''), NULLIF(vessel.model, '')), ''), 'Vessel ' || vessel.id)"""
_JOBS = f"""
    SELECT job.number, job.state, {_VESSEL} AS vessel, customer.name AS customer
    FROM workorders_job job JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    JOIN vessels_customer customer ON customer.id = job.customer_id WHERE job.number = %(number)s
"""  # noqa: S608  (put together from what the program says)
_REPORTS = f"""
    SELECT report.number, job.number AS job, {_VESSEL} AS vessel, withdrawal.entry_id IS NOT NULL AS is_withdrawn,
           later.number AS later
    FROM reports_issuedreport report JOIN workorders_job job ON job.id = report.job_id
    JOIN vessels_vessel vessel ON vessel.id = job.vessel_id
    LEFT JOIN reports_reportwithdrawal withdrawal ON withdrawal.report_id = report.entry_id
    LEFT JOIN reports_issuedreport later ON later.supersedes_id = report.entry_id
    WHERE report.number = %(number)s
"""  # noqa: S608
_IN_ORDER = "fault.is_open DESC, fault.last_seen_at DESC, fault.id"
_ONE_WAY = f"""
    (SELECT fault.id FROM faults_fault fault WHERE {{way}} AND fault.state <> 'none'
     ORDER BY {_IN_ORDER} LIMIT %(most)s)
"""  # noqa: S608
_FAULTS = f"""
    SELECT fault.id AS pk, fault.state, fault.status_now, fault.system, fault.code, {_VESSEL} AS vessel,
           engine.position, unit.name AS unit
    FROM faults_fault fault JOIN vessels_vessel vessel ON vessel.id = fault.vessel_id
    JOIN vessels_controlunit unit ON unit.id = fault.unit_id
    LEFT JOIN vessels_engine engine ON engine.id = fault.engine_id
    WHERE fault.id = ANY(ARRAY({{ways}})) ORDER BY {_IN_ORDER} LIMIT %(most)s
"""  # noqa: S608


def jobs(text: str) -> Group:
    """The job whose whole number it is."""
    number = _JOB.fullmatch(text)
    hits: list[Hit] = []
    if number and int(number[1]) < 2**31:
        hits = rows(_job_hit, _JOBS, {"number": int(number[1])})
    return Group("Jobs", "jobs", hits)


def _job_hit(number: int, state: str, vessel: str, customer: str) -> Hit:
    url = address_of("workorders:job", number)
    return Hit(f"Job {number}", url, f"{vessel} · {customer}", tag=LABELS[JobState(state)], is_exact=True)


def reports(text: str) -> Group:
    """The condition report whose whole number it is."""
    number = _REPORT.fullmatch(text)
    hits = rows(_report_hit, _REPORTS, {"number": number[1]}) if number else []
    return Group("Reports", "report", hits)


def _report_hit(number: str, job: int, vessel: str, is_withdrawn: bool, later: str | None) -> Hit:
    tag = "withdrawn" if is_withdrawn else f"superseded by {later}" if later else ""
    url = reverse("reports:issued", args=[number])
    return Hit(f"Report {number}", url, f"{vessel} · job {job}", tag=tag, is_exact=True)


def faults(text: str) -> Group:
    """Faults by their code, open ones first."""
    sign = identifier(text)
    if not has_digit(sign):
        return Group("Faults", "fault", [])
    # Each way in on its own, in the order of its index: a common code has as many faults as the shop has engines.
    asked: dict[str, Any] = {"most": FEW + 1}
    ways = [_ONE_WAY.format(way=way) for way in _codes(sign, asked)]
    found = rows(_fault_hit, _FAULTS.format(ways=" UNION ".join(ways)), asked)
    return Group("Faults", "fault", found[:FEW], len(found) > FEW)


def _fault_hit(*, system: str, code: str, vessel: str, position: str | None, unit: str, **fault: Any) -> Hit:
    where = POSITION_WORDS.get(position, position).lower() if position else unit
    label = ClearedFault(system=system, code=code).label
    return Hit(label, address_of("findings:fault", fault["pk"]), f"{vessel} · {where}", fault=FaultMark(**fault))


def _codes(sign: str, asked: dict[str, Any]) -> list[str]:
    """The codes that the text can name, each as a way in; what the ways name goes into ``asked``.

    All of an SPN, an OBD code with any failure type, any other code as written, and the maker's own by their beginning.
    """
    asked |= beginning("makers", sign.upper())
    ways = ["fault.system = 'maker' AND fault.code ~>=~ %(makers)s AND fault.code ~<~ %(makers_end)s"]
    spn = _SPN_ALONE.fullmatch(sign)
    code = None if spn else recognize(sign)
    if spn:
        asked |= {"system": CodeSystem.SPN.value, "codes": [f"{int(spn[1])}-{fmi}" for fmi in range(32)]}
        ways.append("fault.system = %(system)s AND fault.code = ANY(%(codes)s)")
    elif code is not None and code != Code(CodeSystem.MAKER, sign.upper()):
        asked["system"] = code.system.value
        if code.system == CodeSystem.OBD and _PLAIN_OBD.fullmatch(code.text):
            asked["codes"] = [code.text, *(f"{code.text}-{failure:02X}" for failure in range(256))]
            ways.append("fault.system = %(system)s AND fault.code = ANY(%(codes)s)")
        else:
            asked["code"] = code.text
            ways.append("fault.system = %(system)s AND fault.code = %(code)s")
    return ways


def fitted_parts(text: str) -> Group:
    """Parts that were fitted, by the beginning of their number or serial, or of the serial that came out."""
    sign = identifier(text)
    if not has_digit(sign):
        return Group("Parts fitted", "parts", [])
    found = found_fitted(sign, at_most=FEW + 1)
    return Group("Parts fitted", "parts", [_fitted_hit(one, squeeze(sign)) for one in found[:FEW]], len(found) > FEW)


def _fitted_hit(one: FoundFitted, tight: str) -> Hit:
    where = f" · {POSITION_WORDS.get(one.position, one.position).lower()}" if one.position else ""
    signs = [("part number", one.number), ("serial", one.serial), ("serial of the old part", one.old_serial)]
    return Hit(
        part_words(one.number, one.maker, one.description),
        address_of("vessels:entry", one.pk),
        f"{one.vessel}{where} · {day_words(one.happened_at)}",
        ", ".join(f"{label} {value}" for label, value in signs if value and squeeze(value).startswith(tight)),
        is_exact=len(tight) >= 4 and tight == squeeze(one.serial),
    )


def parts(text: str) -> Group:
    """Parts by the beginning of their number, or by the words of their description and maker."""
    found = found_parts(text, sign=identifier(text), at_most=FEW + 1)
    tight = squeeze(identifier(text))
    hits = [
        Hit(
            part.description,
            address_of("parts:part", part.pk),
            part.maker,
            f"part number {part.number}",
            tag="" if part.is_active else "no longer sold",
            is_exact=len(tight) >= 4 and squeeze(part.number) == tight,
        )
        for part in found[:FEW]
    ]
    return Group("Parts", "parts", hits, len(found) > FEW, list_of("parts:list", text))
