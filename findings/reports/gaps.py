"""What a report leaves open: said to whoever reviews or signs it, before and not after. None of it forbids signing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime

from engineering.hours import hours_words
from engineering.measures import UNITS
from findings.instruments.measuring import cannot_measure, remark
from findings.reports.amounts import judged_by
from findings.reports.coverage import is_after, was_removed
from findings.reports.listed import turn_of
from findings.reports.record import EngineFacts, Findings, ScanFacts
from workorders.models import Job
from workorders.states import JobState

DONE = {JobState.READY, JobState.CLOSED}


def gaps(findings: Findings, job: Job) -> list[str]:
    """A sentence for each thing that a reader of the report will ask about."""
    return [
        *_of_job(findings, job),
        *_of_codes(findings),
        *_of_readings(findings),
        *_of_tests(findings),
        *_of_settings(findings),
        *_of_engines(findings),
    ]


def _of_job(findings: Findings, job: Job) -> Iterator[str]:
    if job.state not in DONE:
        yield f"The job is not finished: its state is “{job.get_state_display().lower()}”."
    for line in findings.lines:
        missing = [word for word, text in (("cause", line.cause), ("correction", line.correction)) if not text.strip()]
        concern = line.concern if len(line.concern) <= 60 else f"{line.concern[:59]}…"
        if missing:
            yield f"“{concern}” has no {' and no '.join(missing)} yet."
        unsaid = [word for word, said in (("by whom", line.done_by), ("when", line.done_on)) if not said]
        if unsaid and line.correction.strip():
            yield f"“{concern}” does not say {' and '.join(unsaid)} the correction was made."


def _of_codes(findings: Findings) -> Iterator[str]:
    if not findings.scans:
        yield "No scan was logged on this job."
    elif _is_unproven(findings):
        yield (
            "Work was logged, but no complete scan on this job after it: nothing on this job shows yet that the codes "
            "stayed away."
        )
    else:
        yield from _of_unproven_units(findings)
    aboard = [fault for fault in findings.faults if fault.is_open and not was_removed(fault.unit)]
    of_job = [fault.code for fault in aboard if fault.in_this_job]
    yield from _named_or_not(findings, of_job, "{} open")
    before = [fault.code for fault in aboard if not fault.in_this_job]
    yield from _named_or_not(findings, before, "{} open by scans that are not of this job")


def _named_or_not(findings: Findings, names: Sequence[str], what: str) -> Iterator[str]:
    """All of them are said; whether a recommendation names them is said too, and silences none."""
    names = list(dict.fromkeys(names))
    named = [name for name in names if any(_names(one.text, name) for one in findings.recommendations)]
    unnamed = [name for name in names if name not in named]
    if unnamed:
        rest = "no recommendation names " + ("it" if len(unnamed) == 1 else "them")
        yield f"{_are(unnamed, what)}, and {rest if findings.recommendations else 'nothing is recommended'}."
    if named:
        yield f"{_are(named, what)}; a recommendation names {'it' if len(named) == 1 else 'them'}."


def _are(names: Sequence[str], what: str) -> str:
    return f"{', '.join(names)} {what.format('is' if len(names) == 1 else 'are')}"


def _names(text: str, name: str) -> bool:
    """Whether a text names a code or a parameter: its words and numbers, however they are set apart."""
    words = re.findall(r"\w+", name)
    return re.search(r"(?<!\w)" + r"\W*".join(map(re.escape, words)) + r"(?!\w)", text, re.IGNORECASE) is not None


def _is_unproven(findings: Findings) -> bool:
    """Whether work about codes was logged, and no complete scan after it. An oil change is not about codes."""
    last: datetime | None = max((work.at for work in findings.work if work.codes), default=None)
    return last is not None and not any(is_after(scan, last) for scan in _complete(findings))


def _of_unproven_units(findings: Findings) -> Iterator[str]:
    """Units of which no complete scan was taken after the last that was done about their codes, whatever of others."""
    job, clears = findings.job.number, findings.clears or ()
    works = [work for work in findings.work if work.codes]
    worked = [unit for work in works for unit in work.units]
    about = dict.fromkeys([*worked, *(clear.unit for clear in clears if clear.job == job)])
    found: dict[bool, list[str]] = {False: [], True: []}
    for unit in about:
        turn = turn_of(unit, works, clears, job)
        proven = (scan for scan in _complete(findings) if turn and scan.unit == unit and turn.is_before(scan))
        if turn is not None and not was_removed(unit) and not any(proven):
            found[turn.is_clear].append(unit)
    for is_clear, units in found.items():
        of_it = "it" if len(units) == 1 else "them"
        named = " and ".join(units)
        done = f"Codes of {named} were cleared" if is_clear else f"Work was logged about codes of {named}"
        if units:
            yield (
                f"{done}, but no complete scan of {of_it} on this job since: nothing on this job shows yet that those "
                "codes stayed away."
            )


def _complete(findings: Findings) -> Iterator[ScanFacts]:
    return (scan for scan in findings.scans if scan.is_complete and scan.tells_codes)


def _of_readings(findings: Findings) -> Iterator[str]:
    readings = [reading for reading in findings.readings if reading.verdict == "out"]
    out = sorted({reading.parameter for reading in readings if not judged_by(reading)})
    by_extreme = sorted({reading.parameter for reading in readings} - set(out))
    asked: dict[tuple[str, str], None] = {}
    yield from _named_or_not(findings, out, "read out of range")
    yield from _named_or_not(findings, by_extreme, "{} out of range by the lowest or highest value alone")
    for one in findings.readings:
        if one.working or one.file_sha256 or one.unit not in UNITS:
            continue
        kind = UNITS[one.unit].kind
        if name := cannot_measure("", one.instrument, kind):
            asked[one.parameter, remark(name, kind)] = None
    for parameter, question in asked:
        yield f"{parameter}: {question[0].lower()}{question[1:]}"


def _of_tests(findings: Findings) -> Iterator[str]:
    """What did not work when it was driven the last time on this job."""
    last = {(one.engine, one.operated.casefold()): one for one in findings.tests}
    failed = [one.operated for one in last.values() if one.verdict == "Did not work"]
    for name in dict.fromkeys(failed):
        named = any(_names(one.text, name) for one in findings.recommendations)
        rest = "a recommendation names it" if named else "no recommendation names it"
        yield f"Function test: “{name}” did not work when it was driven last; {rest}."


def _of_settings(findings: Findings) -> Iterator[str]:
    """Alarms, limits and shutdowns that are not as they were before they were changed."""
    for one in findings.settings:
        if one.sort and one.set_back_at is None:
            where = f", {one.engine.lower()}" if one.engine else ""
            yield f"{one.sort} “{one.setting}”{where}: changed to {one.after} on {_day(one.at)}, and not set back."


def _of_engines(findings: Findings) -> Iterator[str]:
    for engine in findings.engines:
        if engine.unread_since is not None:
            yield f"{engine.position}: {_not_known(engine, engine.unread_since)}."
        elif engine.hours is None:
            yield f"{engine.position}: no engine hours are on record."


def _not_known(engine: EngineFacts, since: datetime) -> str:
    """Since when the hours of an engine are not known, and what was on record before."""
    said = f"since {_day(since)}, when the hour meter was replaced, the engine’s hours are not known"
    if engine.hours_before is None or engine.hours_before_at is None:
        return said
    before = f"{hours_words(engine.hours_before)}, {_day(engine.hours_before_at)}"
    return f"{said}; the last on record before that are {before}"


def _day(at: datetime) -> str:
    return f"{at:%b} {at.day}, {at.year}"
