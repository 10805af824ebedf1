"""Logging what somebody saw, beside codes and readings."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from commands.envelope import command
from commands.refusals import Refused
from findings.faults.actions import to_log_findings
from findings.happenings.checking import refuse_again, refuse_empty, refuse_strange_engine, refuse_too_long
from findings.happenings.kinds import VISUAL
from findings.happenings.models import Severity, VisualFinding
from findings.happenings.wording import one_line, visual_summary
from staff.models import Person
from vessels.log.belonging import refuse_amending
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
    refuse_again(new, job)
    append(new, detail=finding)
    return finding


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
