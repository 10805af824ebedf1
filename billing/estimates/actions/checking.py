"""What every act on an estimate checks before it writes."""

from __future__ import annotations

from billing.estimates.models import Estimate
from commands.envelope import tell
from commands.refusals import Refused
from workorders.actions.checking import lock_job, refuse_ended
from workorders.models import Job

MOST_LINES, MOST_OPTIONS = 200, 20


def draft_to_write(estimate: Estimate) -> Estimate:
    """The estimate as stored, its job locked.

    Raises:
        Refused: it was given, or the job is closed.
    """
    refuse_ended(lock_job(estimate.job))
    stored = Estimate.objects.select_related("job__vessel", "job__customer").get(pk=estimate.pk)
    if not stored.is_draft:
        raise Refused(f"{stored} was given to the customer and stays as it is. Start a new version.")
    return stored


def told_name(job: Job, revision: int) -> None:
    """Tell the journal which version of which job's estimate it is."""
    tell(estimate=[None, f"{job.number}, version {revision}"])
