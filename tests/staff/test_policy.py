"""Who may do what, as one table that the policy must agree with word for word."""

from types import SimpleNamespace

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.test import RequestFactory

from commands.refusals import Refused
from staff.models import Person, ShopProfile
from staff.policy import ALLOWED, Permission, Role, may, permission_required, require
from staff.roles import using_shop

DESK, TECH, MANAGER, OWNER = Role.FRONT_DESK, Role.TECHNICIAN, Role.MANAGER, Role.OWNER

TABLE = {
    "SEE_RECORDS": {DESK, TECH, MANAGER, OWNER},
    "EDIT_RECORDS": {DESK, TECH, MANAGER, OWNER},
    "OPEN_JOBS": {DESK, MANAGER, OWNER},
    "MOVE_JOBS": {DESK, TECH, MANAGER, OWNER},
    "WRITE_CORRECTIONS": {TECH, MANAGER, OWNER},
    "SET_PRICES": {DESK, MANAGER, OWNER},
    "SEE_PRICES": {DESK, MANAGER, OWNER},
    "CLOCK_HOURS": {TECH, MANAGER, OWNER},
    "CORRECT_HOURS": {MANAGER, OWNER},
    "LOG_FINDINGS": {TECH, MANAGER, OWNER},
    "AMEND_FINDINGS": {TECH, MANAGER, OWNER},
    "WRITE_NOTES": {DESK, TECH, MANAGER, OWNER},
    "VOID_OTHERS_NOTES": {MANAGER, OWNER},
    "EDIT_SPEC_CARDS": {TECH, MANAGER, OWNER},
    "SHARE_SHEETS": {MANAGER, OWNER},
    "EDIT_SERVICE_PLANS": {TECH, MANAGER, OWNER},
    "REMIND_OWNERS": {DESK, MANAGER, OWNER},
    "PLAN_APPOINTMENTS": {DESK, TECH, MANAGER, OWNER},
    "EDIT_BAYS": {MANAGER, OWNER},
    "NOTE_CALLS": {DESK, MANAGER, OWNER},
    "REVOKE_FEEDS": {MANAGER, OWNER},
    "EDIT_INSTRUMENTS": {MANAGER, OWNER},
    "EDIT_PARTS": {MANAGER, OWNER},
    "FIT_PARTS": {TECH, MANAGER, OWNER},
    "AWAIT_PARTS": {DESK, TECH, MANAGER, OWNER},
    "DRAFT_REPORTS": {TECH, MANAGER, OWNER},
    "SIGN_REPORTS": {MANAGER, OWNER},
    "SEE_INSIGHT": {MANAGER, OWNER},
    "SET_TAXES": {MANAGER, OWNER},
    "GO_BEYOND": {MANAGER, OWNER},
    "SEE_MONEY": {DESK, MANAGER, OWNER},
    "MAKE_INVOICES": {DESK, MANAGER, OWNER},
    "TAKE_MONEY": {DESK, MANAGER, OWNER},
    "CREDIT_INVOICES": {MANAGER, OWNER},
    "WRITE_OFF": {MANAGER, OWNER},
    "MANAGE_STAFF": {OWNER},
    "MANAGE_SHOP": {OWNER},
}

WORDS = {
    "SEE_RECORDS": "see customers, vessels, jobs, faults and the log",
    "EDIT_RECORDS": "add and change customers, vessels, engines and units",
    "OPEN_JOBS": "open a job and change its intake",
    "MOVE_JOBS": "move a job from state to state",
    "WRITE_CORRECTIONS": "write cause and correction on a job line",
    "SET_PRICES": "add and change priced lines",
    "SEE_PRICES": "see prices, rates and sums",
    "CLOCK_HOURS": "clock and note hours of work",
    "CORRECT_HOURS": "note, correct and void hours of somebody else",
    "LOG_FINDINGS": "log findings, such as scans, readings and tests, and work done",
    "AMEND_FINDINGS": "amend findings in the log",
    "WRITE_NOTES": "write a note in the log",
    "VOID_OTHERS_NOTES": "void a note that somebody else wrote",
    "EDIT_SPEC_CARDS": "add and change spec cards",
    "SHARE_SHEETS": "share saved reading sheets with everybody",
    "EDIT_SERVICE_PLANS": "add and change service plans",
    "REMIND_OWNERS": "note reminders of service due",
    "PLAN_APPOINTMENTS": "plan appointments",
    "EDIT_BAYS": "keep the list of bays",
    "NOTE_CALLS": "note calls to customers",
    "REVOKE_FEEDS": "revoke calendar feeds of others",
    "EDIT_INSTRUMENTS": "keep the register of the shop's instruments",
    "EDIT_PARTS": "add and change catalog parts",
    "FIT_PARTS": "log parts that were fitted",
    "AWAIT_PARTS": "note parts that a job waits for, and their arrival",
    "DRAFT_REPORTS": "draft and word a condition report",
    "SIGN_REPORTS": "sign, revise and withdraw a condition report",
    "SEE_INSIGHT": "see repeat-fault history across the shop",
    "SET_TAXES": "set the shop’s taxes and their rates",
    "GO_BEYOND": "go on past what a customer authorized",
    "SEE_MONEY": "see invoices, payments and what customers owe",
    "MAKE_INVOICES": "make invoices",
    "TAKE_MONEY": "note payments and deposits",
    "CREDIT_INVOICES": "credit invoices and pay money back",
    "WRITE_OFF": "write off what is not paid",
    "MANAGE_STAFF": "add people and set their roles",
    "MANAGE_SHOP": "change the shop profile",
}


def test_table_and_policy_name_the_same_permissions():
    assert set(TABLE) == {permission.name for permission in Permission} == {permission.name for permission in ALLOWED}


LEFT = {"technicians_open_jobs": "OPEN_JOBS", "technicians_see_prices": "SEE_PRICES",
        "technicians_see_insight": "SEE_INSIGHT"}  # fmt: skip


@pytest.fixture(autouse=True)
def _strict():
    """A shop that leaves nothing of it to its technicians."""
    with using_shop(ShopProfile(**dict.fromkeys(LEFT, False))):
        yield


@pytest.mark.parametrize("permission", Permission)
@pytest.mark.parametrize("role", Role)
def test_role_may_what_the_table_says(role, permission):
    assert may(Person(username="x", name="X", role=role), permission) is (role in TABLE[permission.name])


@pytest.mark.parametrize("name", LEFT)
@pytest.mark.parametrize("role", Role)
def test_what_is_left_to_the_shop_is_given_to_technicians_alone(role, name):
    somebody = Person(username="x", name="X", role=role)
    before = {one for one in Permission if may(somebody, one)}
    with using_shop(ShopProfile(**{**dict.fromkeys(LEFT, False), name: True})):
        now = {one for one in Permission if may(somebody, one)}
    assert now - before == ({Permission[LEFT[name]]} if role == TECH else set())
    assert before <= now


def test_a_shop_that_never_said_anything_leaves_it_to_them():
    assert all(getattr(ShopProfile(), name) for name in LEFT)


def test_front_desk_does_not_touch_findings():
    desk = Person(username="dora", name="Dora", role=DESK)
    for permission in [Permission.LOG_FINDINGS, Permission.AMEND_FINDINGS, Permission.EDIT_SPEC_CARDS]:
        assert not may(desk, permission)


def test_technician_neither_prices_nor_signs():
    tech = Person(username="tomas", name="Tomas", role=TECH)
    for permission in [Permission.SET_PRICES, Permission.EDIT_PARTS, Permission.SIGN_REPORTS, Permission.OPEN_JOBS]:
        assert not may(tech, permission)


@pytest.mark.parametrize("permission", Permission)
def test_somebody_who_left_or_is_not_logged_in_may_do_nothing(permission):
    assert not may(Person(username="orla", name="Orla", role=OWNER, is_active=False), permission)
    assert not may(AnonymousUser(), permission)
    assert not may(None, permission)


def test_a_refusal_says_what_may_not_be_done():
    with pytest.raises(Refused, match="sign, revise and withdraw a condition report") as refusal:
        require(Person(username="tomas", name="Tomas", role=TECH), Permission.SIGN_REPORTS)
    assert "Ask a manager or the owner" in refusal.value.sentence
    require(Person(username="mina", name="Mina", role=MANAGER), Permission.SIGN_REPORTS)


@pytest.mark.parametrize("permission", Permission)
def test_whoever_may_not_hears_what_it_is(permission):
    with pytest.raises(Refused) as refusal:
        require(Person(username="x", name="X", role=OWNER, is_active=False), permission)
    assert refusal.value.sentence == (
        f"Your role does not allow you to {WORDS[permission.name]}. Ask a manager or the owner."
    )


def test_the_roles_are_kept_by_these_names():
    """They stand in the database and in backups."""
    assert {role.name: role.value for role in Role} == {
        "FRONT_DESK": "front-desk", "TECHNICIAN": "technician", "MANAGER": "manager", "OWNER": "owner",
    }  # fmt: skip


@pytest.mark.parametrize("permission", Permission)
def test_who_is_not_known_to_be_logged_in_and_to_work_here_may_do_nothing(permission):
    assert may(SimpleNamespace(is_authenticated=True, is_active=True, role=OWNER), permission)
    assert not may(SimpleNamespace(is_authenticated=True, role=OWNER), permission)
    assert not may(SimpleNamespace(is_active=True, role=OWNER), permission)
    assert not may(SimpleNamespace(is_authenticated=False, is_active=True, role=OWNER), permission)


def test_posting_can_need_more_than_looking():
    @permission_required(Permission.SEE_RECORDS, to_post=Permission.SIGN_REPORTS)
    def page(request):
        return HttpResponse("seen")

    tech = Person(username="tomas", name="Tomas", role=TECH)
    get, post = RequestFactory().get("/"), RequestFactory().post("/")
    get.user = post.user = tech
    assert page(get).status_code == 200
    with pytest.raises(PermissionDenied):
        page(post)
    put = RequestFactory().put("/")
    put.user = tech
    with pytest.raises(PermissionDenied):
        page(put)
    assert (page.permission, page.permission_to_post) == (Permission.SEE_RECORDS, Permission.SIGN_REPORTS)


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS", "POST", "PUT", "PATCH", "DELETE", "TRACE", "PROPFIND"])
def test_only_what_changes_nothing_needs_no_more_than_looking(method):
    @permission_required(Permission.SEE_RECORDS, to_post=Permission.SIGN_REPORTS)
    def page(request, number, *, slug):
        return HttpResponse(f"{number} {slug}")

    request = RequestFactory().generic(method, "/")
    request.user = Person(username="tomas", name="Tomas", role=TECH)
    if method in ("GET", "HEAD", "OPTIONS"):
        assert page(request, 7, slug="scan").content == b"7 scan"
    else:
        with pytest.raises(PermissionDenied, match="sign, revise and withdraw"):
            page(request, 7, slug="scan")
