"""Figures of the shop, an app of its own inside billing. It has no tables: it counts those of the others."""

from django.apps import AppConfig


class FiguresConfig(AppConfig):
    """Set-up of the shop's figures."""

    name = "billing.figures"
    label = "figures"

    def ready(self) -> None:
        """Make the tabs of Insight known that this room gives."""
        from findings.insight.tabs import Tab, register
        from staff.policy import Permission

        register(Tab("Hours sold", "figures:hours", 20))
        register(Tab("Cost of comebacks", "figures:comebacks", 30))
        register(Tab("Days in each state", "figures:states", 40))
        register(Tab("Open estimates", "figures:estimates", 50, Permission.SEE_MONEY))
        register(Tab("Owed by age", "figures:owed", 60, Permission.SEE_MONEY))
        register(Tab("Sales by week", "figures:sales", 70, Permission.SEE_MONEY))
