"""Every kind of page of the demo scenario, as each role sees it, on a tablet and on a phone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.core.cache import cache
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Browser
from pytest_django.live_server_helper import LiveServer

from billing.authorizations.actions import note_authorization
from billing.authorizations.models import Authorization, DeferredWork
from billing.authorizations.queries import standing_of
from billing.documents.actions import add_notice
from billing.documents.models import Notice
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    add_kit,
    add_kit_line,
    give_estimate,
    start_estimate,
)
from billing.estimates.models import Estimate, Kit
from billing.estimates.queries import worked_out
from billing.invoices.actions import (
    credit_invoice,
    make_invoice,
    receive_deposit,
    receive_payment,
    refund_credit,
    reverse_payment,
    write_off,
    write_off_loose,
)
from billing.invoices.models import CreditNote, Invoice, LooseWriteOff, Payment, WriteOff
from billing.invoices.pricing import priced
from commands.models import BackgroundTask
from findings.canlogs.models import CanLog
from findings.faults.models import Fault, Scan
from findings.happenings.models import FunctionTest, SettingChange, VisualFinding
from findings.instruments.models import Instrument
from findings.readings.models import Parameter, Reading, ReadingSheet, SpecCard
from findings.reports.models import IssuedReport, ReportDraft
from parts.models import Part
from staff.models import Person
from staff.policy import Permission, Role, may
from tests.acceptance.demo_once import worked_in
from tests.acceptance.folders import fill_from, folder_without_leftovers
from tests.billing.signing import sign_answer
from tests.browser.driving import PHONE, TABLET, Tablets, problems
from tests.cast import PASSWORD, session_of
from tests.shopfloor.test_permissions import NOT_THERE, PUBLIC, ROWS, Row
from vessels.models import LogEntry, Vessel
from workorders.actions import add_charge
from workorders.appointments.actions import add_bay, change_appointment, plan_appointment
from workorders.appointments.models import Appointment, Bay
from workorders.jobparts.models import AwaitedPart, PartFitted
from workorders.labor.actions import note_hours, start_clock
from workorders.labor.models import Stretch
from workorders.models import Charge, Job
from workorders.taxes.models import SalesTax, TaxExemption
from workorders.upkeep.actions import add_plan, adopt_plans, lay_up, log_service, plan_line
from workorders.upkeep.models import Adoption, LayUp, PlannedLine, ServiceDone, ServicePlan

# The first test plays the whole scenario and looks at a hundred pages, twenty minutes where a machine is very busy.
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.timeout(1800), pytest.mark.django_db]

NO_PAGES = {
    "labor:job_csv", "labor:person_csv", "figures:hours_csv", "figures:comebacks_csv", "figures:states_csv",
    "figures:estimates_csv", "figures:owed_csv", "figures:sales_csv",
    "invoices:list_csv", "invoices:aging_csv", "invoices:journal_csv", "invoices:account",
    "estimates:pdf",
    "authorizations:signature", "authorizations:photo", "authorizations:pdf", "authorizations:deferred_csv",
    "invoices:pdf", "invoices:credit_pdf", "invoices:statement_pdf",
    "health", "service_worker", "staff:logo", "staff:journal_csv", "reports:progress",
    "reports:preview_pdf", "reports:pdf", "workorders:vessel_parts_csv", "upkeep:list_csv", "upkeep:reminders_csv",
    "upkeep:letter_pdf", "calendar:feed", "calendar:address",
    "workorders:list_csv",
    "findings:explain", "findings:judged", "findings:find_parameter", "findings:can_log_progress",
    "findings:can_log_file", "findings:card_csv", "findings:family_csv",
}  # fmt: skip


@pytest.fixture(scope="module")
def harbor(demo_once: Path, django_db_setup: None, django_db_blocker: Any) -> Iterator[tuple[str, dict[int, str]]]:
    """The demo as a server shows it, everybody signed in: a copy of the folder that it was filled in."""
    with folder_without_leftovers() as folder:
        fill_from(demo_once, folder)
        with django_db_blocker.unblock(), worked_in(folder):
            cache.clear()
            BackgroundTask.objects.all().delete()  # nobody works here; the health page would say so after a while
            clock_hours()
            estimate()
            plan_the_day()
            bill()
            look_after()
            sessions = {person.pk: session_of(person) for person in Person.objects.all()}
            server = LiveServer("localhost")
            yield server.url, sessions
            server.stop()


def clock_hours() -> None:
    """A clock that somebody left running two days ago, and hours that were noted, on the job with a draft.

    By somebody without other hours: those of the demo end today.
    """
    line = ReportDraft.objects.get(state="reviewed").job.lines.first()
    tech = Person.objects.create_person(username="zelda", name="Zelda Quill", role=Role.TECHNICIAN, password=PASSWORD)
    assert line is not None
    start_clock(by=tech, line=line, happened_at=timezone.now() - timedelta(days=2))
    note_hours(by=tech, line=line, day=timezone.localdate() - timedelta(days=3), minutes=90)


def estimate() -> None:
    """A version that was given, and the next with an option, on the job with a draft; and a kit."""
    job, owner = ReportDraft.objects.get(state="reviewed").job, Person.objects.filter(role=Role.OWNER.value).first()
    assert owner is not None
    made = start_estimate(by=owner, job=job)
    told = {"kind": "fee", "description": "Launch", "unit_price": Decimal(60), "taxable": False}
    add_estimate_line(by=owner, estimate=made, told=told)
    told = {"kind": "fee", "description": "Wash", "unit_price": Decimal(30), "taxable": False}
    add_estimate_line(by=owner, estimate=made, told=told)
    total = worked_out(made, currency="USD").figures.base.total
    give_estimate(by=owner, estimate=made, how="printed", seen_total=total)
    sign_answer(owner, made)
    standing = standing_of(job)
    note_authorization(
        by=owner, job=job, amount=standing.total + 5000, how="phone", who="The owner", reached="(555) 555-0121",
        said_at=timezone.now(), seen_total=standing.total, seen_authorized=standing.limit.authorized,
    )  # fmt: skip
    later = start_estimate(by=owner, job=job)
    option = add_estimate_option(by=owner, estimate=later, name="Wax", alternatives="Finish")
    add_estimate_line(by=owner, estimate=later, told={"kind": "labor", "description": "Wax", "option": option})
    kit = add_kit(by=owner, name="Impeller service")
    add_kit_line(by=owner, kit=kit, told={"kind": "labor", "description": "Fit it", "quantity": Decimal("1.5")})


def plan_the_day() -> None:
    """A haul-out of today, moved once, in a bay, for the job with a draft."""
    job, owner = ReportDraft.objects.get(state="reviewed").job, Person.objects.filter(role=Role.OWNER.value).first()
    assert owner is not None
    bay, today = add_bay(by=owner, name="Lift"), timezone.localdate()
    made = plan_appointment(
        by=owner, kind="haul-out", day=today, when="day", bay=bay, technician=owner, job=job, remark="Shaft seal"
    )
    change_appointment(by=owner, appointment=made, seen_version=1, changes={"when": "morning"}, reason="Tide")


def bill() -> None:
    """An invoice with a payment and a write-off, and a notice, on the job with a draft."""
    job, owner = ReportDraft.objects.get(state="reviewed").job, Person.objects.filter(role=Role.OWNER.value).first()
    assert owner is not None
    fee = add_charge(by=owner, job=job, kind="fee", description="Launch", unit_price=Decimal(60))
    invoice = make_invoice(by=owner, job=job, charges=[fee], seen_total=priced(job, [fee], currency="USD").sums.total)
    receive_payment(by=owner, invoice=invoice, amount=Decimal(20), means="check", reference="1021")
    write_off(by=owner, invoice=invoice, amount=Decimal(5), reason="Agreed at the counter")
    credit_invoice(by=owner, invoice=invoice, amount=Decimal(10), reason="The launch was late")
    check = receive_deposit(by=owner, job=job, amount=Decimal(9), means="check")
    refund_credit(by=owner, customer=job.customer, amount=Decimal(9), means="cash", reason="Called off")
    reverse_payment(by=owner, payment=check, reason="Not honored")
    write_off_loose(by=owner, customer=job.customer, side="theirs", amount=Decimal(2), reason="Not worth a letter")
    receive_deposit(by=owner, job=job, amount=Decimal(100), means="card")
    add_notice(by=owner, title="Lien", text="The boat stays until it is paid.", on_invoices=True)


def look_after() -> None:
    """A plan that an engine of that job's boat follows, done once, for a line of it; and the boat laid up a while."""
    job = ReportDraft.objects.get(state="reviewed").job
    owner, engine = Person.objects.filter(role=Role.OWNER.value).first(), job.vessel.engines.earliest("pk")
    line = job.lines.first()
    assert owner is not None
    assert line is not None
    assert engine.family is not None
    plan = add_plan(by=owner, family=engine.family, name="Zincs", every_months=6, tasks="Change the zincs")
    (followed,) = adopt_plans(by=owner, engine=engine, plans=[plan], basis="unknown")
    plan_line(by=owner, line=line, adoption=followed)
    log_service(by=owner, engine=engine, plans=[plan], line=line, text="Half gone")
    days = [timezone.localdate() - timedelta(days=days) for days in (900, 880)]
    lay_up(by=owner, vessel=job.vessel, from_on=days[0], until_on=days[1])


@pytest.fixture
def tablets(harbor: tuple[str, dict[int, str]], chromium: Browser) -> Iterator[Tablets]:
    """Tablets in that harbor, which comes first: a report cannot be signed in a thread that drives a browser."""
    address, sessions = harbor
    made = Tablets(chromium, address, sessions=sessions)
    yield made
    made.collect()


def scene() -> Any:
    """Where the addresses point to: what has the most to show of each kind."""
    draft = ReportDraft.objects.get(state="reviewed")
    fault = Fault.objects.get(returns=3)
    engine = fault.unit.engine
    job = draft.job
    charge = Charge.objects.filter(job__state="closed").first()
    assert engine is not None
    assert charge is not None
    cast = SimpleNamespace(
        vessel=fault.vessel,
        customer=fault.vessel.owner,
        port=engine,
        starboard=engine,
        port_unit=fault.unit,
        tech=Person.objects.filter(role=Role.TECHNICIAN.value).first(),
    )
    return SimpleNamespace(
        cast=cast,
        job=job,
        line=job.lines.first(),
        charge=charge,
        part=Part.objects.first(),
        scan=Scan.objects.first(),
        can_log=CanLog.objects.get(),
        entry=fault.sightings.latest("scan__entry__position").scan.entry,
        hours_read=LogEntry.objects.filter(kind="hours").first(),
        note=LogEntry.objects.filter(kind="note").first(),
        fault=fault,
        parameter=Parameter.objects.filter(readings__entry__vessel=fault.vessel).first(),
        card=SpecCard.objects.first(),
        sheet=ReadingSheet.objects.get(name="Sea trial"),
        instrument=Instrument.objects.first(),
        reading=Reading.objects.filter(entry__vessel=fault.vessel).first(),
        visual_finding=VisualFinding.objects.first(),
        function_test=FunctionTest.objects.first(),
        setting=SettingChange.objects.latest("entry__recorded_at"),
        fitted=PartFitted.objects.filter(entry__job__state="in-work").latest("entry__position"),
        awaited=AwaitedPart.objects.filter(arrived_at=None).first(),
        arrived=AwaitedPart.objects.exclude(arrived_at=None).first(),
        clock=Stretch.objects.filter(source="clock", ended_at=None).latest("pk"),
        noted=Stretch.objects.filter(source="noted", voided=None).latest("pk"),
        bay=Bay.objects.latest("pk"),
        appointment=Appointment.objects.latest("pk"),
        service_plan=ServicePlan.objects.get(name="Zincs"),
        followed=Adoption.objects.get(plan__name="Zincs"),
        planned=PlannedLine.objects.get(adoption__plan__name="Zincs"),
        serviced=ServiceDone.objects.latest("entry__position"),
        stay=LayUp.objects.latest("pk"),
        invoice=Invoice.objects.latest("pk"),
        payment=Payment.objects.filter(kind="received").earliest("pk"),
        write_off=WriteOff.objects.latest("pk"),
        loose_write_off=LooseWriteOff.objects.latest("pk"),
        notice=Notice.objects.latest("pk"),
        credit=CreditNote.objects.latest("pk"),
        authorization=Authorization.objects.latest("pk"),
        signed=Authorization.objects.filter(how="drawn").latest("pk"),
        deferred=DeferredWork.objects.latest("pk"),
        dropped=DeferredWork.objects.latest("pk"),
        estimate=Estimate.objects.filter(given_at=None).latest("pk"),
        estimate_given=Estimate.objects.filter(given_at__isnull=False).latest("pk"),
        kit=Kit.objects.latest("pk"),
        tax=SalesTax.objects.get(),
        certificate=TaxExemption.objects.get(),
        draft=draft,
        report=IssuedReport.objects.latest("sequence"),
    )


def more_addresses() -> list[str]:
    """Pages that look another way than the first one of their kind."""
    closed = Job.objects.filter(state="closed").latest("opened_at")
    survey = IssuedReport.objects.earliest("sequence")
    plover = Vessel.objects.get(name="Plover")
    kinds = LogEntry.objects.order_by("kind", "position").distinct("kind").values_list("pk", flat=True)
    return [
        *(reverse("vessels:entry", args=[pk]) for pk in kinds),
        *(reverse(f"workorders:{name}", args=[closed.number]) for name in ("job", "lines", "log")),
        reverse("findings:job", args=[closed.number]),
        reverse("reports:job", args=[survey.job.number]),
        reverse("reports:issued", args=[survey.number]),
        reverse("reports:verify_code", args=[survey.number, survey.code]),
        reverse("reports:verify_code", args=[survey.number, "ZZZZ9999"]),
        reverse("findings:vessel_readings", args=[plover.pk]),
        reverse("search") + "?q=mar",
        reverse("search") + "?q=nothing+like+this",
        reverse("workorders:open") + "?new",
        reverse("workorders:open") + "?q=mar",
        reverse("workorders:open") + f"?vessel={plover.pk}",
        reverse("vessels:log", args=[plover.pk]) + "?text=pressure",
        reverse("findings:insight_repairs") + "?outcome=held",
        "/nowhere/",
    ]


def is_open(row: Row, person: Person | None) -> bool:
    """Whether the row's page shows itself to the person."""
    if row.to_get == NOT_THERE or row.name in NO_PAGES or row.turns_away == ("somebody" if person else "nobody"):
        return False
    if person is None:
        return row.to_get == PUBLIC
    return not isinstance(row.to_get, Permission) or may(person, row.to_get)


def addresses_for(person: Person | None) -> list[str]:
    """Every page that the person may open."""
    around = scene()
    found = [reverse(row.name, args=row.arguments(around)) for row in ROWS if is_open(row, person)]
    more = more_addresses()
    if person is None:
        return found + [path for path in more if path.startswith("/verify/")]
    return list(dict.fromkeys(found + more))


def main_of(markup: str) -> str:
    """What a page says, without what differs from sending to sending and from person to person."""
    words = re.search(r"<main.*</main>", markup, re.DOTALL)
    text = words[0] if words else markup
    return re.sub(r'name="(csrfmiddlewaretoken|entry_id)"[^>]*>', "", text)


SEEN: set[tuple[str, str]] = set()  # pages that another role saw word for word


@pytest.mark.parametrize(
    "role",
    [
        Role.OWNER,
        None,
        *(pytest.param(role, marks=pytest.mark.long) for role in (Role.MANAGER, Role.TECHNICIAN, Role.FRONT_DESK)),
    ],
)
def test_axe_finds_nothing_and_nothing_hangs_over(tablets: Tablets, role: Role | None) -> None:
    """Nothing hangs over at either size. For owner and stranger axe looks at each page once, at one and the other size
    by turns, as pages of a kind have both among them; for the others, in the long tests, at both."""
    person = Person.objects.filter(role=role.value).first() if role else None
    page = tablets.hand_out(person)
    wrong = []
    paths = addresses_for(person)
    assert len(paths) >= (80 if person else 4)
    axe_by_turns = role in {Role.OWNER, None}
    for number, path in enumerate(paths):
        sizes = (TABLET, PHONE) if number % 2 == 0 else (PHONE, TABLET)  # it opens at the size that the last one left
        if page.viewport_size != sizes[0]:
            page.set_viewport_size(sizes[0])
        answer = page.goto(path)
        assert answer is not None
        key = path, main_of(answer.text())
        if person is not None and path != "/" and key in SEEN:
            continue
        SEEN.add(key)
        if answer.status not in {200, 403, 404}:
            wrong.append(f"{path}: {answer.status}")
        wrong += problems(page, *sizes, axe_at=0 if axe_by_turns else None)
    assert not wrong, "\n\n".join(wrong)
