"""The shopfloor app."""

from django.apps import AppConfig


class ShopfloorConfig(AppConfig):
    """Set-up of the shopfloor app."""

    name = "shopfloor"
