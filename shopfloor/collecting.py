"""Which static files are laid out for the browser."""

from __future__ import annotations

from django.contrib.staticfiles.apps import StaticFilesConfig


class CollectedFiles(StaticFilesConfig):
    """All but what no page asks for: the paper's fonts are read where they stand, and htmx is our own pinned copy.

    To lay them out and compress them took most of the time that a first start spent on static files.
    """

    ignore_patterns = [*StaticFilesConfig.ignore_patterns, "fonts/noto-*", "css/paper-fonts.css", "django_htmx/*"]
