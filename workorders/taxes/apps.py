"""Taxes, an app of its own inside jobs."""

from django.apps import AppConfig


class TaxesConfig(AppConfig):
    """Set-up of taxes."""

    name = "workorders.taxes"
    label = "taxes"

    def ready(self) -> None:
        """Put what is known of a customer's certificates on the customer's page."""
        from vessels.customer_sections import Section, register
        from workorders.taxes.shown import on_customer

        register(Section("workorders/taxes/on_customer.html", on_customer, 20))
