"""Drawing and signing an estimate after the answer. What draws is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Run
from files.paper.later import paper_kind


def draw_estimate(run: Run) -> None:
    """Draw, sign and keep the paper of a version that was given. Doing it twice, or at once, keeps one.

    A shop that has nothing to sign with has none: its page says so.
    """
    from billing.estimates.models import Estimate
    from billing.estimates.paper import file_paper
    from files.paper import signing

    if signing.why_no_certificate():
        return
    file_paper(Estimate.objects.select_related("job").get(pk=int(run.subject)), finishing=run.finishing)


DRAW_ESTIMATE = paper_kind("draw_estimate", draw_estimate)
