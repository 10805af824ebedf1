"""Logging what was driven or operated for a moment, and what that says."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from uuid import UUID

from commands.envelope import command
from commands.refusals import Refused
from findings.faults.actions import to_log_findings
from findings.happenings.checking import refuse_again, refuse_empty, refuse_strange_engine, refuse_too_long
from findings.happenings.kinds import TEST
from findings.happenings.models import FunctionTest, Verdict
from findings.happenings.wording import driven_summary, one_line
from staff.models import Person
from vessels.log.belonging import refuse_amending
from vessels.log.chain import NewEntry, append
from vessels.models import Engine, LogEntry, Vessel
from workorders.models import Job

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
    refuse_again(new, job)
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
