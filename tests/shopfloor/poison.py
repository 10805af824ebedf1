"""Markup in every text field of the program: what somebody might type who wants to act as whoever looks.

Fields are found in the models, so that a new one is covered, or has to be named below with the reason why nobody can
type into it.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import connection, models

OURS = [
    app.label
    for app in apps.get_app_configs()
    if Path(app.path).is_relative_to(settings.BASE_DIR / app.name.split(".")[0])
]
"""Every app of the house, so that none is forgotten when it comes."""

NOT_TYPED = {
    "a digest that the program makes": {
        "vessels.LogEntry.digest", "vessels.Vessel.log_digest", "canlogs.CanLog.sha256", "faults.Scan.file_sha256",
        "readings.Reading.file_sha256", "reports.IssuedReport.record_sha256", "reports.IssuedReport.pdf_sha256",
        "reports.IssuedReport.signature_sha256", "reports.IssuedReport.certificate_sha256", "staff.Person.password",
        "staff.Counter.key", "staff.Session.session_key", "staff.Session.session_data", "commands.Command.digest",
        "estimates.Estimate.sha256", "estimates.Estimate.pdf_sha256",
        "authorizations.Authorization.sheet_sha256", "authorizations.Authorization.signature_sha256",
        "authorizations.Authorization.picture_sha256", "authorizations.Authorization.picture_as_brought_sha256",
        "authorizations.AuthorizationPaper.pdf_sha256",
        "vessels.LogAnchor.head", "vessels.LogAnchor.changed", "vessels.LogAnchor.journal",
        "commands.Command.link", "commands.CommandChain.digest", "invoices.Invoice.record_sha256",
        "invoices.CreditNote.record_sha256", "invoices.DrawnPaper.pdf_sha256", "reports.ReportDraft.reviewed_digest",
        "invoices.DrawnPaper.signature_sha256", "invoices.DrawnPaper.certificate_sha256", "invoices.DrawnPaper.level",
        "upkeep.ReminderLetter.record_sha256", "upkeep.ReminderLetter.pdf_sha256",
        "upkeep.ReminderLetter.signature_sha256", "upkeep.ReminderLetter.certificate_sha256",
        "upkeep.ReminderLetter.level",
        "calendar.CalendarFeed.key_sha256", "calendar.CalendarFeed.told_sha256", "calendar.EventTold.digest",
        "calendar.EventTold.when_digest", "calendar.EventTold.written_from",
    },
    "a word out of a fixed few, which the program compares": {
        "faults.Fault.state", "faults.Fault.status_now", "readings.Parameter.kind", "readings.SpecLimit.unit",
        "readings.SheetRow.unit", "happenings.VisualFinding.severity",
        "happenings.FunctionTest.verdict", "happenings.FunctionTest.lasted_unit", "happenings.SettingChange.sort",
        "happenings.SettingChange.consent_how",
        "authorizations.Authorization.how", "estimates.Estimate.given_how",
        "readings.Reading.unit", "readings.Reading.phase",
        "readings.Reading.verdict", "workorders.JobMove.from_state",
        "workorders.JobMove.to_state", "workorders.MoveInTime.state", "vessels.LogEntry.kind",
        "staff.ShopProfile.currency", "staff.ShopProfile.time_zone", "reports.IssuedReport.level",
        "commands.Command.kind", "commands.Command.outcome",
        "commands.BackgroundTask.kind", "commands.BackgroundTask.subject",
        "invoices.Invoice.currency", "invoices.CreditNote.currency", "invoices.Payment.currency",
        "invoices.LooseWriteOff.currency",
        "invoices.Account.role", "invoices.BillingProfile.country", "invoices.CustomerBilling.country",
    },
    "a number or a path that the program makes": {
        "calendar.EventTold.key",
        "reports.IssuedReport.number", "reports.IssuedReport.code", "vessels.CustomerPhone.digits",
        "staff.ShopProfile.logo", "staff.KnownAddress.address", "commands.Command.chain", "commands.CommandChain.name",
        "documents.NumberSeries.name", "documents.NumberSeries.prefix", "invoices.Invoice.number",
        "invoices.CreditNote.number",
    },
    "a sentence of the program, shown by those that keep it themselves": {
        "commands.BackgroundTask.problem", "upkeep.ReminderLetter.problem",
    },
    "derived from what is poisoned itself, or read by a parser that refuses what it does not know": {
        "calls.Call.about", "appointments.Appointment.at",
        "faults.Fault.history", "canlogs.CanLog.mapping", "reports.ReportDraft.record",
        "reports.IssuedReport.record", "invoices.Invoice.record", "invoices.CreditNote.record", "taxes.JobTaxes.taxes",
        "authorizations.Authorization.taxes", "authorizations.StoppedCharge.with_it",
        "estimates.Estimate.snapshot", "upkeep.ReminderLetter.record", "upkeep.Judgment.standing",
        "upkeep.Judgment.place", "upkeep.Judgment.words", "upkeep.Judgment.told",
        "calendar.EventTold.written",
    },
    "the code of its fault, which is poisoned and given to them": {
        "faults.Sighting.code", "faults.ClearedFault.code", "faults.WorkOnFault.code",
    },
}  # fmt: skip
SPARED = frozenset().union(*NOT_TYPED.values())

# What the letters mean: {n} is the field's number. Every element bears an attribute p, so that one can be found; every
# address lies under /p/, so that a request for one is seen.
LONGEST = 5000
FRAGMENTS = [
    "\"'><b p={n}>",
    "<i p={n} hx-get=/p/{n} hx-trigger=load>",
    "<img p={n} src=/p/{n} onerror=alert({n})>",
    "<svg p={n} onload=alert({n})><script p={n} href=/p/{n}></script></svg>",
    "</textarea></title></script></style></option></select><u p={n}>",
    "<a p={n} href=javascript:alert({n})>x</a>",
    "<form p={n} method=post action=/p/{n} hx-post=/p/{n} hx-trigger=load data-keep=p data-once data-forget>",
    "<button p={n} data-print data-ask=p data-say=p data-focus data-focus-first data-counts=* data-many=p>x</button>",
    "<script p={n}>alert({n})</script><script p={n} src=/p/{n}></script>",
    '<style p={n}>@import "/p/{n}"; * {{ background: url(/p/{n}) }}</style><link p={n} rel=stylesheet href=/p/{n}>',
    "<base p={n} href=/p/{n}/><meta p={n} http-equiv=refresh content='0;url=/p/{n}'>",
    "<iframe p={n} src=/p/{n} srcdoc='<script>alert({n})</script>'></iframe><object p={n} data=/p/{n}></object>",
    "<div p={n} id=main hx-swap-oob=true hx-on::load=alert({n}) style='background:url(/p/{n})'>x</div>",
    "<a p={n} rel=attachment href=file:///p/{n}>x</a><img p={n} src=file:///p/{n}>",
    "{{{{ 6|add:{n} }}}}{{% now 'Y' %}}{{% csrf_token %}}",
]
PLACE = "/p/"


@dataclass(frozen=True)
class Spot:
    """One text field, with its number."""

    number: int
    model: type[models.Model]
    field: models.Field[Any, Any]

    @property
    def label(self) -> str:
        return f"{self.model._meta.label}.{self.field.name}"

    @property
    def mark(self) -> str:
        """What every value begins with, as text on a page."""
        return f"<i p={self.number}>"

    def poison(self, first: str = "", longest: int = LONGEST) -> str:
        """As much of it as the field holds."""
        return poison(self.number, min(self.field.max_length or longest, longest), first)


def poison(number: int, room: int, first: str = "") -> str:
    """As many fragments as there is room for; which ones come first differs from field to field."""
    made = f"{first}<i p={number}>"
    start = number % len(FRAGMENTS)
    for fragment in FRAGMENTS[start:] + FRAGMENTS[:start]:
        more = fragment.format(n=number)
        if len(made) + len(more) <= room:
            made += more
    return made


def spots() -> list[Spot]:
    """Every field of the program that holds words, with a number of its own."""
    found = []
    for app in OURS:
        for model in apps.get_app_config(app).get_models():
            for field in model._meta.concrete_fields:
                is_text = isinstance(field, models.CharField | models.TextField | models.JSONField | models.FileField)
                label = f"{model._meta.label}.{field.name}"
                if is_text and not getattr(field, "choices", None) and label not in SPARED:
                    found.append((model, field))
    return [Spot(100 + index, model, field) for index, (model, field) in enumerate(found)]


def unknown_exceptions() -> set[str]:
    """Names in the list above that no field bears any more."""
    known = {f"{model._meta.label}.{field.name}" for app in OURS for model in apps.get_app_config(app).get_models()
             for field in model._meta.concrete_fields}  # fmt: skip
    return set(SPARED) - known


def in_json(value: Any, number: int, longest: int, *, every: bool) -> Any:
    """The same structure with every text in it poisoned; without ``every`` single words are left, which are names."""
    if isinstance(value, dict):
        return {key: in_json(one, number, longest, every=every) for key, one in value.items()}
    if isinstance(value, list):
        return [in_json(one, number, longest, every=every) for one in value]
    return poison(number, longest) if isinstance(value, str) and (every or " " in value) else value


def poison_everything(longest: int = LONGEST) -> None:
    """Write it into every row of every spot, past actions and triggers."""
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        for spot in spots():
            _poison_column(cursor, spot, longest)
        cursor.execute("UPDATE faults_fault SET system = 'maker'")
        for detail in ("sighting", "clearedfault", "workonfault"):
            cursor.execute(
                f"UPDATE faults_{detail} told SET system = 'maker', code = fault.code "
                "FROM faults_fault fault WHERE fault.id = told.fault_id"
            )
        cursor.execute("SET LOCAL session_replication_role = origin")


def _poison_column(cursor: Any, spot: Spot, longest: int) -> None:
    meta = spot.model._meta
    key, column = meta.pk.column, spot.field.column
    cursor.execute(f'SELECT "{key}", "{column}" FROM "{meta.db_table}" ORDER BY 1')
    rows = cursor.fetchall()
    assert rows, f"no row of {meta.label}: {spot.label} is not covered. Put one into stage_of_everything"
    for index, (row, value) in enumerate(rows):
        if isinstance(spot.field, models.JSONField):
            if value is None:
                continue
            kept = json.loads(value) if isinstance(value, str) else value
            made = json.dumps(in_json(kept, spot.number, longest, every=spot.field.name == "changes"))
        else:
            made = spot.poison(str(index) if index else "", longest)
        cursor.execute(f'UPDATE "{meta.db_table}" SET "{column}" = %s WHERE "{key}" = %s', [made, row])
