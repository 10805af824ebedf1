"""The lines of an estimate that is being written."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Any

from django.db.models import Max

from billing.estimates.actions.checking import MOST_LINES, draft_to_write
from billing.estimates.lines import ON_ESTIMATES, put
from billing.estimates.models import Estimate, EstimateLine
from billing.estimates.queries import worked_out
from commands.envelope import command, tell
from commands.refusals import Refused
from staff.models import Person
from staff.policy import Permission
from staff.queries import shop_profile
from web.versions import apply_changes


@command("add_estimate_line", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def add_estimate_line(
    *, by: Person, estimate: Estimate, told: Mapping[str, Any], entry_id: uuid.UUID | None = None
) -> EstimateLine:
    """Put a line on an estimate. ``told`` are fields of ``ON_ESTIMATES``; a price may come later.

    Raises:
        Refused: it cannot stand so, or the estimate was given.
        ValueError: a field is not one of a line's.
    """
    _refuse_strange_fields(told)
    stored = draft_to_write(estimate)
    before = total_of(stored)
    line = place(stored, told, by)
    tell(estimate_total=[before, total_of(stored)])
    return line


@command("change_estimate_line", needs=Permission.SET_PRICES, writes_to="line.estimate.job.vessel")
def change_estimate_line(
    *, by: Person, line: EstimateLine, seen_version: int, changes: Mapping[str, Any],
    entry_id: uuid.UUID | None = None,
) -> EstimateLine:  # fmt: skip
    """Change a line of an estimate that is being written.

    Raises:
        Conflict: somebody else saved this line in the meantime.
        Refused: it cannot stand so, or the estimate was given.
        ValueError: a field is not one of a line's.
    """
    _refuse_strange_fields(changes)
    estimate = draft_to_write(line.estimate)
    before = total_of(estimate)
    wished = EstimateLine.objects.select_related("part", "option", "job_line").get(pk=line.pk)
    wanted = put(wished, changes, shop_profile())
    _refuse_what_belongs_elsewhere(wished, estimate)
    apply_changes(line, seen_version=seen_version, changes=wanted, by=by)
    _refuse_a_discount_too_large(estimate, line)
    tell(estimate_total=[before, total_of(estimate)])
    return line


@command("remove_estimate_line", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def remove_estimate_line(
    *, by: Person, estimate: Estimate, key: uuid.UUID, entry_id: uuid.UUID | None = None
) -> Estimate:
    """Remove a line from an estimate that is being written."""
    stored = draft_to_write(estimate)
    line = stored.lines.filter(key=key).first()
    if line is not None:
        before = total_of(stored)
        line.delete()
        tell(estimate_total=[before, total_of(stored)])
    return estimate


def place(estimate: Estimate, told: Mapping[str, Any], changed_by: Person) -> EstimateLine:
    """A new line at the end of an estimate, whose job is locked."""
    if estimate.lines.count() >= MOST_LINES:
        raise Refused(f"An estimate has no more than {MOST_LINES} lines.")
    last = estimate.lines.aggregate(last=Max("position"))["last"] or 0
    line = EstimateLine(estimate=estimate, position=last + 1, changed_by=changed_by)
    put(line, told, shop_profile())
    _refuse_what_belongs_elsewhere(line, estimate)
    line.save()
    _refuse_a_discount_too_large(estimate, line)
    return line


def total_of(estimate: Estimate) -> str:
    """What an estimate comes to without options, as the journal tells it."""
    return str(worked_out(estimate, currency=shop_profile().currency).figures.base.total)


def _refuse_strange_fields(told: Mapping[str, Any]) -> None:
    if strange := set(told) - set(ON_ESTIMATES):
        raise ValueError(f"not a field of an estimate's line: {', '.join(sorted(strange))}")


def _refuse_what_belongs_elsewhere(line: EstimateLine, estimate: Estimate) -> None:
    if line.option is not None and line.option.estimate_id != estimate.pk:
        raise Refused("This option is on another estimate.", fields={"option": "Choose an option of this estimate."})
    if line.job_line is not None and line.job_line.job_id != estimate.job_id:
        raise Refused("This line is on another job.", fields={"job_line": "Choose a line of this job."})
    if line.discount_percent and line.discount_amount:
        sentence = "A discount is a percentage or a sum, and not both."
        raise Refused(sentence, fields={"discount_amount": sentence})


def _refuse_a_discount_too_large(estimate: Estimate, line: EstimateLine) -> None:
    if not line.discount_amount:
        return
    problem = worked_out(estimate, currency=shop_profile().currency).figures.problem
    if problem:
        raise Refused(problem, fields={"discount_amount": problem})
