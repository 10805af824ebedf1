"""The journal in the shop's words: what each act is called, and what it changed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation
from types import MappingProxyType
from typing import Any
from uuid import UUID

from django.utils import timezone
from django.utils.formats import date_format

from commands.envelope import UNCHANGED
from commands.models import Command

ACTS: Mapping[str, str] = MappingProxyType(
    {
        "add_plan": "Service plan added",
        "adopt_plans": "Service plans followed by an engine",
        "add_calibration": "Calibration of an instrument added",
        "add_bay": "Bay added",
        "add_card": "Spec card added",
        "add_certificate": "Tax certificate of a customer noted",
        "add_charge": "Charge added to a job",
        "add_customer": "Customer added",
        "add_engine": "Engine added",
        "add_estimate_line": "Line added to an estimate",
        "add_estimate_option": "Option added to an estimate",
        "add_feed": "Calendar feed made",
        "renew_feed": "Calendar feed given a new address",
        "revoke_feed": "Calendar feed revoked",
        "add_instrument": "Instrument added",
        "add_kit": "Kit added",
        "add_kit_line": "Line added to a kit",
        "add_line": "Line added to a job",
        "add_notice": "Notice on papers added",
        "add_parameter": "Kind of reading added",
        "add_part": "Part added to the catalog",
        "add_person": "Person added",
        "add_tax": "Tax added",
        "add_tax_rate": "Rate of a tax changed from a day on",
        "add_unit": "Control unit added",
        "add_vessel": "Vessel added",
        "amend_text": "Log entry corrected",
        "answer_clock": "End of a forgotten clock told",
        "await_part": "Part put on the list of a job that waits",
        "bring_log": "CAN log brought to a job",
        "cancel_awaited": "Part no longer waited for",
        "cancel_signing": "Signing of a report canceled",
        "change_appointment": "Appointment moved or changed",
        "change_authorization_rules": "Rules of authorization changed",
        "change_awaited": "Part that is waited for changed",
        "change_bay": "Bay changed",
        "change_billing": "Terms of invoices changed",
        "change_card": "Spec card changed",
        "revise_limits": "Limits of spec cards taken from a table",
        "forget_name": "Name of a reading on an instrument forgotten",
        "learn_names": "Names of readings on an instrument learned",
        "save_sheet": "Reading sheet saved",
        "save_sheet_version": "Next version of a reading sheet saved",
        "share_sheet": "Sharing of a reading sheet changed",
        "end_sheet": "Reading sheet no longer offered",
        "change_customer": "Customer changed",
        "change_customer_billing": "Invoice details of a customer changed",
        "change_engine": "Engine changed",
        "change_estimate_line": "Line of an estimate changed",
        "change_estimate_option": "Option of an estimate changed",
        "change_estimate_terms": "Terms of an estimate changed",
        "change_instrument": "Instrument changed",
        "change_intake": "Arrival details of a job changed",
        "change_kit": "Kit changed",
        "change_adoption": "Last time of a service changed",
        "change_kit_line": "Line of a kit changed",
        "change_lay_up": "Days of a laid up boat changed",
        "change_line": "Line of a job changed",
        "change_notice": "Notice on papers changed",
        "change_owner": "Vessel given a new owner",
        "change_part": "Part in the catalog changed",
        "change_person": "Person changed",
        "change_plan": "Service plan changed",
        "change_shop": "Shop profile changed",
        "change_unit": "Control unit changed",
        "change_vessel": "Vessel changed",
        "change_job_discount": "Discount on a job changed",
        "charge_estimate": "Estimate charged on its job",
        "cover_owed": "Credit of a customer used for what they owe on no invoice",
        "receive_owed": "Money received that a customer owed on no invoice",
        "charge_again": "Voided charge put on the job again",
        "charge_fitted": "Fitted part charged",
        "charge_hours": "Clocked hours charged",
        "choose_password": "Own password changed",
        "clear_codes": "Cleared codes logged",
        "correct_hours": "Hours corrected",
        "create_owner": "First owner created",
        "credit_invoice": "Invoice credited",
        "discard_draft": "Draft of a report discarded",
        "discard_estimate": "Draft of an estimate discarded",
        "discard_log": "CAN log discarded",
        "draft_report": "Report drafted",
        "end_adoption": "Service plan no longer followed",
        "end_bay": "Bay no longer used",
        "end_certificate": "Tax certificate ended",
        "end_plan": "Service plan ended",
        "end_tax": "Tax ended",
        "family_named": "Engine family added",
        "fill_estimate": "Estimate filled",
        "fit_part": "Part fitted on a job logged",
        "give_estimate": "Estimate given to the customer",
        "drop_deferred": "Deferred work dropped",
        "keep_stopped_charge": "Charge stopped at the authorized sum",
        "let_stopped_go": "Stopped charges let go",
        "go_on": "Gone on past the authorized sum",
        "identify_unit": "Versions and numbers of a control unit logged",
        "keep_with_job": "Arrival kept with its job",
        "lay_up": "Boat laid up",
        "log_findings": "Findings logged from a CAN log",
        "log_hours": "Hour meter reading logged",
        "log_reading": "Reading logged",
        "log_result": "Result of a Bench tool logged",
        "log_scan": "Scan logged",
        "log_service": "Service done logged",
        "log_work": "Work logged",
        "log_visual_finding": "Visual finding logged",
        "log_function_test": "Function test logged",
        "log_setting": "Changed setting logged",
        "set_back_setting": "Setting set back",
        "make_invoice": "Invoice made",
        "match_charge": "Charge matched to a fitted part",
        "move_job": "Job moved to another state",
        "name_account": "Account of the books named",
        "note_authorization": "Authorization by a customer noted",
        "note_call": "Call to a customer noted",
        "note_hours": "Hours noted without a clock",
        "note_reminder": "Reminder of a service noted",
        "note_reminder_wish": "Whether a customer wants reminders noted",
        "note_letters_sent": "Letters about service due noted as sent",
        "write_letters": "Letters about service due written",
        "discard_letter": "Letter about service due discarded",
        "draw_letter_again": "Letter about service due drawn again",
        "open_job": "Job opened",
        "part_arrived": "Arrival of a part noted",
        "pause_clock": "Clock paused",
        "plan_appointment": "Appointment planned",
        "plan_line": "Line of a job planned for a service",
        "read_again": "CAN log read a second time",
        "receive_deposit": "Deposit received",
        "receive_payment": "Payment received",
        "refund_credit": "Money paid back",
        "remove_engine": "Engine removed from a vessel",
        "remove_estimate_line": "Line of an estimate removed",
        "remove_estimate_option": "Option of an estimate removed",
        "remove_kit_line": "Line of a kit removed",
        "remove_tax_rate": "Rate of a tax removed",
        "remove_unit": "Control unit removed from a vessel",
        "replace_meter": "Hour meter replaced",
        "retract": "Log entry voided",
        "retry_signing": "Signing of a report tried again",
        "return_core": "Core charge given back",
        "reverse_payment": "Payment reversed",
        "reverse_loose_write_off": "Sum that was written off on no invoice owed again",
        "reverse_write_off": "Sum that was written off expected again",
        "review_report": "Report reviewed",
        "revise_report": "Revision of a report begun",
        "set_password": "Password of somebody set",
        "settle_appointment": "What became of an appointment noted",
        "sign_report": "Report signed",
        "start_clock": "Clock on a line started",
        "start_clock_since": "Clock on a line started since an earlier time",
        "start_estimate": "Estimate started",
        "stop_clock": "Clock stopped",
        "strike_calibration": "Calibration of an instrument voided",
        "strike_charge": "Charge voided",
        "strike_lay_up": "Days of a laid up boat voided",
        "take_in": "Boat taken in and job opened",
        "take_over": "Line taken over from another clock",
        "use_credit": "Held money used for an invoice",
        "void_arrival": "Arrival of a part voided",
        "void_hours": "Hours voided",
        "reopen_deferred": "Deferred work offered again",
        "take_up_deferred": "Deferred work taken up on a job",
        "withdraw_authorization": "Authorization withdrawn",
        "withdraw_report": "Report withdrawn",
        "word_report": "Words of a report changed",
        "write_note": "Note written",
        "write_off": "Invoice written off",
        "write_off_loose": "Sum on no invoice written off",
    }
)
"""Every act that is registered, by its name in the code; a test holds one to the other."""

FIELDS: Mapping[str, str] = MappingProxyType(
    {
        "reviewed_at": "reviewed",
        "is_active": "may log in",
        "done_on": "done on",
        "out_of_service_on": "out of service since",
        "promised_on": "promised for",
        "ordered_on": "ordered on",
        "expected_on": "expected on",
        "arrived_at": "arrived",
        "canceled_at": "no longer waited for",
        "job_total": "total of the job, with tax",
        "estimate_total": "total of the estimate, with tax",
        "hin": "HIN",
        "hin_remark": "remark on the HIN",
        "hin_found": "HIN on the hull",
        "why_revised": "why it was revised",
        "rated_rpm_low": "rated rpm, from",
        "rated_rpm_high": "rated rpm, to",
        "logo_png": "logo",
    }
)
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}([ T][0-9:.]+(?:Z|[+-][0-9]{2}:?[0-9]{2})?)?")
_CHANGED = re.compile(r"( moved or)? (changed|corrected)$")
_RECORD = re.compile(r"[a-z_]+[.][a-z_]+:[^ ]+")
_YES_OR_NO = {"True": "yes", "False": "no", "": "nothing", "None": "nothing"}


Naming = Callable[[Sequence[Command]], Mapping[UUID, str]]
_namings: list[Naming] = []


def name_acts(naming: Naming) -> None:
    """Let a floor above say better what some acts were, by their ids: a scan that corrects is no scan logged."""
    _namings.append(naming)


def acts_words(acts: Sequence[Command]) -> dict[UUID, str]:
    """What each of the acts is called, by its id."""
    said = {act.pk: act_words(act.kind) for act in acts}
    for naming in _namings:
        said |= naming(acts)
    return said | {act.pk: _without_a_change(said[act.pk]) for act in acts if act.told == UNCHANGED}


def _without_a_change(words: str) -> str:
    """An act that left all as it was: of "Person changed", "Person saved without a change"."""
    return f"{_CHANGED.sub('', words)} saved without a change"


def act_words(kind: str) -> str:
    """An act in words: "Person changed". One of an older version, which no longer is, goes by its name."""
    return ACTS.get(kind) or kind.replace("_", " ").capitalize()


def field_words(name: str) -> str:
    """A field in words."""
    return FIELDS.get(name) or name.replace("_", " ")


def value_words(value: object) -> str:
    """A figure, a choice, yes or no, or a moment of the shop's own clock, as people write it."""
    said = "" if value is None else str(value)
    if said in _YES_OR_NO:
        return _YES_OR_NO[said]
    if not (match := _MOMENT.fullmatch(said)):
        return said
    try:
        moment = datetime.fromisoformat(said)
    except ValueError:
        return said
    if match[1] is None:
        return date_format(moment, "M j, Y")
    aware = moment if timezone.is_aware(moment) else moment.replace(tzinfo=UTC)
    return date_format(timezone.localtime(aware), "M j, Y, g:i A")


def _money(name: str, value: object) -> object:
    """A price or a rate with both of its decimals."""
    if value is None or not name.endswith(("price", "_rate", "_total")):
        return value
    with suppress(InvalidOperation):
        return f"{Decimal(str(value)):,.2f}"
    return value


def records_told(told: Mapping[str, Any]) -> set[str]:
    """The records that a change was from or to, by their names in the journal."""
    pairs = (value for value in told.values() if isinstance(value, list) and len(value) == 2)
    return {one for pair in pairs for one in pair if isinstance(one, str) and _RECORD.fullmatch(one)}


def changes_words(told: Mapping[str, Any], names: Mapping[str, str] = MappingProxyType({})) -> str:
    """What changed, in words: "role: technician → manager; name". ``names`` are those of ``records_told``.

    That somebody reviewed a report is the act itself: where it was not kept who that was, who did the act is the one.
    """
    if told == UNCHANGED:
        return ""
    said = []
    for name, value in told.items():
        plain = field_words(name)
        if name == "reviewed_by" and not value:
            continue
        if isinstance(value, list) and len(value) == 2 and not isinstance(value[0], list):
            before, after = (value_words(_money(name, names.get(one, one))) for one in value)
            said.append(f"{plain}: {before} → {after}")
        elif isinstance(value, list) and value:
            rows = "; ".join(" ".join(value_words(one) for one in row if one is not None) for row in value)
            said.append(f"{plain}: {rows}")
        else:
            said.append(plain)
    return "; ".join(said)
