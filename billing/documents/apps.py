"""What every document about money shares, an app of its own inside billing."""

from django.apps import AppConfig


class DocumentsConfig(AppConfig):
    """Set-up of what documents about money share."""

    name = "billing.documents"
    label = "documents"
