"""An estimate is filled in one touch: from what the customer said, what was recommended, open faults, or a kit."""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from enum import StrEnum
from typing import Any

from billing.estimates.actions.checking import draft_to_write
from billing.estimates.actions.lines import place, total_of
from billing.estimates.lines import from_kit
from billing.estimates.models import Estimate, Kit
from commands.envelope import command, tell
from commands.refusals import Refused
from findings.faults.models import Fault
from findings.faults.queries import faults_of_vessel
from findings.happenings.queries import recommended_by_findings
from findings.happenings.wording import bare, recommended_words
from findings.reports.build import recommendations_of
from findings.reports.models import ReportDraft
from staff.models import Person
from staff.policy import Permission
from workorders.models import Job, JobLine
from workorders.money import ChargeKind

WATCH = "watch"


class Source(StrEnum):
    """Where the lines come from."""

    CONCERNS = "concerns"
    RECOMMENDATIONS = "recommendations"
    FAULTS = "faults"
    KIT = "kit"


@command("fill_estimate", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def fill_estimate(
    *,
    by: Person,
    estimate: Estimate,
    source: Source,
    kit: Kit | None = None,
    job_line: JobLine | None = None,
    entry_id: uuid.UUID | None = None,
) -> Estimate:
    """Put lines on an estimate: one of labor for each concern, recommendation or open fault without one, or a kit's.

    Hours are not guessed: such a line has no price until somebody enters them.

    Raises:
        Refused: there is nothing to take lines from, or the estimate was given.
    """
    stored = draft_to_write(estimate)
    told = list(_told(stored, source, kit, job_line))
    if not told:
        raise Refused(_NOTHING[source])
    before = total_of(stored)
    for one in told:
        place(stored, one, by)
    tell(estimate_total=[before, total_of(stored)])
    return estimate


_NOTHING = {
    Source.CONCERNS: "Every concern of the job has a line on the estimate.",
    Source.RECOMMENDATIONS: "No repair is recommended on this job that is not on the estimate.",
    Source.FAULTS: "No fault is open on this boat that is not on the estimate.",
    Source.KIT: "This kit has no lines.",
}


def _told(estimate: Estimate, source: Source, kit: Kit | None, job_line: JobLine | None) -> Iterable[dict[str, Any]]:
    if source is Source.KIT:
        if kit is None:
            sentence = "Choose a kit."
            raise Refused(sentence, fields={"kit": sentence})
        for line in kit.lines.select_related("part"):
            yield from_kit(line) | {"job_line": job_line}
        return
    there = {words.casefold() for words in estimate.lines.values_list("description", flat=True)}
    if source is Source.CONCERNS:
        with_line = set(estimate.lines.exclude(job_line=None).values_list("job_line", flat=True))
        for concern in estimate.job.lines.order_by("position"):
            if concern.pk not in with_line:
                yield _labor(concern.concern) | {"job_line": concern}
        return
    if source is Source.FAULTS:
        concerns = list(estimate.job.lines.order_by("position"))
        found: list[tuple[str, JobLine | None]] = [
            (fault_words(fault), _concern_on(fault.engine_id, concerns)) for fault in open_faults(estimate.job)
        ]
    else:
        concerns = list(estimate.job.lines.order_by("position"))
        found = [(words, _concern_on(engine, concerns)) for words, engine in recommended(estimate.job).items()]
    for words, about in found:
        if _labor(words)["description"].casefold() not in there:
            yield _labor(words) | {"job_line": about}


def open_faults(job: Job) -> list[Fault]:
    """The faults that are open on the boat of a job as it is, without those of units that were removed."""
    return [seen.fault for seen in faults_of_vessel(job.vessel, only_open=True)]


def fault_words(fault: Fault) -> str:
    """What is to be done about an open fault: its cause is to be found, and nothing is said of what that may be."""
    where = f", {fault.engine.get_position_display().lower()} engine" if fault.engine is not None else ""
    return f"Find and repair the cause of {fault.label}{where}"


def _concern_on(engine: int | None, concerns: list[JobLine]) -> JobLine | None:
    """The one concern about the same engine; none where there are several."""
    about = [one for one in concerns if one.engine_id is not None and one.engine_id == engine]
    return about[0] if len(about) == 1 else None


def recommended(job: Job) -> dict[str, int | None]:
    """What the latest report of a job and its visual findings recommend to do, with the engine where one is named.

    What is only to be watched is no work.
    """
    draft = ReportDraft.objects.filter(job=job).order_by("-pk").first()
    typed = recommendations_of(draft) if draft is not None else []
    found: dict[str, int | None] = {one.text: None for one in typed if one.urgency != WATCH}
    there = {bare(words) for words in found}
    for finding in recommended_by_findings(job):
        if finding.severity != WATCH and bare(finding.recommendation) not in there:
            found.setdefault(recommended_words(finding), finding.entry.engine_id)
    return found


def _labor(words: str) -> dict[str, Any]:
    first = " ".join(words.split())
    said = first if len(first) <= 160 else f"{first[:159]}…"
    return {"kind": ChargeKind.LABOR.value, "description": said}
