"""Tabs of the vessel page. Each belongs to the app that knows it; upper apps register theirs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from staff.policy import Permission
from web.registry import Registry
from web.rows import figures


@dataclass(frozen=True)
class Tab:
    """One tab: its URL name takes the record's key, or a job's number.

    ``count`` is a SELECT of the one figure to show, for the vessel ``%(vessel)s`` or the job ``%(job)s``. The figures
    of all tabs are asked for together.
    """

    label: str
    url_name: str
    position: int
    permission: Permission = Permission.SEE_RECORDS
    count: str = ""


_tabs: Registry[Tab] = Registry(lambda tab: tab.url_name)
register, tabs = _tabs.register, _tabs.in_order


def counts_of(shown: Sequence[Tab], asked: Mapping[str, int]) -> list[int | None]:
    """The figures of tabs, in one query; None for a tab without one."""
    selects = [f'({tab.count}) AS "{tab.url_name}"' for tab in shown if tab.count]
    found = figures(f"SELECT {', '.join(selects)}", asked) if selects else {}
    return [found.get(tab.url_name) for tab in shown]
