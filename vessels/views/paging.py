"""Addresses of the pages of a list."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from vessels.queries.lists import NamePage


def turns(path: str, chosen: Mapping[str, str], page: NamePage) -> dict[str, str]:
    """``back_url`` and ``on_url`` of a list by name, with the filter kept; empty where there is nothing more."""
    kept = {name: value for name, value in chosen.items() if value}
    return {
        "back_url": f"{path}?{urlencode({**kept, 'before': page.before})}" if page.before is not None else "",
        "on_url": f"{path}?{urlencode({**kept, 'after': page.after})}" if page.after is not None else "",
    }
