"""The roles of a shop, what there is to be allowed, and the one table of who may do what."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum


class Role(StrEnum):
    """What a person is in the shop."""

    FRONT_DESK = "front-desk"
    TECHNICIAN = "technician"
    MANAGER = "manager"
    OWNER = "owner"


class Permission(StrEnum):
    """One thing that some people may do and others may not."""

    SEE_RECORDS = "see customers, vessels, jobs, faults and the log"
    EDIT_RECORDS = "add and change customers, vessels, engines and units"
    OPEN_JOBS = "open a job and change its intake"
    MOVE_JOBS = "move a job from state to state"
    WRITE_CORRECTIONS = "write cause and correction on a job line"
    SET_PRICES = "add and change priced lines"
    SEE_PRICES = "see prices, rates and sums"
    CLOCK_HOURS = "clock and note hours of work"
    CORRECT_HOURS = "note, correct and void hours of somebody else"
    LOG_FINDINGS = "log findings, such as scans, readings and tests, and work done"
    AMEND_FINDINGS = "amend findings in the log"
    WRITE_NOTES = "write a note in the log"
    VOID_OTHERS_NOTES = "void a note that somebody else wrote"
    EDIT_SPEC_CARDS = "add and change spec cards"
    SHARE_SHEETS = "share saved reading sheets with everybody"
    EDIT_SERVICE_PLANS = "add and change service plans"
    REMIND_OWNERS = "note reminders of service due"
    PLAN_APPOINTMENTS = "plan appointments"
    EDIT_BAYS = "keep the list of bays"
    NOTE_CALLS = "note calls to customers"
    REVOKE_FEEDS = "revoke calendar feeds of others"
    EDIT_INSTRUMENTS = "keep the register of the shop's instruments"
    EDIT_PARTS = "add and change catalog parts"
    FIT_PARTS = "log parts that were fitted"
    AWAIT_PARTS = "note parts that a job waits for, and their arrival"
    DRAFT_REPORTS = "draft and word a condition report"
    SIGN_REPORTS = "sign, revise and withdraw a condition report"
    SEE_INSIGHT = "see repeat-fault history across the shop"
    SET_TAXES = "set the shop’s taxes and their rates"
    GO_BEYOND = "go on past what a customer authorized"
    SEE_MONEY = "see invoices, payments and what customers owe"
    MAKE_INVOICES = "make invoices"
    TAKE_MONEY = "note payments and deposits"
    CREDIT_INVOICES = "credit invoices and pay money back"
    WRITE_OFF = "write off what is not paid"
    MANAGE_STAFF = "add people and set their roles"
    MANAGE_SHOP = "change the shop profile"


_EVERYONE = frozenset(Role)
_OFFICE = frozenset({Role.FRONT_DESK, Role.MANAGER, Role.OWNER})
_FLOOR = frozenset({Role.TECHNICIAN, Role.MANAGER, Role.OWNER})
_LEAD = frozenset({Role.MANAGER, Role.OWNER})

ALLOWED: dict[Permission, frozenset[Role]] = {
    Permission.SEE_RECORDS: _EVERYONE,
    Permission.EDIT_RECORDS: _EVERYONE,
    Permission.OPEN_JOBS: _OFFICE,
    Permission.MOVE_JOBS: _EVERYONE,
    Permission.WRITE_CORRECTIONS: _FLOOR,
    Permission.SET_PRICES: _OFFICE,
    Permission.SEE_PRICES: _OFFICE,
    Permission.CLOCK_HOURS: _FLOOR,
    Permission.CORRECT_HOURS: _LEAD,
    Permission.LOG_FINDINGS: _FLOOR,
    Permission.AMEND_FINDINGS: _FLOOR,
    Permission.WRITE_NOTES: _EVERYONE,
    Permission.VOID_OTHERS_NOTES: _LEAD,
    Permission.EDIT_SPEC_CARDS: _FLOOR,
    Permission.SHARE_SHEETS: _LEAD,
    Permission.EDIT_SERVICE_PLANS: _FLOOR,
    Permission.REMIND_OWNERS: _OFFICE,
    Permission.PLAN_APPOINTMENTS: _EVERYONE,
    Permission.EDIT_BAYS: _LEAD,
    Permission.NOTE_CALLS: _OFFICE,
    Permission.REVOKE_FEEDS: _LEAD,
    Permission.EDIT_INSTRUMENTS: _LEAD,
    Permission.EDIT_PARTS: _LEAD,
    Permission.FIT_PARTS: _FLOOR,
    Permission.AWAIT_PARTS: _EVERYONE,
    Permission.DRAFT_REPORTS: _FLOOR,
    Permission.SIGN_REPORTS: _LEAD,
    Permission.SEE_INSIGHT: _LEAD,
    Permission.SET_TAXES: _LEAD,
    Permission.GO_BEYOND: _LEAD,
    Permission.SEE_MONEY: _OFFICE,
    Permission.MAKE_INVOICES: _OFFICE,
    Permission.TAKE_MONEY: _OFFICE,
    Permission.CREDIT_INVOICES: _LEAD,
    Permission.WRITE_OFF: _LEAD,
    Permission.MANAGE_STAFF: frozenset({Role.OWNER}),
    Permission.MANAGE_SHOP: frozenset({Role.OWNER}),
}


LEFT_TO_THE_SHOP: dict[Permission, str] = {
    Permission.OPEN_JOBS: "technicians_open_jobs",
    Permission.SEE_PRICES: "technicians_see_prices",
    Permission.SEE_INSIGHT: "technicians_see_insight",
}
"""What technicians may do besides, where the shop's profile says so: in a shop of three everybody does everything."""

_shop: ContextVar[object | None] = ContextVar("using_shop", default=None)
_looks_up: list[Callable[[], object]] = []


def look_up_with(profile: Callable[[], object]) -> None:
    """Make known where the shop's profile is found by what is no request."""
    _looks_up[:] = [profile]


@contextmanager
def using_shop(shop: object) -> Iterator[None]:
    """Inside, what is left to the shop is as this profile says, and no other is looked up."""
    token = _shop.set(shop)
    try:
        yield
    finally:
        _shop.reset(token)


def may(person: object, permission: Permission) -> bool:
    """Whether the person may do it. A person who is not signed in, or no longer works here, may do nothing."""
    if not getattr(person, "is_authenticated", False) or not getattr(person, "is_active", False):
        return False
    role = Role(getattr(person, "role", ""))
    if role in ALLOWED[permission]:
        return True
    return role is Role.TECHNICIAN and permission in LEFT_TO_THE_SHOP and _shop_says(LEFT_TO_THE_SHOP[permission])


def _shop_says(name: str) -> bool:
    shop = _shop.get()
    if shop is None:
        shop = _looks_up[0]()
    return bool(getattr(shop, name))
