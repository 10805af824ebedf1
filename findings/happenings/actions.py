"""What people do here: log a visual finding, or a function test."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from uuid import UUID

from commands.envelope import command
from commands.refusals import Refused
from findings.faults.actions import to_log_findings
from findings.happenings.checking import ask_if_twice, refuse_empty, refuse_strange_engine, refuse_too_long
from findings.happenings.kinds import TEST, VISUAL
from findings.happenings.models import FunctionTest, Severity, Verdict, VisualFinding
from findings.happenings.wording import driven_summary, one_line, visual_summary
from staff.models import Person
from vessels.log.belonging import refuse_amending, refuse_same_again
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, LogEntry, Vessel
from workorders.models import Job

TO_DO = {Severity.BEFORE_NEXT_USE, Severity.SOON}
"""Severities by which something is to be done."""


@command("log_visual_finding", needs=to_log_findings, writes_to="vessel")
def log_visual_finding(
    *,
    by: Person,
    vessel: Vessel,
    engine: Engine | None,
    place: str,
    text: str,
    severity: str,
    recommendation: str = "",
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> VisualFinding:
    """Log what somebody saw on an engine, or on the boat where ``engine`` is None.

    It is a finding, and is kept whatever state the job is in. ``engine_hours`` are the engine's true hours.

    Raises:
        Refused: nothing is said of where, what or how serious it is; work is needed and none recommended, or the other
            way around; the engine was gone by then, or its hours cannot be right.
    """
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind=VISUAL)
        happened_at = happened_at or amends.happened_at
    place, recommendation, text = one_line(place), one_line(recommendation), text.strip()
    refuse_empty(
        {
            "place": (place, "Say where it is on the boat or the engine."),
            "text": (text, "Say what you saw."),
            "severity": (severity, "Choose how serious it is."),
        }
    )
    refuse_too_long({"place": (place, 160), "recommendation": (recommendation, 400), "text": (text, 5000)})
    _check_severity(severity, recommendation)
    refuse_strange_engine(engine, engine_hours, happened_at, amends)
    finding = VisualFinding(place=place, severity=severity, recommendation=recommendation)
    summary = visual_summary(place, severity, recommendation)
    new = NewEntry(
        kind=VISUAL,
        vessel=vessel,
        author=by,
        summary=summary,
        happened_at=happened_at,
        id=entry_id,
        engine=engine,
        job_id=job.pk if job else None,
        engine_hours=engine_hours,
        text=text,
        amends=amends,
    )
    _refuse_again(new, job)
    append(new, detail=finding)
    return finding


def _refuse_again(new: NewEntry, job: Job | None) -> None:
    """Refuse a correction that corrects nothing, and ask about what the job's log says already."""
    amends = new.amends
    if amends is None:
        ask_if_twice(new.kind, job, new.engine, summary=new.summary, text=new.text)
        return
    now = (new.engine.pk if new.engine else None, new.summary, new.text, new.happened_at, new.engine_hours)
    was = (amends.engine_id, amends.summary, amends.text, amends.happened_at, amends.engine_hours)
    refuse_same_again(amends, is_same=now == was)


def _check_severity(severity: str, recommendation: str) -> None:
    """What is to be repaired needs its recommendation, and where no fault was seen there is none to give."""
    if severity not in Severity.values:
        raise Refused("Choose how serious it is.", fields={"severity": "Choose one of the list."})
    if severity in TO_DO and not recommendation:
        sentence = "Say what should be done about it, or choose “Watch” if nothing has to be repaired."
        raise Refused(sentence, fields={"recommendation": sentence})
    if severity == Severity.NONE and recommendation:
        sentence = "No fault was seen, so there is nothing to recommend. Leave this empty, or choose “Watch”."
        raise Refused(sentence, fields={"recommendation": sentence})


LONGEST = {"s": Decimal(86_400), "min": Decimal(1_440), "h": Decimal(24)}
"""Of each unit a day: what is driven longer is no longer driven for a moment."""


@command("log_function_test", needs=to_log_findings, writes_to="vessel")
def log_function_test(
    *,
    by: Person,
    vessel: Vessel,
    engine: Engine | None,
    operated: str,
    text: str,
    verdict: str,
    lasted: Decimal | None = None,
    lasted_unit: str = "",
    job: Job | None = None,
    engine_hours: Decimal | None = None,
    entry_id: UUID | None = None,
    happened_at: datetime | None = None,
    amends: LogEntry | None = None,
) -> FunctionTest:
    """Log that something was driven or operated for a moment, what happened (``text``), and what that says.

    It is of the boat itself where ``engine`` is None. ``lasted`` is how long, in ``lasted_unit``: "s", "min" or "h".

    Raises:
        Refused: nothing is said of what was driven, what happened or what that says; it lasted no time at all or more
            than a day; the engine was gone by then, or its hours cannot be right.
    """
    if amends is not None:
        refuse_amending(amends, vessel=vessel, kind=TEST)
        happened_at = happened_at or amends.happened_at
    operated, text = one_line(operated), text.strip()
    refuse_empty(
        {
            "operated": (operated, "Say what was driven or operated."),
            "text": (text, "Say what happened."),
            "verdict": (verdict, "Choose what the test says."),
        }
    )
    refuse_too_long({"operated": (operated, 160), "text": (text, 5000)})
    if verdict not in Verdict.values:
        raise Refused("Choose what the test says.", fields={"verdict": "Choose one of the list."})
    if lasted is None:
        lasted_unit = ""
    else:
        lasted = _time_driven(lasted, lasted_unit)
    refuse_strange_engine(engine, engine_hours, happened_at, amends)
    test = FunctionTest(operated=operated, lasted=lasted, lasted_unit=lasted_unit, verdict=verdict)
    new = NewEntry(
        kind=TEST,
        vessel=vessel,
        author=by,
        summary=driven_summary(operated, lasted, lasted_unit, verdict),
        happened_at=happened_at,
        id=entry_id,
        engine=engine,
        job_id=job.pk if job else None,
        engine_hours=engine_hours,
        text=text,
        amends=amends,
    )
    _refuse_again(new, job)
    append(new, detail=test)
    return test


def _time_driven(lasted: Decimal, unit: str) -> Decimal:
    """How long something was driven, to a tenth, as it is kept."""
    if unit not in LONGEST:
        raise Refused("Choose the unit of how long it was driven.", fields={"lasted": "Choose s, min or h."})
    kept = lasted.quantize(Decimal("0.1"), ROUND_HALF_UP)
    if kept <= 0:
        sentence = "Enter more than 0, to a tenth, or leave it empty."
        raise Refused(sentence, fields={"lasted": sentence})
    if kept > LONGEST[unit]:
        sentence = "At most 24 h can be entered for one test. Check the unit, or leave it empty."
        raise Refused(sentence, fields={"lasted": sentence})
    return kept
