"""Estimates, an app of its own inside billing."""

from django.apps import AppConfig


class EstimatesConfig(AppConfig):
    """Set-up of estimates."""

    name = "billing.estimates"
    label = "estimates"

    def ready(self) -> None:
        """Make the job's tab and the kept papers known, and that an estimate that was given is a price."""
        from billing.estimates.actions.following import follow
        from billing.estimates.queries import has_given_sum, kept_papers
        from billing.estimates.tasks import DRAW_ESTIMATE
        from commands import background
        from files import references
        from staff.policy import Permission
        from workorders import guards, tabs

        tabs.register(
            tabs.Tab(
                "Estimate",
                "estimates:job",
                22,
                permission=Permission.SEE_PRICES,
                count="SELECT count(*) FROM estimates_estimate WHERE job_id = %(job)s AND given_at IS NOT NULL",
            )
        )
        background.register(DRAW_ESTIMATE)
        references.register("estimates", kept_papers)
        guards.when_charges_change(follow)
        guards.counts_as_a_price(has_given_sum)
