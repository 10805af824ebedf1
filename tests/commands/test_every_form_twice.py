"""Each form of the program sent twice: the second time it is answered as the first, and nothing is there twice.

The addresses are those of the permission matrix; one that takes a POST and has no row below fails.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from types import SimpleNamespace
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import lxml.html
import pytest
from django.apps import apps
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from billing.authorizations.queries import rules as authorization_rules
from billing.invoices.actions import receive_deposit, receive_payment, refund_credit, reverse_payment
from billing.invoices.queries.shop import billing_profile
from commands.models import Command
from commands.refusals import Refused
from findings.canlogs.models import CanLogState
from findings.readings.card_file import NEEDED
from findings.readings.card_file_views import looked_at
from findings.reports.models import DraftState, ReportDraft
from staff.queries import shop_profile
from tests.cast import PASSWORD, make_cast
from tests.shopfloor.scene import Scene
from tests.shopfloor.test_permissions import BY_NAME, NOT_THERE, ROWS, letter_drawn
from vessels.actions import log_hours, write_note
from vessels.models import Customer
from workorders.actions import add_charge, strike_charge
from workorders.calendar.models import CalendarFeed
from workorders.models import Charge

OWN = {"own_word": PASSWORD}
PART = {"number": "TW-9", "maker": "Tidewright", "description": "Impeller", "unit_price": "41.50"}
NOT_KEPT = {"staff.session", "staff.counter", "staff.knownaddress", "staff.accountevent", "sessions.session"}


@dataclass(frozen=True)
class Form:
    """What is written into a form, on top of what stands in it."""

    told: Callable[[Scene], dict[str, Any]] = lambda scene: {}
    does: str = ""
    query: str = ""
    before: Callable[[Scene], object] = lambda scene: None
    without_page: dict[str, Any] = field(default_factory=dict)


def says(**told: Any) -> Callable[[Scene], dict[str, Any]]:
    return lambda scene: told


def card_table(scene: Scene) -> dict[str, Any]:
    """A table of limits that was looked at, as the page sends it."""
    row = f"D6T warm,{scene.parameter.name},warm,44,,70,psi,10,Bulletin 9,3"
    text = f"card,{','.join(NEEDED)}\n{row}"
    return {"text": text, "apply": "yes", "looked_at": looked_at(text, "unsaid"), "seen": f"{scene.card.pk}:1"}


def state(to: str) -> Callable[[Scene], object]:
    return lambda scene: ReportDraft.objects.filter(pk=scene.draft.pk).update(state=to, summary="Sound.")


def signing(scene: Scene) -> None:
    ReportDraft.objects.filter(pk=scene.draft.pk).update(
        state=DraftState.SIGNING, summary="Sound.", record="{}", sequence=1, signer=scene.cast.owner,
        signing_since=timezone.now(), problem="The disk was full.",
    )  # fmt: skip


def feed_of_the_owner(scene: Scene) -> object:
    return CalendarFeed.objects.filter(pk=scene.feed.pk).update(person=scene.cast.owner)


def held(scene: Scene) -> object:
    """A deposit came in after the invoice, which is paid in part."""
    receive_payment(by=scene.cast.desk, invoice=scene.invoice, amount=Decimal(40), means="cash")
    return receive_deposit(by=scene.cast.desk, job=scene.job, amount=Decimal(40), means="cash")


def bounced(scene: Scene) -> None:
    """A check that had been paid back in cash was not honored; other money is held."""
    owner, customer = scene.cast.owner, scene.job.customer
    check = receive_deposit(by=owner, job=scene.job, amount=Decimal(40), means="check")
    refund_credit(by=owner, customer=customer, amount=Decimal(40), means="cash", reason="Called off")
    reverse_payment(by=owner, payment=check, reason="Not honored")
    receive_payment(by=owner, invoice=scene.invoice, amount=scene.invoice.total + 5, means="card")


def past_the_sum(scene: Scene) -> None:
    """A charge was stopped."""
    agreed = scene.authorization.job
    with contextlib.suppress(Refused):
        add_charge(by=scene.cast.owner, job=agreed, kind="fee", description="Rebuild", unit_price=Decimal(99999))


def overpaid(scene: Scene) -> object:
    """The invoice is paid, with $5 too much."""
    return receive_payment(by=scene.cast.owner, invoice=scene.invoice, amount=scene.invoice.total + 5, means="card")


def new_boat(scene: Scene) -> dict[str, Any]:
    return {"name": "Tern", "kind": "outboard"}


def at_once(scene: Scene) -> dict[str, Any]:
    """The clock of the scene was started two days ago: what is done to it was done then."""
    started = scene.clock.started_at
    return {"happened_at": started.isoformat() if started else ""}


def since_now(scene: Scene) -> dict[str, Any]:
    """This minute, by the shop's clock."""
    return {"since": f"{timezone.localtime(timezone.now(), ZoneInfo(shop_profile().time_zone)):%H:%M}"}


FORMS: dict[str, Form] = {
    "staff:add": Form(
        says(name="Ida Shoal", username="ida", role="technician", password="quiet-lantern-harbor-9", **OWN),
        "add_person",
    ),
    "staff:person": Form(says(name="Tomas Reefe", **OWN), "change_person"),
    "staff:password": Form(says(password="quiet-lantern-harbor-9", again="quiet-lantern-harbor-9", **OWN),
        "set_password"),
    "staff:shop": Form(says(labor_rate="133", **OWN), "change_shop"),
    "account_change_password": Form(
        says(oldpassword=PASSWORD, password1="quiet-lantern-harbor-9", password2="quiet-lantern-harbor-9"),
        "choose_password",
    ),
    "parts:add": Form(says(**PART), "add_part"),
    "parts:change": Form(says(unit_price="13.20"), "change_part"),
    "vessels:customer-add": Form(says(name="Ada Finch"), "add_customer"),
    "vessels:customer-change": Form(says(name="Ada Finch"), "change_customer"),
    "vessels:vessel-add": Form(new_boat, "add_vessel", query="?owner={customer}"),
    "vessels:vessel-change": Form(says(color="blue"), "change_vessel"),
    "vessels:vessel-owner": Form(
        lambda scene: {"new_owner": Customer.objects.get(name="Bo Lund").pk},
        "change_owner",
        query="?q=lund",
        before=lambda scene: Customer.objects.create(name="Bo Lund"),
    ),
    "vessels:engine-add": Form(says(position="center", maker="Norrland"), "add_engine"),
    "vessels:engine-change": Form(says(serial="S-1"), "change_engine"),
    "vessels:engine-remove": Form(says(text="Sold."), "remove_engine"),
    "vessels:hours": Form(says(shown="100.5"), "log_hours"),
    "vessels:meter-replace": Form(says(old_shown="", new_shown="0"), "replace_meter"),
    "vessels:unit-add": Form(says(name="Gauge"), "add_unit"),
    "vessels:unit": Form(says(serial="S-1"), "identify_unit"),
    "vessels:unit-change": Form(says(name="Box"), "change_unit"),
    "vessels:unit-remove": Form(says(text="Burnt."), "remove_unit"),
    "vessels:note": Form(says(text="Bilge wet."), "write_note"),
    "workorders:note": Form(says(text="Bilge dry."), "write_note"),
    "vessels:amend": Form(says(text="The other one."), "amend_text"),
    "vessels:void": Form(says(reason="Misread."), "retract"),
    "workorders:open": Form(
        says(**{"concern-0-text": "Alarm", "location": "slip"}),
        "open_job",
        query="?vessel={vessel}",
    ),
    "workorders:move": Form(
        lambda scene: {"to": "sea-trial", "seen_version": scene.job.version, "seen_state": scene.job.state},
        "move_job",
        without_page={"reason": ""},
    ),
    "workorders:intake": Form(says(spot="B-7"), "change_intake"),
    "workorders:lines": Form(says(concern="Leaks"), "add_line"),
    "workorders:line": Form(says(cause="Sender"), "change_line"),
    "workorders:charge_add": Form(
        says(step="add", kind="fee", description="Haul-out", quantity="1", unit_price="90"), "add_charge"
    ),
    "workorders:charge_strike": Form(does="strike_charge"),
    "workorders:discount": Form(says(percent="5"), "change_job_discount"),
    "workorders:charge_again": Form(
        does="charge_again", before=lambda scene: strike_charge(by=scene.cast.desk, charge=scene.charge)
    ),
    "workorders:core_return": Form(
        does="return_core",
        before=lambda scene: Charge.objects.filter(pk=scene.charge.pk).update(kind="part", is_core=True),
    ),
    "workorders:part_fit": Form(
        lambda scene: {"number": "TW-9", "quantity": "2", "condition": "used", "engine": scene.cast.port.pk,
                       "old_fate": "", "step": "log"},
        "fit_part",
    ),
    "workorders:part_correct": Form(says(quantity="3", serial="", old_fate="", step="log"), "fit_part"),
    "workorders:parts_charge": Form(does="charge_fitted"),
    "workorders:part_await": Form(says(description="Core", supplier="Harbor Supply", step="log"), "await_part"),
    "workorders:part_awaited": Form(says(supplier="Bay Supply"), "change_awaited"),
    "workorders:part_arrived": Form(does="part_arrived"),
    "workorders:part_not_arrived": Form(does="void_arrival"),
    "workorders:part_cancel": Form(does="cancel_awaited"),
    "calls:note": Form(says(who="Wes Harrow", said="Comes on Friday"), "note_call"),
    "appointments:add": Form(
        lambda scene: {
            "kind": "launch", "when": "day", "day": timezone.localdate().isoformat(), "vessel": scene.cast.vessel.pk,
        },
        "plan_appointment",
    ),
    "appointments:change": Form(says(remark="Noise at the shaft"), "change_appointment"),
    "appointments:settle": Form(says(state="kept"), "settle_appointment"),
    "appointments:bays": Form(says(name="Bay 7"), "add_bay"),
    "appointments:bay": Form(says(note="Up to 36 ft"), "change_bay"),
    "appointments:bay_end": Form(does="end_bay"),
    "upkeep:plan_add": Form(
        lambda scene: {"family": scene.cast.family.pk, "name": "Impeller", "every_months": "24"}, "add_plan"
    ),
    "upkeep:plan": Form(says(manual="D6T manual, ed. 5"), "change_plan"),
    "upkeep:plan_end": Form(does="end_plan"),
    "upkeep:reminded": Form(
        lambda scene: {"way": "call", "vessel": scene.cast.vessel.pk},
        "note_reminder",
        before=lambda scene: scene.followed,
    ),
    "upkeep:wish": Form(says(wants="no"), "note_reminder_wish"),
    "upkeep:letters_write": Form(
        lambda scene: {"customer": scene.cast.customer.pk}, "write_letters", before=lambda scene: scene.followed
    ),
    "upkeep:letters_sent": Form(
        lambda scene: {"letter": scene.letter.pk}, "note_letters_sent", before=letter_drawn
    ),
    "calendar:add": Form(says(name="Phone", sources=["promised"]), "add_feed"),
    "calendar:renew": Form(does="renew_feed", before=feed_of_the_owner),
    "calendar:revoke": Form(does="revoke_feed"),
    "upkeep:letter_discard": Form(does="discard_letter"),
    "upkeep:letter_again": Form(does="draw_letter_again"),
    "upkeep:lay_up": Form(says(from_on="2026-01-02"), "lay_up"),
    "upkeep:stay": Form(says(remark="Shed 3"), "change_lay_up"),
    "upkeep:stay_strike": Form(does="strike_lay_up"),
    "upkeep:adopt": Form(
        lambda scene: {"plans": scene.service_plan.pk, "basis": "unknown", "source": ""}, "adopt_plans"
    ),
    "upkeep:done": Form(lambda scene: {"plans": scene.service_plan.pk}, "log_service"),
    "upkeep:adoption": Form(says(remark="By another yard"), "change_adoption"),
    "upkeep:adoption_end": Form(does="end_adoption"),
    "upkeep:done_correct": Form(says(text="Filter too"), "log_service"),
    "upkeep:line_done": Form(does="log_service"),
    "upkeep:add_to_job": Form(does="add_line"),
    "labor:start": Form(does="start_clock"),
    "labor:since": Form(since_now, "start_clock_since"),
    "labor:stop": Form(at_once, "stop_clock"),
    "labor:pause": Form(at_once, "pause_clock"),
    "labor:take_over": Form(at_once, "take_over"),
    "labor:until": Form(says(until="23:59"), "answer_clock"),
    "labor:note": Form(says(hours="1.5"), "note_hours"),
    "labor:correct": Form(says(hours="1.25", reason="Lunch."), "correct_hours"),
    "labor:void": Form(says(reason="Another boat."), "void_hours"),
    "labor:charge": Form(says(seen_minutes="90"), "charge_hours", before=lambda scene: scene.noted),
    "taxes:list": Form(says(name="County", percent="1", kinds=["part"]), "add_tax"),
    "taxes:rate": Form(says(percent="7", kinds=["part"]), "add_tax_rate", before=lambda scene: scene.tax.rates.update(
        starts_on=timezone.localdate() - timedelta(days=1))),
    "taxes:end": Form(lambda scene: {"last_day": timezone.localdate().isoformat()}, "end_tax"),
    "taxes:rate_remove": Form(lambda scene: {"starts_on": timezone.localdate().isoformat()}, "remove_tax_rate"),
    "taxes:certificates": Form(says(certificate="CF-9"), "add_certificate"),
    "taxes:certificate_end": Form(does="end_certificate"),
    "invoices:make": Form(says(), "make_invoice", before=lambda scene: scene.charge),
    "invoices:deposit": Form(says(amount="50", means="cash"), "receive_deposit"),
    "invoices:pay": Form(says(amount="20", means="card"), "receive_payment"),
    "invoices:use": Form(says(amount="10"), "use_credit", before=held),
    "invoices:credit": Form(says(how="sum", amount="10", reason="Agreed."), "credit_invoice"),
    "invoices:write_off": Form(says(amount="10", reason="Gone away."), "write_off"),
    "invoices:write_off_reverse": Form(says(reason="Paid."), "reverse_write_off"),
    "invoices:payment_reverse": Form(says(reason="Not honored."), "reverse_payment"),
    "invoices:refund": Form(says(amount="10", means="cash", reason="Too much."), "refund_credit", before=held),
    "invoices:owed": Form(says(amount="5", means="cash"), "receive_owed", before=bounced),
    "invoices:cover": Form(does="cover_owed", before=bounced),
    "invoices:off_owed": Form(says(amount="5", reason="Gone away."), "write_off_loose", before=bounced),
    "invoices:off_credit": Form(says(amount="2", reason="Too little."), "write_off_loose", before=overpaid),
    "invoices:loose_off_reverse": Form(says(reason="Paid."), "reverse_loose_write_off"),
    "invoices:details": Form(says(country="US"), "change_customer_billing"),
    "invoices:shop": Form(says(terms_days="14"), "change_billing", before=lambda scene: billing_profile()),
    "invoices:account": Form(says(code="1000", name="Till"), "name_account", query="?role=means:cash"),
    "invoices:notice_add": Form(says(title="Lien", text="It stays."), "add_notice"),
    "invoices:notice": Form(says(title="A lien"), "change_notice"),
    "authorizations:job": Form(says(amount="500", how="person", who="Wes", words="Go on."), "note_authorization"),
    "authorizations:go_on": Form(says(up_to="900", reason="Nobody answers."), "go_on"),
    "authorizations:let_go": Form(says(reason="Not needed."), "let_stopped_go", before=past_the_sum),
    "authorizations:withdraw": Form(says(reason="Called off."), "withdraw_authorization"),
    "authorizations:answer": Form(
        says(step="note", how="person", who="Wes", words="Go on."), "note_authorization",
        before=lambda scene: scene.estimate_given,
    ),
    "authorizations:deferred_drop": Form(says(reason="Sold."), "drop_deferred"),
    "authorizations:deferred_open": Form(says(reason="Again."), "reopen_deferred"),
    "authorizations:deferred_add": Form(does="add_line"),
    "authorizations:rules": Form(
        says(tolerance_percent="10"), "change_authorization_rules", before=lambda scene: authorization_rules()
    ),
    "estimates:start": Form(does="start_estimate"),
    "estimates:discard": Form(says(revision="2"), "discard_estimate", before=lambda scene: scene.estimate),
    "estimates:fill": Form(says(source="concerns"), "fill_estimate"),
    "estimates:terms": Form(says(deposit="50"), "change_estimate_terms"),
    "estimates:line_add": Form(says(kind="fee", description="Haul-out", unit_price="90"), "add_estimate_line"),
    "estimates:line": Form(says(unit_price="61"), "change_estimate_line"),
    "estimates:line_remove": Form(
        lambda scene: {"key": str(scene.estimate.lines.latest("pk").key)}, "remove_estimate_line"
    ),
    "estimates:option_add": Form(says(name="Polish"), "add_estimate_option"),
    "estimates:option": Form(says(name="Polish"), "change_estimate_option"),
    "estimates:option_remove": Form(
        lambda scene: {"key": str(scene.estimate.options.get().key)}, "remove_estimate_option"
    ),
    "estimates:give": Form(says(revision="2", how="shown", seen_total="130"), "give_estimate"),
    "estimates:charge": Form(says(), "charge_estimate"),
    "estimates:kits": Form(says(name="Winter layup"), "add_kit"),
    "estimates:kit": Form(says(note="For jets"), "change_kit"),
    "estimates:kit_line_add": Form(says(kind="labor", description="Fit it", quantity="1"), "add_kit_line"),
    "estimates:kit_line": Form(says(quantity="2"), "change_kit_line"),
    "estimates:kit_line_remove": Form(says(position="1"), "remove_kit_line"),
    "findings:bench_tool": Form(says(), "log_result", query="?current=12&drop=0.3&work-out=1"),
    "findings:scan": Form(
        lambda scene: {"do": "log", "unit": scene.cast.port_unit.pk, "listed": '[["spn","110-0","active",1]]',
                       "phase": "arrival", "extent": "all"},
        "log_scan",
    ),
    "findings:paste": Form(does="log_scan"),
    "findings:clear": Form(lambda scene: {"unit": scene.cast.port_unit.pk, "which": "all"}, "clear_codes"),
    "findings:work": Form(says(text="Changed the oil."), "log_work"),
    "findings:visual_finding": Form(
        says(engine="boat", place="Bilge hose", text="Chafed", severity="soon", recommendation="Replace it"),
        "log_visual_finding",
    ),
    "findings:setting": Form(
        says(engine="boat", setting="Idle speed", sort="other", before="600", after="650", unit="rpm",
             text="It stalled", authority="The owner"),
        "log_setting",
    ),
    "findings:correct_setting": Form(says(text="As asked"), "log_setting"),
    "findings:set_back": Form(says(value="200"), "set_back_setting"),
    "findings:function_test": Form(
        says(engine="boat", operated="Blower", text="Ran", verdict="worked"), "log_function_test"
    ),
    "findings:correct_function_test": Form(says(text="Ran slowly"), "log_function_test"),
    "findings:correct_visual_finding": Form(says(text="Cracked"), "log_visual_finding"),
    "findings:job_readings": Form(
        says(**{"other-parameter_name": "Belt slack", "other-kind": "length", "other-number": "8", "other-value": "8",
                "other-unit": "mm"}),
        "log_reading",
    ),
    "findings:correct_reading": Form(says(value="46", phase="arrival"), "log_reading"),
    "findings:can_logs": Form(does="bring_log"),
    "findings:can_log": Form(does="log_findings"),
    "findings:can_log_again": Form(does="read_again"),
    "findings:can_log_discard": Form(does="discard_log"),
    "findings:sheet": Form(says(name="D6T sea trial"), "save_sheet_version"),
    "findings:sheet_share": Form(says(shared="yes"), "share_sheet"),
    "findings:sheet_end": Form(does="end_sheet"),
    "findings:card_add": Form(
        lambda scene: {"family": scene.cast.family.pk, "title": "D6T cold", "document": "Manual, p. 3",
                       "limits-0-parameter": scene.parameter.name, "limits-0-unit": "psi", "limits-0-low": "40"},
        "add_card",
    ),
    "findings:card_change": Form(says(title="D6T hot"), "change_card"),
    "findings:card_bring": Form(card_table, "revise_limits"),
    "findings:family_bring": Form(card_table, "revise_limits"),
    "findings:instrument_add": Form(says(kind="Gauge", make="Tidewright", serial="G-7"), "add_instrument"),
    "findings:instrument_change": Form(says(serial="G-8"), "change_instrument"),
    "findings:instrument": Form(says(calibrated_on="2025-05-01"), "add_calibration"),
    "findings:calibration_strike": Form(does="strike_calibration"),
    "reports:job": Form(says(summary="Sound.", do="save"), "word_report", before=state(DraftState.DRAFTING)),
    "reports:start": Form(does="draft_report"),
    "reports:discard": Form(does="discard_draft", before=state(DraftState.DRAFTING)),
    "reports:retry": Form(says(do="back"), "cancel_signing", before=signing),
    "reports:revise": Form(says(**OWN), "revise_report"),
    "reports:withdraw": Form(says(reason="Wrong boat.", **OWN), "withdraw_report"),
}  # fmt: skip
# What writes nothing of the shop's, or is asked elsewhere.
READS = "a page that is only looked at: its POST is answered as its GET"
DOORS = "a login, a logout or a second factor: nothing of it may be repeated, and its own tests say so"
ELSEWHERE = {
    "reports:sign": "needs a certificate: tests/findings/reports/test_signing.py",
    "reports:verify": READS,
    "invoices:pdf": "draws a paper once: tests/billing/invoices/test_invoicing.py",
    "invoices:credit_pdf": "the same",
    "estimates:pdf": "draws a paper once: tests/billing/estimates/test_paper.py",
    "authorizations:pdf": "draws a paper once: tests/billing/authorizations/test_paper.py",
}


def is_looked_at(name: str) -> bool:
    row = BY_NAME[name]
    return row.to_get == row.to_post and name in LOOKED_AT


LOOKED_AT = {
    "today", "search", "staff:list", "staff:journal", "staff:journal_csv", "staff:logo",
    "staff:own_login", "staff:factors", "parts:list", "parts:part",
    "vessels:customers", "vessels:customer", "vessels:list", "vessels:vessel", "vessels:engines", "vessels:log",
    "vessels:entry", "workorders:board", "workorders:list",
    "workorders:list_csv", "workorders:job", "workorders:tag", "workorders:log",
    "workorders:vessel_jobs", "workorders:vessel_parts", "workorders:vessel_parts_csv",
    "invoices:job", "invoices:left",
    "invoices:list", "invoices:invoice", "invoices:aging", "invoices:day_book", "invoices:customer",
    "upkeep:list", "upkeep:list_csv", "upkeep:plans", "upkeep:reminders", "upkeep:reminders_csv", "upkeep:vessel",
    "upkeep:letters", "upkeep:letter_pdf", "calendar:feeds", "calendar:address",
    "week", "appointments:one", "calls:list",
    "figures:hours", "figures:comebacks", "figures:states", "figures:estimates", "figures:owed", "figures:sales",
    "labor:job", "labor:running", "labor:person",
    "estimates:job", "estimates:given",
    "authorizations:signature", "authorizations:photo", "authorizations:deferred",
    "findings:job", "findings:bench", "findings:explain", "findings:instruments",
    "findings:vessel_faults",
    "findings:fault", "findings:judged", "findings:find_parameter", "findings:vessel_readings",
    "findings:parameter_history",
    "findings:can_log_progress", "findings:card",
    "findings:card_csv", "findings:family_csv",
    "findings:cards", "findings:sheets", "findings:insight", "findings:insight_returned",
    "findings:insight_comebacks", "findings:insight_repairs", "findings:insight_recurrence", "reports:preview",
    "reports:preview_pdf", "reports:progress", "reports:issued", "reports:pdf",
}  # fmt: skip
AT_THE_DOOR = {
    "staff:factor_app", "staff:factor_passkey", "staff:factor_codes", "staff:factor_remove", "staff:factors_reset",
    "mfa_authenticate", "staff:end_other_sessions", "staff:end_session", "account_login", "account_logout",
    "passkey_login",
}  # fmt: skip


def test_every_address_that_takes_a_form_is_here() -> None:
    takes = {row.name for row in ROWS if row.to_post != NOT_THERE}
    known = FORMS.keys() | ELSEWHERE.keys() | LOOKED_AT | AT_THE_DOOR
    assert takes - known == set(), "say what is sent there, or why nothing is"
    assert known - takes == set()


@pytest.mark.parametrize("name", sorted(LOOKED_AT - {"staff:logo"}))
@pytest.mark.django_db
def test_a_page_that_is_looked_at_writes_nothing(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("findings.reports.views.drafts.draw_pdf", lambda *_: SimpleNamespace(data=b"%PDF"))
    scene, client = stage()
    address = reverse(name, args=BY_NAME[name].arguments(scene))
    known = rows_of_all()
    client.post(address, {"entry_id": str(uuid4()), "name": "x", "text": "x"})
    assert rows_of_all() == known


def stage() -> tuple[Scene, Client]:
    cache.clear()
    scene, client = Scene(make_cast()), Client()
    client.force_login(scene.cast.owner)
    shop_profile()  # made when it is first asked for
    return scene, client


def rows_of_all() -> dict[str, int]:
    """How many rows each table has, asked at once."""
    tables = {
        model._meta.label: model._meta.db_table
        for model in apps.get_models()
        if model._meta.managed and model._meta.label_lower not in NOT_KEPT
    }
    with connection.cursor() as cursor:
        cursor.execute(
            " UNION ALL ".join(f"SELECT '{name}', count(*) FROM \"{table}\"" for name, table in tables.items())
        )
        found = dict(cursor.fetchall())
    assert found.keys() == tables.keys()
    return found


def filled(client: Client, address: str, told: dict[str, Any], does: str) -> dict[str, Any]:
    """What a browser would send: what stands in the form of the page, and what is written on top."""
    page = client.get(address)
    assert page.status_code == 200, (address, page.status_code)
    tree = lxml.html.fromstring(page.content.decode())
    forms = [
        form for form in tree.forms
        if form.method == "POST" and ids_of(form) and (form.action or address).split("?")[0]
        == address.split("?", maxsplit=1)[0]
    ]  # fmt: skip
    assert forms, f"no form of {address} carries an id"
    values = values_of(forms[-1])
    assert all(values.get(name) for name in ids_of(forms[-1])), "the server gives the id, for a page without scripts"
    return values | told


def values_of(form: Any) -> dict[str, Any]:
    """What a form holds; a browser leaves out the line break after a text area's tag."""
    return {name: value.removeprefix("\n") for name, value in form.form_values()}


def ids_of(form: Any) -> list[str]:
    return [name for name in form.fields.keys() if name.split("-")[-1] == "entry_id"]  # noqa: SIM118  (lxml's own)


def pasting(client: Client, scene: Scene, address: str) -> dict[str, Any]:
    """A paste is looked through before it is logged."""
    told = filled(client, address, {"pasted": "SPN 110 FMI 0 active\n", "unit": scene.cast.port_unit.pk}, "")
    seen = lxml.html.fromstring(client.post(address, told).content.decode())
    form = next(form for form in seen.forms if form.method == "POST" and "read_digest" in form.fields)
    told = {"do": "log", "code-0-take": "on", "phase": "arrival", "extent": "all", "status": "active"}
    return values_of(form) | told


def sent(client: Client, scene: Scene, name: str, address: str) -> dict[str, Any]:
    form = FORMS[name]
    told = form.told(scene)
    if name == "findings:paste":
        return pasting(client, scene, address)
    if name == "findings:can_logs":
        return filled(client, address, {}, form.does)
    if BY_NAME[name].to_get == NOT_THERE or form.without_page:
        return {"entry_id": str(uuid4()), **form.without_page, **told}
    return filled(client, address, told, form.does)


def ready(name: str, settings: Any, tmp_path: Any) -> tuple[Scene, Client, str]:
    """A stage on which the form of this name can be sent, a browser, and the form's address."""
    settings.MEDIA_ROOT = str(tmp_path)
    scene, client = stage()
    form, row = FORMS[name], BY_NAME[name]
    log_hours(by=scene.cast.desk, engine=scene.cast.port, shown=100)
    write_note(by=scene.cast.desk, vessel=scene.cast.vessel, text="Bilge wet.")
    address = reverse(name, args=row.arguments(scene))
    form.before(scene)
    return scene, client, address + form.query.format(customer=scene.cast.customer.pk, vessel=scene.cast.vessel.pk)


@pytest.mark.parametrize("name", sorted(FORMS))
@pytest.mark.django_db
def test_sent_twice_it_is_done_once(name: str, settings: Any, tmp_path: Any) -> None:
    scene, client, address = ready(name, settings, tmp_path)
    form = FORMS[name]
    if name == "findings:can_log_discard":
        scene.can_log.state = CanLogState.FAILED
        scene.can_log.save()
    body = sent(client, scene, name, address)
    if name == "findings:can_logs":
        log = b"(1.0) can0 18FEF100#0011223344556677\n" * 9
        told = [{**body, "file": SimpleUploadedFile("trip.log", log)} for _ in range(2)]
    else:
        told = [body, body]
    first = client.post(address, told[0])
    assert first.status_code == 302, problems(first)
    known = rows_of_all()
    kinds = set(Command.objects.values_list("kind", flat=True))
    assert form.does in kinds, f"{address} did {kinds}"
    again = client.post(address, told[1])
    assert (again.status_code, again.headers["Location"]) == (302, first.headers["Location"]), problems(again)
    assert rows_of_all() == known


def problems(answer: Any) -> str:
    """What a page that came back says is wrong."""
    if not answer.content:
        return f"{answer.status_code} {answer.headers.get('Location')}"
    said = lxml.html.fromstring(answer.content.decode()).xpath(
        "//*[contains(@class, 'errorlist') or contains(@class, 'notice') or @aria-invalid='true']"
    )
    return f"{answer.status_code} {[' '.join(one.text_content().split()) or one.get('name') for one in said]}"
