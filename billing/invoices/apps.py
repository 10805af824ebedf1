"""Invoices and the money that is received for them, an app of its own inside billing."""

from django.apps import AppConfig


class InvoicesConfig(AppConfig):
    """Set-up of invoices."""

    name = "billing.invoices"
    label = "invoices"

    def ready(self) -> None:
        """Make the job's tab, the customer's section, and what guards a job's charges and moves known."""
        from billing.invoices.setup import set_up
        from billing.invoices.tasks import DRAW_PAPER
        from commands import background

        background.register(DRAW_PAPER)
        set_up()
