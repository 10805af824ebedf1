"""The icons of ``static/icons.svg``, for templates and for markup that is put together in Python."""

from __future__ import annotations

import re
from functools import cache

from django.contrib.staticfiles import finders
from django.template import TemplateSyntaxError
from django.templatetags.static import static
from django.utils.safestring import SafeString

from web.markup import filled

ICONS_BY_MEANING = {
    "today": "sun",
    "jobs": "clipboard-list",
    "vessels": "sailboat",
    "parts": "bolt",
    "insight": "chart-spline",
    "customer": "circle-user",
    "customers": "users",
    "engine": "cog",
    "unit": "cpu",
    "log": "book-open",
    "scan": "scan-line",
    "fault": "flag",
    "reading": "gauge",
    "clear": "eraser",
    "returned": "undo-2",
    "report": "file-text",
    "sign": "signature",
    "shop": "anchor",
}
"""Names that say what an icon stands for; any symbol of icons.svg can be named directly as well."""


@cache
def icon_names() -> frozenset[str]:
    """The symbols in the icon file."""
    path = finders.find("icons.svg")
    if path is None:
        return frozenset()
    with open(path, encoding="utf-8") as file:
        return frozenset(re.findall(r'<symbol id="([^"]+)"', file.read()))


def icon(name: str, label: str = "") -> SafeString:
    """An icon, silent unless `label` names it. An unknown name is an error, not a hole in the page."""
    symbol = ICONS_BY_MEANING.get(name, name)
    if symbol not in icon_names():
        raise TemplateSyntaxError(f"There is no icon “{name}” in static/icons.svg.")
    # A label that a template writes out counts as markup there; here it is words, as any other.
    return filled(
        '<svg class="icon" width="20" height="20" fill="none" stroke="currentColor" {}><use href="{}#{}"></use></svg>',
        filled('role="img" aria-label="{}"', label[:]) if label else filled('aria-hidden="true"'),
        static("icons.svg"),
        symbol,
    )


@cache
def drawn_once(name: str) -> SafeString:
    """An icon that a page shows many times over, silent."""
    return icon(name)
