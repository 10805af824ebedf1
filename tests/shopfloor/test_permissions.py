"""Who may go where: every address × every role and logged out, by GET and by POST.

Each address of the program has one row below: its name, what a GET needs, what a POST needs, and where its arguments
come from. A new address without a row fails; so does a row whose address is gone, and a row that says something else
than the decorator beside the view.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, path, reverse

from commands.models import BackgroundTask
from files.paper.signing import SignedPdf
from files.store import keep_bytes
from parts.models import Part
from shopfloor.health import note_heartbeat
from staff.models import Person, ShopProfile
from staff.policy import Permission, Role, may
from tests.cast import Cast, make_cast, session_of
from tests.shopfloor.scene import Scene
from vessels.actions import write_note
from workorders.models import Charge
from workorders.upkeep.models import ReminderLetter

SEE, EDIT, NOTE = Permission.SEE_RECORDS, Permission.EDIT_RECORDS, Permission.WRITE_NOTES
SEE_PRICES = Permission.SEE_PRICES
OPEN, MOVE, PRICE = Permission.OPEN_JOBS, Permission.MOVE_JOBS, Permission.SET_PRICES
SHEETS = Permission.SHARE_SHEETS
LOG, CARDS, INSIGHT = Permission.LOG_FINDINGS, Permission.EDIT_SPEC_CARDS, Permission.SEE_INSIGHT
AMEND, INSTRUMENTS = Permission.AMEND_FINDINGS, Permission.EDIT_INSTRUMENTS
DRAFT, SIGN, PARTS = Permission.DRAFT_REPORTS, Permission.SIGN_REPORTS, Permission.EDIT_PARTS
FIT, AWAIT = Permission.FIT_PARTS, Permission.AWAIT_PARTS
CLOCK = Permission.CLOCK_HOURS
PLAN, REMIND = Permission.EDIT_SERVICE_PLANS, Permission.REMIND_OWNERS
APPOINT, BAYS = Permission.PLAN_APPOINTMENTS, Permission.EDIT_BAYS
CALLS = Permission.NOTE_CALLS
TAXES, BEYOND = Permission.SET_TAXES, Permission.GO_BEYOND
STAFF, SHOP = Permission.MANAGE_STAFF, Permission.MANAGE_SHOP
MONEY, INVOICE, TAKE = Permission.SEE_MONEY, Permission.MAKE_INVOICES, Permission.TAKE_MONEY
CREDIT, WRITE_OFF = Permission.CREDIT_INVOICES, Permission.WRITE_OFF

PUBLIC, ANYBODY, NOT_THERE = "everybody, logged in or not", "whoever is logged in", "no such method"
Needs = Permission | str


@dataclass(frozen=True)
class Row:
    """One address: what it needs, and how a GET is answered to those who may.

    ``turns_away`` says who is sent elsewhere because they have no use for it: "nobody" or "somebody" logged in.
    """

    name: str
    to_get: Needs
    to_post: Needs
    args: Callable[[Scene], Any] | None = None
    status: int = 200
    turns_away: str = ""

    def arguments(self, scene: Scene) -> list[Any]:
        """The address's arguments, for this scene."""
        if self.args is None:
            return []
        made = self.args(scene)
        return list(made) if isinstance(made, tuple) else [made]


def vessel(scene: Scene) -> int:
    return scene.cast.vessel.pk


def customer(scene: Scene) -> int:
    return scene.cast.customer.pk


def engine(scene: Scene) -> int:
    return scene.cast.port.pk


def unit(scene: Scene) -> int:
    return scene.cast.port_unit.pk


def entry(scene: Scene) -> Any:
    return scene.entry.pk


def note(scene: Scene) -> Any:
    return scene.note.pk


def hours_read(scene: Scene) -> Any:
    """An entry that everybody may void: the front desk its own, the others because they stand for findings."""
    return scene.hours_read.pk


def job(scene: Scene) -> int:
    return scene.job.number


def service_plan(scene: Scene) -> int:
    return scene.service_plan.pk


def engine_with_plan(scene: Scene) -> int:
    scene.service_plan  # noqa: B018  (something to follow)
    return scene.cast.starboard.pk


def serviced_engine(scene: Scene) -> int:
    return scene.followed.engine_id


def followed(scene: Scene) -> int:
    return scene.followed.pk


def bay(scene: Scene) -> int:
    return scene.bay.pk


def appointment(scene: Scene) -> int:
    return scene.appointment.pk


def stay(scene: Scene) -> int:
    return scene.stay.pk


def feed(scene: Scene) -> int:
    return scene.feed.pk


def feed_key(scene: Scene) -> str:
    return scene.feed_key


def letter(scene: Scene) -> int:
    return scene.letter.pk


def letter_drawn(scene: Scene) -> int:
    """Drawn, with a plain file."""
    kept = keep_bytes(b"%PDF-1.7 a plain file")
    ReminderLetter.objects.filter(pk=scene.letter.pk).update(pdf_sha256=kept.digest, pdf_size=21, pages=1)
    return scene.letter.pk


def serviced(scene: Scene) -> Any:
    return scene.serviced.pk


def planned_line(scene: Scene) -> tuple[int, int]:
    return scene.job.number, scene.planned.line.position


def due_on_job(scene: Scene) -> tuple[int, int]:
    return scene.job.number, scene.followed.pk


def job_and_tool(scene: Scene) -> tuple[int, str]:
    return scene.job.number, "resistance-from-drop"


def drafted_job(scene: Scene) -> int:
    return scene.draft.job.number


def line(scene: Scene) -> tuple[int, int]:
    return scene.job.number, scene.line.position


def charge(scene: Scene) -> tuple[int, int]:
    return scene.job.number, scene.charge.pk


def invoice(scene: Scene) -> int:
    return scene.invoice.pk


def payment(scene: Scene) -> int:
    return scene.payment.pk


def credit_note(scene: Scene) -> int:
    return scene.credit.pk


def written_off(scene: Scene) -> int:
    return scene.write_off.pk


def loosely_written_off(scene: Scene) -> int:
    return scene.loose_write_off.pk


def notice(scene: Scene) -> int:
    return scene.notice.pk


def fitted(scene: Scene) -> Any:
    return scene.fitted.pk


def fitted_on(scene: Scene) -> int:
    return scene.fitted.entry.job.number


def awaited(scene: Scene) -> tuple[int, int]:
    return scene.awaited.job.number, scene.awaited.pk


def arrived(scene: Scene) -> tuple[int, int]:
    return scene.arrived.job.number, scene.arrived.pk


def technician(scene: Scene) -> int:
    return scene.cast.tech.pk


def clock(scene: Scene) -> Any:
    """A clock of the technician's own, left running two days ago."""
    return scene.clock.pk


def noted(scene: Scene) -> Any:
    return scene.noted.pk


def tax(scene: Scene) -> int:
    return scene.tax.pk


def certificate(scene: Scene) -> int:
    return scene.certificate.pk


def authorized(scene: Scene) -> int:
    return scene.authorization.job.number


def authorization(scene: Scene) -> tuple[int, int]:
    return scene.authorization.job.number, scene.authorization.pk


def answered(scene: Scene) -> int:
    return scene.estimate_given.job.number


def signed_for(scene: Scene) -> tuple[int, int]:
    return scene.signed.job.number, scene.signed.pk


def deferred(scene: Scene) -> int:
    return scene.deferred.pk


def dropped(scene: Scene) -> int:
    return scene.dropped.pk


def deferred_on_job(scene: Scene) -> tuple[int, int]:
    return scene.job.number, scene.deferred.pk


def estimated(scene: Scene) -> int:
    return scene.estimate.job.number


def estimate_line(scene: Scene) -> tuple[int, int]:
    return scene.estimate.job.number, scene.estimate.lines.latest("pk").pk


def estimate_option(scene: Scene) -> tuple[int, int]:
    return scene.estimate.job.number, scene.estimate.options.get().pk


def estimate_given(scene: Scene) -> tuple[int, int]:
    return scene.estimate.job.number, scene.estimate_given.revision


def kit(scene: Scene) -> int:
    return scene.kit.pk


def kit_line(scene: Scene) -> int:
    return scene.kit.lines.latest("pk").pk


def fault(scene: Scene) -> int:
    return scene.fault.pk


def card(scene: Scene) -> int:
    return scene.card.pk


def card_family(scene: Scene) -> int:
    return scene.card.family_id


def sheet(scene: Scene) -> int:
    return scene.sheet.pk


def instrument(scene: Scene) -> int:
    return scene.instrument.pk


def calibration(scene: Scene) -> int:
    return scene.instrument.calibrations.get().pk


def reading(scene: Scene) -> Any:
    return scene.reading.pk


def visual_finding(scene: Scene) -> Any:
    return scene.visual_finding.pk


def function_test(scene: Scene) -> Any:
    return scene.function_test.pk


def setting(scene: Scene) -> Any:
    return scene.setting.pk


def job_and_setting(scene: Scene) -> tuple[int, Any]:
    return scene.setting.entry.job.number, scene.setting.pk


def limit(scene: Scene) -> int:
    return scene.card.limits.get().pk


def vessel_parameter(scene: Scene) -> tuple[int, int]:
    return scene.cast.vessel.pk, scene.parameter.pk


def can_log(scene: Scene) -> tuple[int, int]:
    return scene.can_log.job.number, scene.can_log.pk


def can_log_digest(scene: Scene) -> str:
    return scene.can_log.sha256


def report(scene: Scene) -> str:
    return scene.report.number


def report_and_code(scene: Scene) -> tuple[str, str]:
    return scene.report.number, scene.report.code


def part(scene: Scene) -> int:
    return scene.part.pk


def person(scene: Scene) -> int:
    return scene.cast.tech.pk


def no_factor(scene: Scene) -> int:
    return 999_999


def some_number(scene: Scene) -> str:
    return "7f0a1d4c-2c55-4a57-9a52-5b8e0d6b2f10"


ROWS = [
    # top
    Row("today", SEE, SEE),
    Row("search", SEE, SEE),
    Row("health", PUBLIC, NOT_THERE),
    Row("offline", PUBLIC, NOT_THERE),
    Row("service_worker", PUBLIC, NOT_THERE),
    # staff
    Row("staff:list", STAFF, STAFF),
    Row("staff:add", STAFF, STAFF),
    Row("staff:journal", STAFF, STAFF),
    Row("staff:journal_csv", STAFF, STAFF),
    Row("staff:person", STAFF, STAFF, person),
    Row("staff:password", STAFF, STAFF, person),
    Row("staff:shop", SHOP, SHOP),
    Row("staff:logo", SEE, SEE, status=404),
    Row("staff:own_login", SEE, SEE),
    Row("staff:factors", SEE, SEE),
    Row("staff:factor_app", SEE, SEE),
    Row("staff:factor_passkey", SEE, SEE, status=302),
    Row("staff:factor_codes", SEE, SEE, status=302),
    Row("staff:factor_remove", SEE, SEE, no_factor, status=404),
    Row("staff:factors_reset", STAFF, STAFF, person),
    Row("mfa_authenticate", PUBLIC, PUBLIC, status=302),
    Row("passkey_login", PUBLIC, PUBLIC, status=302),
    Row("staff:end_other_sessions", NOT_THERE, SEE),
    Row("staff:end_session", NOT_THERE, SEE, some_number),
    Row("account_login", PUBLIC, PUBLIC, turns_away="somebody"),
    Row("account_logout", PUBLIC, PUBLIC, turns_away="nobody"),
    Row("account_change_password", ANYBODY, ANYBODY),
    # parts
    Row("parts:list", SEE, SEE),
    Row("parts:add", PARTS, PARTS),
    Row("parts:part", SEE, SEE, part),
    Row("parts:change", PARTS, PARTS, part),
    # vessels
    Row("vessels:customers", SEE, SEE),
    Row("vessels:customer-add", EDIT, EDIT),
    Row("vessels:customer", SEE, SEE, customer),
    Row("vessels:customer-change", EDIT, EDIT, customer),
    Row("vessels:list", SEE, SEE),
    Row("vessels:vessel-add", EDIT, EDIT),
    Row("vessels:vessel", SEE, SEE, vessel),
    Row("vessels:vessel-change", EDIT, EDIT, vessel),
    Row("vessels:vessel-owner", EDIT, EDIT, vessel),
    Row("vessels:engines", SEE, SEE, vessel),
    Row("vessels:engine-add", EDIT, EDIT, vessel),
    Row("vessels:unit-add", EDIT, EDIT, vessel),
    Row("vessels:log", SEE, SEE, vessel),
    Row("vessels:note", NOTE, NOTE, vessel),
    Row("vessels:engine-change", EDIT, EDIT, engine),
    Row("vessels:engine-remove", EDIT, EDIT, engine),
    Row("vessels:hours", SEE, EDIT, engine),
    Row("vessels:meter-replace", EDIT, EDIT, engine),
    Row("vessels:unit", SEE, EDIT, unit),
    Row("vessels:unit-change", EDIT, EDIT, unit),
    Row("vessels:unit-remove", EDIT, EDIT, unit),
    Row("vessels:entry", SEE, SEE, entry),
    Row("vessels:amend", NOTE, NOTE, entry),
    Row("vessels:void", NOTE, NOTE, hours_read),
    # workorders
    Row("workorders:board", SEE, SEE),
    Row("workorders:list", SEE, SEE),
    Row("workorders:list_csv", SEE, SEE),
    Row("workorders:open", OPEN, OPEN),
    Row("workorders:job", SEE, SEE, job),
    Row("workorders:move", MOVE, MOVE, job, status=302),
    Row("workorders:intake", OPEN, OPEN, job),
    Row("workorders:tag", SEE, SEE, job),
    Row("workorders:log", SEE, SEE, job),
    Row("workorders:note", NOTE, NOTE, job),
    Row("workorders:lines", SEE, SEE, job),
    Row("workorders:line", SEE, SEE, line),
    Row("workorders:charge_add", PRICE, PRICE, job),
    Row("workorders:charge_strike", NOT_THERE, PRICE, charge),
    Row("workorders:discount", PRICE, PRICE, job),
    Row("workorders:charge_again", NOT_THERE, PRICE, charge),
    Row("workorders:core_return", NOT_THERE, PRICE, charge),
    Row("workorders:vessel_jobs", SEE, SEE, vessel),
    Row("workorders:part_fit", FIT, FIT, job),
    Row("workorders:part_correct", AMEND, AMEND, fitted),
    Row("workorders:parts_charge", PRICE, PRICE, fitted_on),
    Row("workorders:part_await", AWAIT, AWAIT, job),
    Row("workorders:part_awaited", AWAIT, AWAIT, awaited),
    Row("workorders:part_arrived", NOT_THERE, AWAIT, awaited),
    Row("workorders:part_not_arrived", NOT_THERE, AWAIT, arrived),
    Row("workorders:part_cancel", NOT_THERE, AWAIT, awaited),
    Row("workorders:vessel_parts", SEE, SEE, vessel),
    Row("workorders:vessel_parts_csv", SEE, SEE, vessel),
    Row("week", SEE, SEE),
    Row("calls:list", CALLS, CALLS),
    Row("calls:note", CALLS, CALLS, job),
    Row("appointments:add", APPOINT, APPOINT),
    Row("appointments:one", SEE, SEE, appointment),
    Row("appointments:change", APPOINT, APPOINT, appointment),
    Row("appointments:settle", NOT_THERE, APPOINT, appointment),
    Row("appointments:bays", SEE, BAYS),
    Row("appointments:bay", BAYS, BAYS, bay),
    Row("appointments:bay_end", NOT_THERE, BAYS, bay),
    Row("calendar:feeds", SEE, SEE),
    Row("calendar:add", SEE, SEE),
    Row("calendar:address", SEE, SEE, no_factor, status=404),
    Row("calendar:renew", NOT_THERE, SEE, feed),
    Row("calendar:revoke", NOT_THERE, SEE, feed),
    Row("calendar:feed", PUBLIC, NOT_THERE, feed_key),
    Row("upkeep:list", SEE, SEE),
    Row("upkeep:list_csv", SEE, SEE),
    Row("upkeep:plans", SEE, SEE),
    Row("upkeep:plan_add", PLAN, PLAN),
    Row("upkeep:plan", SEE, PLAN, service_plan),
    Row("upkeep:plan_end", NOT_THERE, PLAN, service_plan),
    Row("upkeep:reminders", SEE, SEE),
    Row("upkeep:reminded", NOT_THERE, REMIND, customer),
    Row("upkeep:reminders_csv", SEE, SEE),
    Row("upkeep:wish", NOT_THERE, REMIND, customer),
    Row("upkeep:letters", REMIND, REMIND),
    Row("upkeep:letters_write", NOT_THERE, REMIND),
    Row("upkeep:letters_sent", NOT_THERE, REMIND),
    Row("upkeep:letter_pdf", REMIND, REMIND, letter_drawn),
    Row("upkeep:letter_discard", NOT_THERE, REMIND, letter),
    Row("upkeep:letter_again", NOT_THERE, REMIND, letter),
    Row("upkeep:vessel", SEE, SEE, vessel),
    Row("upkeep:lay_up", EDIT, EDIT, vessel),
    Row("upkeep:stay", EDIT, EDIT, stay),
    Row("upkeep:stay_strike", NOT_THERE, EDIT, stay),
    Row("upkeep:adopt", EDIT, EDIT, engine_with_plan),
    Row("upkeep:done", LOG, LOG, serviced_engine),
    Row("upkeep:adoption", EDIT, EDIT, followed),
    Row("upkeep:adoption_end", NOT_THERE, EDIT, followed),
    Row("upkeep:done_correct", AMEND, AMEND, serviced),
    Row("upkeep:line_done", NOT_THERE, LOG, planned_line),
    Row("upkeep:add_to_job", NOT_THERE, OPEN, due_on_job),
    Row("labor:job", SEE, SEE, job),
    Row("labor:job_csv", SEE, NOT_THERE, job),
    Row("labor:note", CLOCK, CLOCK, job),
    Row("labor:charge", NOT_THERE, PRICE, job),
    Row("labor:start", NOT_THERE, CLOCK, line),
    Row("labor:since", CLOCK, CLOCK, line),
    Row("labor:running", SEE, SEE),
    Row("labor:person", SEE, SEE, technician),
    Row("labor:person_csv", SEE, NOT_THERE, technician),
    Row("labor:stop", NOT_THERE, CLOCK, clock),
    Row("labor:pause", NOT_THERE, CLOCK, clock),
    Row("labor:take_over", NOT_THERE, CLOCK, clock),
    Row("labor:until", CLOCK, CLOCK, clock),
    Row("labor:correct", CLOCK, CLOCK, noted),
    Row("labor:void", CLOCK, CLOCK, noted),
    # taxes
    Row("taxes:list", TAXES, TAXES),
    Row("taxes:rate", TAXES, TAXES, tax),
    Row("taxes:end", TAXES, TAXES, tax),
    Row("taxes:rate_remove", NOT_THERE, TAXES, tax),
    Row("taxes:certificates", SEE, PRICE, customer),
    Row("taxes:certificate_end", NOT_THERE, PRICE, certificate),
    # authorizations
    Row("authorizations:job", SEE_PRICES, PRICE, job),
    Row("authorizations:go_on", BEYOND, BEYOND, authorized),
    Row("authorizations:let_go", PRICE, PRICE, job),
    Row("authorizations:withdraw", PRICE, PRICE, authorization),
    Row("authorizations:rules", SHOP, SHOP),
    Row("authorizations:answer", PRICE, PRICE, answered),
    Row("authorizations:signature", SEE_PRICES, SEE_PRICES, signed_for),
    Row("authorizations:photo", SEE_PRICES, SEE_PRICES, signed_for, status=404),
    Row("authorizations:pdf", SEE_PRICES, SEE_PRICES, signed_for),
    Row("authorizations:deferred", SEE_PRICES, SEE_PRICES),
    Row("authorizations:deferred_csv", SEE_PRICES, NOT_THERE),
    Row("authorizations:deferred_drop", PRICE, PRICE, deferred),
    Row("authorizations:deferred_open", PRICE, PRICE, dropped),
    Row("authorizations:deferred_add", NOT_THERE, OPEN, deferred_on_job),
    # estimates
    Row("estimates:job", SEE_PRICES, SEE_PRICES, job),
    Row("estimates:start", NOT_THERE, PRICE, job),
    Row("estimates:discard", NOT_THERE, PRICE, estimated),
    Row("estimates:fill", NOT_THERE, PRICE, estimated),
    Row("estimates:terms", PRICE, PRICE, estimated),
    Row("estimates:line_add", PRICE, PRICE, estimated),
    Row("estimates:line", PRICE, PRICE, estimate_line),
    Row("estimates:line_remove", NOT_THERE, PRICE, estimated),
    Row("estimates:option_add", PRICE, PRICE, estimated),
    Row("estimates:option", PRICE, PRICE, estimate_option),
    Row("estimates:option_remove", NOT_THERE, PRICE, estimated),
    Row("estimates:give", NOT_THERE, PRICE, estimated),
    Row("estimates:given", SEE_PRICES, SEE_PRICES, estimate_given),
    Row("estimates:pdf", SEE_PRICES, SEE_PRICES, estimate_given),
    Row("estimates:charge", PRICE, PRICE, estimate_given),
    Row("estimates:kits", SEE_PRICES, PARTS),
    Row("estimates:kit", SEE_PRICES, PARTS, kit),
    Row("estimates:kit_line_add", PARTS, PARTS, kit),
    Row("estimates:kit_line", PARTS, PARTS, kit_line),
    Row("estimates:kit_line_remove", NOT_THERE, PARTS, kit),
    # findings
    Row("findings:job", SEE, SEE, job),
    Row("findings:bench", SEE, SEE, job),
    Row("findings:bench_tool", SEE, LOG, job_and_tool),
    Row("findings:scan", LOG, LOG, job),
    Row("findings:paste", LOG, LOG, job),
    Row("findings:clear", LOG, LOG, job),
    Row("findings:work", LOG, LOG, job),
    Row("findings:visual_finding", LOG, LOG, job),
    Row("findings:correct_visual_finding", AMEND, AMEND, visual_finding),
    Row("findings:function_test", LOG, LOG, job),
    Row("findings:correct_function_test", AMEND, AMEND, function_test),
    Row("findings:setting", LOG, LOG, job),
    Row("findings:correct_setting", AMEND, AMEND, setting),
    Row("findings:set_back", LOG, LOG, job_and_setting),
    Row("findings:explain", SEE, SEE, unit),
    Row("findings:vessel_faults", SEE, SEE, vessel),
    Row("findings:fault", SEE, SEE, fault),
    Row("findings:job_readings", LOG, LOG, job),
    Row("findings:find_parameter", LOG, LOG, job),
    Row("findings:correct_reading", AMEND, AMEND, reading),
    Row("findings:judged", SEE, SEE, limit),
    Row("findings:vessel_readings", SEE, SEE, vessel),
    Row("findings:parameter_history", SEE, SEE, vessel_parameter),
    Row("findings:can_logs", LOG, LOG, job),
    Row("findings:can_log", LOG, LOG, can_log),
    Row("findings:can_log_progress", LOG, LOG, can_log, status=204),
    Row("findings:can_log_again", NOT_THERE, LOG, can_log),
    Row("findings:can_log_discard", NOT_THERE, LOG, can_log),
    Row("findings:can_log_file", SEE, NOT_THERE, can_log_digest),
    Row("findings:sheets", LOG, LOG),
    Row("findings:sheet", LOG, LOG, sheet),
    Row("findings:sheet_share", NOT_THERE, SHEETS, sheet),
    Row("findings:sheet_end", NOT_THERE, LOG, sheet),
    Row("findings:cards", SEE, SEE),
    Row("findings:card", SEE, SEE, card),
    Row("findings:card_add", CARDS, CARDS),
    Row("findings:card_change", CARDS, CARDS, card),
    Row("findings:card_csv", SEE, SEE, card),
    Row("findings:family_csv", SEE, SEE, card_family),
    Row("findings:card_bring", CARDS, CARDS, card),
    Row("findings:family_bring", CARDS, CARDS, card_family),
    Row("findings:instruments", SEE, SEE),
    Row("findings:instrument_add", INSTRUMENTS, INSTRUMENTS),
    Row("findings:instrument", SEE, INSTRUMENTS, instrument),
    Row("findings:instrument_change", INSTRUMENTS, INSTRUMENTS, instrument),
    Row("findings:calibration_strike", NOT_THERE, INSTRUMENTS, calibration),
    Row("findings:insight", INSIGHT, INSIGHT),
    Row("findings:insight_returned", INSIGHT, INSIGHT),
    Row("findings:insight_comebacks", INSIGHT, INSIGHT),
    Row("findings:insight_repairs", INSIGHT, INSIGHT),
    Row("findings:insight_recurrence", INSIGHT, INSIGHT),
    # invoices
    Row("invoices:job", MONEY, MONEY, job),
    Row("invoices:make", INVOICE, INVOICE, job),
    Row("invoices:deposit", TAKE, TAKE, job),
    Row("invoices:list", MONEY, MONEY),
    Row("invoices:list_csv", MONEY, NOT_THERE),
    Row("invoices:left", MONEY, MONEY),
    Row("invoices:invoice", MONEY, MONEY, invoice),
    Row("invoices:pdf", MONEY, MONEY, invoice),
    Row("invoices:credit_pdf", MONEY, MONEY, credit_note),
    Row("invoices:statement_pdf", MONEY, NOT_THERE, customer),
    Row("invoices:pay", TAKE, TAKE, invoice),
    Row("invoices:use", TAKE, TAKE, invoice),
    Row("invoices:credit", CREDIT, CREDIT, invoice),
    Row("invoices:write_off", WRITE_OFF, WRITE_OFF, invoice),
    Row("invoices:write_off_reverse", WRITE_OFF, WRITE_OFF, written_off),
    Row("invoices:payment_reverse", TAKE, TAKE, payment),
    Row("invoices:aging", MONEY, MONEY),
    Row("invoices:aging_csv", MONEY, NOT_THERE),
    Row("invoices:day_book", MONEY, MONEY),
    Row("invoices:journal_csv", MONEY, NOT_THERE),
    Row("invoices:customer", MONEY, MONEY, customer),
    Row("invoices:refund", CREDIT, CREDIT, customer),
    Row("invoices:owed", TAKE, TAKE, customer),
    Row("invoices:cover", NOT_THERE, TAKE, customer),
    Row("invoices:off_owed", WRITE_OFF, WRITE_OFF, customer),
    Row("invoices:off_credit", WRITE_OFF, WRITE_OFF, customer),
    Row("invoices:loose_off_reverse", WRITE_OFF, WRITE_OFF, loosely_written_off),
    Row("invoices:details", INVOICE, INVOICE, customer),
    Row("invoices:shop", SHOP, SHOP),
    Row("invoices:account", SHOP, SHOP, status=302),
    Row("invoices:notice_add", SHOP, SHOP),
    Row("invoices:notice", SHOP, SHOP, notice),
    # figures
    Row("figures:hours", INSIGHT, INSIGHT),
    Row("figures:hours_csv", INSIGHT, NOT_THERE),
    Row("figures:comebacks", INSIGHT, INSIGHT),
    Row("figures:comebacks_csv", INSIGHT, NOT_THERE),
    Row("figures:states", INSIGHT, INSIGHT),
    Row("figures:states_csv", INSIGHT, NOT_THERE),
    Row("figures:estimates", MONEY, MONEY),
    Row("figures:estimates_csv", MONEY, NOT_THERE),
    Row("figures:owed", MONEY, MONEY),
    Row("figures:owed_csv", MONEY, NOT_THERE),
    Row("figures:sales", MONEY, MONEY),
    Row("figures:sales_csv", MONEY, NOT_THERE),
    # reports
    Row("reports:job", SEE, DRAFT, drafted_job),
    Row("reports:start", NOT_THERE, DRAFT, job),
    Row("reports:discard", NOT_THERE, DRAFT, drafted_job),
    Row("reports:preview", SEE, SEE, drafted_job),
    Row("reports:preview_pdf", SEE, SEE, drafted_job),
    Row("reports:sign", SIGN, SIGN, drafted_job),
    Row("reports:progress", SEE, SEE, drafted_job, status=204),
    Row("reports:retry", NOT_THERE, SIGN, drafted_job),
    Row("reports:issued", SEE, SEE, report),
    Row("reports:pdf", SEE, SEE, report),
    Row("reports:revise", SIGN, SIGN, report),
    Row("reports:withdraw", SIGN, SIGN, report),
    Row("reports:verify", PUBLIC, PUBLIC),
    Row("reports:verify_code", PUBLIC, NOT_THERE, report_and_code),
]
BY_NAME = {row.name: row for row in ROWS}


# --- the addresses there are ---


def named_routes(patterns: list[Any], space: str = "") -> Iterator[tuple[str, Callable[..., Any]]]:
    """Every address below the patterns: its full name (or its pattern where it has none) and its view."""
    for pattern in patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
            yield from named_routes(pattern.url_patterns, inner)
        elif isinstance(pattern, URLPattern):
            yield (f"{space}{pattern.name}" if pattern.name else f"without a name: {pattern.pattern}"), pattern.callback


ROUTES = dict(named_routes(get_resolver().url_patterns))


def gaps(routes: set[str], rows: list[str]) -> list[str]:
    """What is wrong between the addresses and the rows, in sentences."""
    return (
        [f"{name} has no row: say who may go there" for name in sorted(routes - set(rows))]
        + [f"the row {name} has no address" for name in sorted(set(rows) - routes)]
        + [f"{name} has more than one row" for name in sorted({name for name in rows if rows.count(name) > 1})]
    )


def test_every_address_has_one_row_and_every_row_an_address():
    assert gaps(set(ROUTES), [row.name for row in ROWS]) == []


def test_a_missing_row_a_stray_row_and_a_nameless_address_are_told():
    def view(request):
        raise NotImplementedError

    found = dict(named_routes([path("a/", view, name="a"), path("b/", view)]))
    assert gaps(set(found), ["a", "c", "a"]) == [
        "without a name: b/ has no row: say who may go there",
        "the row c has no address",
        "a has more than one row",
    ]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_row_says_what_the_view_says(row):
    view = ROUTES.get(row.name)
    if view is None:
        pytest.skip("told by the test of gaps")
    is_public = not getattr(view, "login_required", True)
    assert is_public == (PUBLIC in {row.to_get, row.to_post}), "public in the row or the view, but not in both"
    if isinstance(row.to_get, Permission) or isinstance(row.to_post, Permission):
        assert hasattr(view, "permission"), f"{row.name} names no permission beside its view"
    if hasattr(view, "permission"):
        assert row.to_get in {view.permission, NOT_THERE}
        assert row.to_post in {view.permission_to_post, NOT_THERE}


# --- the matrix ---

WHO = [None, *Role]


@dataclass
class Stage:
    """The cast, the session of each role, and what all addresses point to."""

    cast: Cast
    sessions: dict[Role, str]
    scene: Scene

    def client(self, role: Role | None, **more: Any) -> Client:
        """A browser in which somebody of the role is logged in."""
        client = Client(**more)
        if role:
            client.cookies["sessionid"] = self.sessions[role]
        return client

    def ask(self, method: str, address: str, role: Role | None) -> tuple[int, str]:
        """The answer to an empty request; what it wrote is undone."""
        client = self.client(role)
        with transaction.atomic():
            cache.clear()
            answer = client.get(address) if method == "GET" else client.post(address, {})
            transaction.set_rollback(True)
        for close in answer._resource_closers:  # its own close() would end the test's connection as well
            close()
        return answer.status_code, answer.headers.get("Location", "")

    def words(self, address: str, role: Role) -> str:
        """What an answer holds, whatever it is."""
        with transaction.atomic():
            answer = self.client(role).get(address)
            held = b"".join(answer.streaming_content) if answer.streaming else answer.content
            transaction.set_rollback(True)
        for close in answer._resource_closers:
            close()
        return held.decode(errors="replace")


PRICE_SHOWN = re.compile(r"\$ ?[0-9]|\bUSD\b|246\.81|137\.77")
"""The sign before a figure, the currency (as a word: a token can hold its letters), and the prices of the scene."""
SHOW_PRICES = {"workorders:lines", "parts:list", "parts:part"}
"""Pages that show some to those who may see them."""


def priced(scene: Scene) -> Scene:
    """With a part, labor and a fee that have their prices, and hours that would have theirs."""
    ShopProfile.objects.update(labor_rate=Decimal("137.77"))
    Part.objects.filter(pk=scene.part.pk).update(unit_price=Decimal("246.81"))
    for kind, part in (("labor", None), ("part", scene.part)):
        Charge.objects.create(
            job=scene.job, line=scene.line, kind=kind, description=kind, part=part, added_by=scene.cast.desk,
            unit_price=Decimal("137.77") if part is None else Decimal("246.81"), quantity=Decimal("1.5"),
        )  # fmt: skip
    assert scene.charge
    assert scene.noted
    assert scene.fitted
    return scene


def _needed(needs: Needs) -> Permission:
    return needs if isinstance(needs, Permission) else SEE


def _is_right(row: Row, method: str, needs: Needs, somebody: Person | None, status: int, leads_to: str) -> bool:
    asks_for_login = status == 302 and leads_to.startswith("/accounts/login/?next=")
    if somebody is None and PUBLIC not in {row.to_get, row.to_post}:
        return asks_for_login
    if isinstance(needs, Permission) and not may(somebody, needs):
        return status == 403
    if needs == NOT_THERE:
        return status == 405 or (status == 403 and not may(somebody, _other(row)))
    if row.turns_away == ("somebody" if somebody else "nobody"):
        return (status, leads_to) == (302, "/" if somebody else "/accounts/login/")
    if method == "GET":
        return status == row.status
    return (
        status < 500 and status not in {401, 403, 405} and (status != 404 or row.status == 404) and not asks_for_login
    )


def _other(row: Row) -> Permission:
    """What the method that is there needs; where the view asks that first, it refuses before it says 405."""
    return next(needs for needs in [row.to_post, row.to_get, SEE] if isinstance(needs, Permission))


@pytest.mark.django_db
class TestEveryAddress:
    """Of one shop; what is asked of it changes nothing for the next question."""

    @pytest.fixture(scope="class")
    @classmethod
    def stage(cls, class_db):
        cache.clear()
        cast = make_cast()
        scene = Scene(cast)
        for row in ROWS:
            row.arguments(scene)  # each makes what it points to
        BackgroundTask.objects.all().delete()  # nobody does it here; the health page says so after a while
        return Stage(cast, {role: session_of(cast.person(role)) for role in Role}, scene)

    @pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
    def test_matrix(self, row, stage, monkeypatch):
        for drawing in (
            "findings.reports.views.drafts.draw_pdf",
            "billing.invoices.filing.draw_document",
            "billing.invoices.paper.draw_statement",
        ):
            monkeypatch.setattr(drawing, lambda *_, **__: SimpleNamespace(data=b"%PDF", pages=1))
        monkeypatch.setattr("files.paper.signing.sign", lambda pdf, *_, **__: SignedPdf(pdf, "0" * 64))
        if row.name not in ROUTES:
            pytest.skip("told by the test of gaps")
        note_heartbeat()  # of the worker that the health page asks for
        address = reverse(row.name, args=row.arguments(stage.scene))
        wrong = []
        for role in WHO:
            for method, needs in [("GET", row.to_get), ("POST", row.to_post)]:
                somebody = stage.cast.person(role) if role else None
                status, leads_to = stage.ask(method, address, role)
                if not _is_right(row, method, needs, somebody, status, leads_to):
                    wrong.append(f"{method} by {role or 'nobody'}: {status} {leads_to}; it needs: {needs}")
        assert not wrong, f"{address}\n" + "\n".join(wrong)

    def test_no_page_of_a_technician_shows_a_price_where_the_shop_says_so(self, stage, monkeypatch):
        monkeypatch.setattr("findings.reports.views.drafts.draw_pdf", lambda *_: SimpleNamespace(data=b"%PDF"))
        note_heartbeat()
        scene = priced(stage.scene)
        shown: dict[bool, dict[str, set[str]]] = {True: {}, False: {}}
        for sees, rows in ((True, [row for row in ROWS if row.name in SHOW_PRICES]), (False, ROWS)):
            ShopProfile.objects.update(technicians_see_prices=sees)
            for row in rows:
                if row.status == 200 and row.name in ROUTES and may(stage.cast.tech, _needed(row.to_get)):
                    address = reverse(row.name, args=row.arguments(scene))
                    words = stage.words(f"{address}?q=TW&all=on", Role.TECHNICIAN)
                    shown[sees][row.name] = set(PRICE_SHOWN.findall(words))
        assert {name: found for name, found in shown[False].items() if found} == {}
        assert all(shown[True][name] for name in SHOW_PRICES)
        assert len(shown[False]) > 60

    def test_what_is_left_to_the_shop_is_as_the_shop_says(self, stage):
        scene, client = stage.scene, stage.client(Role.TECHNICIAN)
        for says in (True, False):
            ShopProfile.objects.update(technicians_open_jobs=says, technicians_see_insight=says)
            assert ("/insight/" in client.get("/").content.decode()) is says
            for address in ("/insight/", "/jobs/open/", reverse("workorders:intake", args=[scene.job.number])):
                assert (client.get(address).status_code == 200) is says, address
            assert stage.client(Role.FRONT_DESK).get("/insight/").status_code == 403

    @pytest.mark.parametrize("row", [row for row in ROWS if row.to_post != NOT_THERE], ids=lambda row: row.name)
    def test_a_form_sent_from_elsewhere_is_refused(self, row, stage):
        """Without the token of the page nothing is done, whoever is logged in."""
        if row.name not in ROUTES:
            pytest.skip("told by the test of gaps")
        client = stage.client(Role.OWNER, enforce_csrf_checks=True)
        assert client.post(reverse(row.name, args=row.arguments(stage.scene)), {}).status_code == 403


@pytest.mark.django_db
@pytest.mark.parametrize(
    "path_of_nothing", ["/vessels/999999/", "/jobs/999999/findings/", "/parts/999999/", "/nowhere/"]
)
def test_what_is_not_there_is_a_404_for_those_logged_in_and_tells_others_nothing(path_of_nothing):
    client = Client()
    outside = client.get(path_of_nothing)
    assert outside.status_code in {302, 404}
    client.force_login(make_cast().desk)
    assert client.get(path_of_nothing).status_code == 404


# --- what one address decides by what is sent ---


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role)
def test_evidence_is_voided_by_those_who_log_it(role):
    scene = Scene(make_cast())
    client = Client()
    client.force_login(scene.cast.person(role))
    answer = client.post(reverse("vessels:void", args=[scene.entry.pk]), {"reason": "Read on the other engine"})
    is_allowed = role != Role.FRONT_DESK
    assert answer.status_code == (302 if is_allowed else 403)
    assert scene.entry.amendments.filter(kind="retraction").exists() is is_allowed


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role)
def test_somebody_elses_note_is_voided_by_those_who_lead(role):
    scene = Scene(make_cast())
    client = Client()
    client.force_login(scene.cast.person(role))
    leads = role in {Role.MANAGER, Role.OWNER}
    own = write_note(by=scene.cast.person(role), vessel=scene.cast.vessel, text="Key is under the mat.")
    others = write_note(
        by=scene.cast.desk if role == Role.TECHNICIAN else scene.cast.tech, vessel=scene.cast.vessel, text="Bilge dry."
    )
    for note, allowed in [(own, True), (others, leads)]:
        shown = client.get(reverse("vessels:entry", args=[note.pk])).content.decode()
        assert (reverse("vessels:void", args=[note.pk]) in shown) is allowed
        answer = client.post(reverse("vessels:void", args=[note.pk]), {"reason": "Not so"})
        assert answer.status_code == (302 if allowed else 403)
        assert note.amendments.filter(kind="retraction").exists() is allowed


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role)
def test_cause_and_correction_are_written_by_those_who_work_on_engines(role):
    scene = Scene(make_cast())
    client = Client()
    client.force_login(scene.cast.person(role))
    address = reverse("workorders:line", args=line(scene))
    page = client.get(address)
    assert ('name="cause"' in page.content.decode()) is (role != Role.FRONT_DESK)
    typed = {
        "seen_version": scene.line.version,
        "concern": scene.line.concern,
        "cause": "Sender",
        "correction": "New one",
    }
    client.post(address, typed)
    scene.line.refresh_from_db()
    assert scene.line.cause == ("" if role == Role.FRONT_DESK else "Sender")


@pytest.mark.django_db
def test_technician_sees_no_way_to_prices():
    scene = Scene(make_cast())
    client = Client()
    for somebody, sees in [(scene.cast.tech, False), (scene.cast.desk, True)]:
        client.force_login(somebody)
        html = client.get(reverse("workorders:lines", args=[scene.job.number])).content.decode()
        assert (reverse("workorders:charge_add", args=[scene.job.number]) in html) is sees
