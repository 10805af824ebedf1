"""Drawing an authorization after the answer. What draws is loaded when there is something to draw."""

from __future__ import annotations

from commands.background import Run
from files.paper.later import paper_kind


def draw_authorization(run: Run) -> None:
    """Draw, sign and keep the paper of an authorization as it stands now. Doing it twice, or at once, keeps one."""
    from billing.authorizations.filing import file_paper
    from billing.authorizations.models import Authorization

    found = Authorization.objects.select_related("job__vessel", "job__customer", "noted_by", "withdrawn_by")
    file_paper(found.get(pk=int(run.subject)), finishing=run.finishing)


DRAW_AUTHORIZATION = paper_kind("draw_authorization", draw_authorization)
