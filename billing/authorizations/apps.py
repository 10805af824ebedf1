"""Authorizations, an app of its own inside billing."""

from django.apps import AppConfig


class AuthorizationsConfig(AppConfig):
    """Set-up of authorizations."""

    name = "billing.authorizations"
    label = "authorizations"

    def ready(self) -> None:
        """Have charges looked at, show the sum beside them, and let what was authorized count as a price."""
        from billing.authorizations.guarding import stop_past_the_sum
        from billing.authorizations.queries import has_sum
        from billing.authorizations.shown import on_lines
        from workorders import guards
        from workorders.sections import LINES, Section, register

        guards.before_adding(stop_past_the_sum)
        guards.counts_as_a_price(has_sum)
        register(Section(LINES, "billing/authorizations/on_lines.html", on_lines, 30))
