"""Tabs of the vessel page. Each belongs to the app that knows it; upper apps register theirs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from staff.policy import Permission
from web.rows import figures


@dataclass(frozen=True)
class Tab:
    """One tab: its URL name takes the record's key.

    ``count`` is a SELECT of the one figure to show, for the vessel ``%(vessel)s``. The figures of all tabs are asked
    for together.
    """

    label: str
    url_name: str
    position: int
    permission: Permission = Permission.SEE_RECORDS
    count: str = ""


_tabs: dict[str, Tab] = {}


def register(tab: Tab) -> None:
    """Add a tab; called from an app's ``ready``."""
    _tabs[tab.url_name] = tab


def tabs() -> list[Tab]:
    """All tabs in order."""
    return sorted(_tabs.values(), key=lambda tab: tab.position)


class Counted(Protocol):
    """A tab of any record: a SELECT of the figure that it shows, or nothing."""

    @property
    def count(self) -> str:
        """The SELECT."""


def counts_of(shown: Sequence[Counted], asked: Mapping[str, int]) -> list[int | None]:
    """The figures of tabs, in one query; None for a tab without one."""
    selects = [tab.count for tab in shown if tab.count]
    found = iter(figures(f"SELECT {', '.join(f'({select})' for select in selects)}", asked) if selects else ())
    return [next(found) if tab.count else None for tab in shown]
