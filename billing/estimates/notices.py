"""The notices that the shop prints on its estimates, as they read today."""

from __future__ import annotations

from billing.documents.models import Notice


def notices_now() -> list[dict[str, str]]:
    """Title, text and source of each, in the shop's order."""
    found = Notice.objects.filter(on_estimates=True)
    return [{"title": one.title, "text": one.text, "citation": one.citation} for one in found]
