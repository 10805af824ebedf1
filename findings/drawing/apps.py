"""Pictures of what was found: flags, strips, lanes and charts, for templates."""

from django.apps import AppConfig


class DrawingConfig(AppConfig):
    """Set-up of drawing."""

    name = "findings.drawing"
    label = "drawing"
