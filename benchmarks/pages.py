"""The pages that are measured, and where each round looks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from benchmarks import layout

HULLS_LOOKED_AT = 40
MIDDLE = "middle of the long log"


@dataclass(frozen=True)
class Page:
    """One kind of page: its address for a hull. ``short`` names it in code, ``label`` in the table.

    ``goal`` is how many times a bare page it may take: three where rows are read and drawn by hand, else six.
    """

    short: str
    label: str
    address: Callable[[int], str]
    goal: float = 3.0


def _search(text: str) -> str:
    return f"/search/?{urlencode({'q': text})}"


def _customer(hull: int) -> str:
    return layout.customer_name(layout.customer_of(hull))


def _fault(hull: int) -> str:
    return f"/faults/{layout.fault_key(hull * 2 + 1, 0)}/"


def _open_found(hull: int) -> str:
    return f"/jobs/open/?q={layout.FIRST_WORDS[hull % 5]}"


def _code(hull: int) -> str:
    spn, _, fmi = layout.code_of(hull * 2 + 1, 0).partition("-")
    return f"SPN {spn} FMI {fmi}"


PAGES = [
    Page("log", "vessel log", lambda hull: f"/vessels/{hull + 1}/log/"),
    Page("long-log", "vessel log, the long one", lambda _: "/vessels/1/log/"),
    Page("middle-log", "vessel log, the middle of the long one", lambda _: MIDDLE),
    Page("fault", "fault page", _fault),
    Page("search-word", "search: a word of many boats", lambda hull: _search(layout.FIRST_WORDS[hull % 5])),
    Page("search-name", "search: a customer's name", lambda hull: _search(_customer(hull))),
    Page("search-phone", "search: a phone number", lambda hull: _search(layout.phone(layout.customer_of(hull)))),
    Page("search-hin", "search: a HIN", lambda hull: _search(layout.hin(hull))),
    Page("search-slip", "search: a slip", lambda hull: _search(layout.berth(hull))),
    Page("search-serial", "search: an engine's serial", lambda hull: _search(layout.serial(hull, 0))),
    Page("search-code", "search: a code of many faults", lambda hull: _search(_code(hull))),
    Page("search-job", "search: a job's number", lambda hull: _search(f"job {layout.job_number(hull, 0)}")),
    Page("open-found", "job open: boats found by a word", _open_found, 6.0),
    Page("open-boat", "job open: a boat chosen", lambda hull: f"/jobs/open/?vessel={hull + 1}", 6.0),
    Page("job", "job overview", lambda hull: f"/jobs/{layout.job_number(hull, 0)}/", 6.0),
]  # fmt: skip


def hull_of_round(number: int, shop: layout.Layout) -> int:
    """Another hull each round, the same ones at both sizes; never the one with the long log."""
    return 1 + number * 7 % min(HULLS_LOOKED_AT, shop.hulls - 1)
