"""Something of every kind for the addresses to point at, made only when a row asks for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property

from django.utils import timezone

from billing.authorizations.actions import drop_deferred, note_authorization
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
from findings.canlogs.models import CanLog
from findings.faults.models import Fault, Scan
from findings.happenings.actions import log_function_test, log_setting, log_visual_finding, set_back_setting
from findings.happenings.models import FunctionTest, SettingBack, SettingChange, VisualFinding
from findings.instruments.actions import add_instrument
from findings.instruments.models import Instrument
from findings.readings.actions import NewLimit, add_card, log_reading
from findings.readings.actions.learning import NameMeans, learn_names
from findings.readings.actions.saving import NewRow, save_sheet
from findings.readings.models import LearnedName, Parameter, Reading, ReadingSheet, SpecCard
from findings.reports.build import build_findings, issued_record, person_facts
from findings.reports.models import DraftState, IssuedReport, ReportDraft
from findings.reports.record import IssueFacts, to_json
from findings.reports.storage import store_pdf
from parts.actions import add_part
from parts.models import Part
from tests.billing.signing import sign_answer
from tests.cast import Cast
from tests.findings.canlogs.samples import read_log
from tests.findings.story import COOLANT, fault, open_job, scan, seen
from vessels.actions import log_hours, write_note
from vessels.log.chain import NewEntry, append, lock_log
from vessels.models import LogEntry
from workorders.actions import add_charge
from workorders.appointments.actions import add_bay, change_appointment, plan_appointment
from workorders.appointments.models import Appointment, Bay
from workorders.calendar.actions import add_feed, new_key
from workorders.calendar.models import CalendarFeed
from workorders.jobparts.actions import await_part, fit_part, part_arrived
from workorders.jobparts.models import AwaitedPart, PartFitted
from workorders.labor.actions import note_hours, start_clock
from workorders.labor.models import Stretch
from workorders.models import Charge, Job, JobLine
from workorders.reckoning import ChargeKind
from workorders.taxes.actions import add_certificate, add_tax
from workorders.taxes.models import SalesTax, TaxExemption
from workorders.upkeep.actions import (
    add_plan,
    adopt_plans,
    lay_up,
    log_service,
    note_reminder,
    note_reminder_wish,
    plan_line,
    write_letters,
)
from workorders.upkeep.models import (
    Adoption,
    LayUp,
    PlannedLine,
    Reminder,
    ReminderLetter,
    ReminderWish,
    ServiceDone,
    ServicePlan,
)


@dataclass
class Scene:
    """The cast, and what the routes' arguments are taken from."""

    cast: Cast

    @cached_property
    def job(self) -> Job:
        made = open_job(self.cast)
        made.lines.update(engine=self.cast.port)
        return made

    @cached_property
    def line(self) -> JobLine:
        return self.job.lines.get()

    @cached_property
    def visual_finding(self) -> VisualFinding:
        return log_visual_finding(
            by=self.cast.tech, vessel=self.cast.vessel, engine=self.cast.port, job=self.job, place="Raw-water hose",
            text="Swollen at the clamp", severity="soon", recommendation="Replace the hose",
        )  # fmt: skip

    @cached_property
    def function_test(self) -> FunctionTest:
        return log_function_test(
            by=self.cast.tech, vessel=self.cast.vessel, engine=self.cast.port, job=self.job, operated="Bilge blower",
            text="Air at the vent", verdict="worked", lasted=Decimal(90), lasted_unit="s",
        )  # fmt: skip

    @cached_property
    def setting(self) -> SettingChange:
        """An alarm, not set back."""
        return log_setting(
            by=self.cast.tech, vessel=self.cast.vessel, engine=self.cast.port, job=self.job, setting="Coolant alarm",
            sort="alarm", before="200", after="210", unit="°F", text="Sounded at full load", authority="The owner",
            consent_by="Wes Harrow", consent_on=timezone.localdate(), consent_how="by phone",
        )  # fmt: skip

    @cached_property
    def set_back(self) -> SettingBack:
        """Another one, set back."""
        made = log_setting(
            by=self.cast.tech, vessel=self.cast.vessel, engine=self.cast.port, job=self.job, setting="Idle speed",
            sort="other", before="600", after="650", unit="rpm", text="It stalled", authority="The owner",
        )  # fmt: skip
        return set_back_setting(by=self.cast.tech, change=made, value="600", job=self.job, text="New throttle body")

    @cached_property
    def charge(self) -> Charge:
        return add_charge(by=self.cast.desk, job=self.job, kind="fee", description="Haul-out", unit_price=Decimal(90))

    @cached_property
    def invoice(self) -> Invoice:
        """Over $60, of a charge of its own: half of it is paid, $5 is written off."""
        fee = Charge.objects.create(
            job=self.job, kind="fee", description="Launch", unit_price=Decimal(60), added_by=self.cast.desk
        )
        total = priced(self.job, [fee], currency="USD").sums.total
        return make_invoice(by=self.cast.desk, job=self.job, charges=[fee], seen_total=total)

    @cached_property
    def payment(self) -> Payment:
        return receive_payment(
            by=self.cast.desk, invoice=self.invoice, amount=Decimal(30), means="check", reference="1021", remark="Half",
        )  # fmt: skip

    @cached_property
    def credit(self) -> CreditNote:
        return credit_invoice(
            by=self.cast.owner, invoice=self.invoice, reason="The launch was free", amount=Decimal(10)
        )

    @cached_property
    def write_off(self) -> WriteOff:
        return write_off(by=self.cast.owner, invoice=self.invoice, amount=Decimal(5), reason="Gone away")

    @cached_property
    def loose_write_off(self) -> LooseWriteOff:
        """A check of $9 was paid back in cash and then not honored; $2 of it is written off."""
        owner, customer = self.cast.owner, self.job.customer
        check = receive_deposit(by=owner, job=self.job, amount=Decimal(9), means="check")
        refund_credit(by=owner, customer=customer, amount=Decimal(9), means="cash", reason="Called off")
        reverse_payment(by=owner, payment=check, reason="Not honored")
        return write_off_loose(
            by=owner, customer=customer, side="theirs", amount=Decimal(2), reason="Not worth a letter"
        )

    @cached_property
    def notice(self) -> Notice:
        return add_notice(
            by=self.cast.owner, title="Lien", text="The boat stays until it is paid.", citation="Our terms",
            on_invoices=True,
        )  # fmt: skip

    @cached_property
    def fitted(self) -> PartFitted:
        return fit_part(
            by=self.cast.tech, job=self.job, part=self.part, quantity=Decimal(1), condition="new", line=self.line,
            engine=self.cast.port, serial="AN-7", old_serial="AN-6", old_fate="scrapped", text="Half gone.",
        )  # fmt: skip

    @cached_property
    def awaited(self) -> AwaitedPart:
        return await_part(
            by=self.cast.tech, job=self.job, number="TW-9", maker="Tidewright", description="Core", quantity=Decimal(1),
            supplier="Harbor Supply", remark="Order 7",
        )  # fmt: skip

    @cached_property
    def service_plan(self) -> ServicePlan:
        return add_plan(
            by=self.cast.tech, family=self.cast.family, name="Oil and filter", every_hours=Decimal(100),
            every_months=12, tasks="Change the oil", manual="D6T manual, ed. 4, p. 12",
        )  # fmt: skip

    @cached_property
    def followed(self) -> Adoption:
        """Due long ago, as somebody told."""
        (made,) = adopt_plans(
            by=self.cast.desk, engine=self.cast.port, plans=[self.service_plan], basis="done",
            last_on=timezone.localdate() - timedelta(days=900), source="told", remark="By the yard",
        )  # fmt: skip
        return made

    @cached_property
    def planned(self) -> PlannedLine:
        """The line of the job, done and for that service."""
        JobLine.objects.filter(pk=self.line.pk).update(correction="Changed the oil.")
        return plan_line(by=self.cast.desk, line=self.line, adoption=self.followed)

    @cached_property
    def serviced(self) -> ServiceDone:
        return log_service(
            by=self.cast.tech, engine=self.cast.port, plans=[self.followed.plan], line=self.line, text="Filter was full"
        )

    @cached_property
    def stay(self) -> LayUp:
        return lay_up(
            by=self.cast.desk, vessel=self.cast.vessel, from_on=timezone.localdate() - timedelta(days=60),
            until_on=timezone.localdate() - timedelta(days=30), remark="Shed 2",
        )  # fmt: skip

    @cached_property
    def reminder(self) -> Reminder:
        return note_reminder(
            by=self.cast.desk, customer=self.cast.customer, vessels=[self.followed.engine.vessel], way="call",
            remark="Calls back",
        )[0]  # fmt: skip

    @cached_property
    def wish(self) -> ReminderWish:
        return note_reminder_wish(by=self.cast.desk, customer=self.cast.customer, wants=True, remark="By mail only")

    @cached_property
    def letter(self) -> ReminderLetter:
        """About the service that is due; not sent yet."""
        self.followed  # noqa: B018  (something is due)
        (made,) = write_letters(by=self.cast.desk, customers=[self.cast.customer])
        return made

    @cached_property
    def bay(self) -> Bay:
        return add_bay(by=self.cast.owner, name="Lift", note="Up to 40 ft")

    @cached_property
    def appointment(self) -> Appointment:
        """Of today, for the cast's boat, moved once."""
        made = plan_appointment(
            by=self.cast.desk, kind="arrival", day=timezone.localdate(), when="morning", bay=self.bay,
            technician=self.cast.tech, vessel=self.cast.vessel, name="The blue one", phone="555-0171", remark="Noise",
        )  # fmt: skip
        return change_appointment(
            by=self.cast.desk, appointment=made, seen_version=1, changes={"when": "day"}, reason="Tide"
        )

    @cached_property
    def feed_key(self) -> str:
        """The secret of a calendar feed of the technician’s, which everybody who may revokes."""
        key = new_key()
        add_feed(by=self.cast.tech, name="Phone", sources=["promised", "service"], key=key)
        return key

    @cached_property
    def feed(self) -> CalendarFeed:
        self.feed_key  # noqa: B018  (makes it)
        return CalendarFeed.objects.latest("pk")

    @cached_property
    def arrived(self) -> AwaitedPart:
        return part_arrived(by=self.cast.tech, awaited=self.awaited)

    @cached_property
    def clock(self) -> Stretch:
        """Left running two days ago."""
        began = timezone.now() - timedelta(days=2)
        return start_clock(by=self.cast.tech, line=self.line, happened_at=began)

    @cached_property
    def noted(self) -> Stretch:
        yesterday = timezone.localdate() - timedelta(days=1)
        return note_hours(by=self.cast.tech, line=self.line, day=yesterday, minutes=90, remark="At the dock")

    @cached_property
    def tax(self) -> SalesTax:
        return add_tax(by=self.cast.owner, name="State sales tax", percent=Decimal(6), kinds=[ChargeKind.PART])

    @cached_property
    def certificate(self) -> TaxExemption:
        return add_certificate(by=self.cast.desk, customer=self.cast.customer, certificate="CF-118", tax=self.tax)

    @cached_property
    def kit(self) -> Kit:
        made = add_kit(by=self.cast.owner, name="Impeller service", note="Not for jets")
        told = {"kind": "labor", "description": "Fit the impeller", "quantity": Decimal("1.5")}
        add_kit_line(by=self.cast.owner, kit=made, told=told)
        return made

    @cached_property
    def estimate_given(self) -> Estimate:
        """A version that was given, without its paper."""
        made = start_estimate(by=self.cast.desk, job=self.job)
        told = {"kind": "fee", "description": "Haul-out", "unit_price": Decimal(90)}
        add_estimate_line(by=self.cast.desk, estimate=made, told=told)
        told = {"kind": "fee", "description": "Launch", "unit_price": Decimal(40)}
        add_estimate_line(by=self.cast.desk, estimate=made, told=told)
        return give_estimate(by=self.cast.desk, estimate=made, how="printed", seen_total=Decimal(130))

    @cached_property
    def estimate(self) -> Estimate:
        """The next version, being written."""
        self.estimate_given  # noqa: B018  (comes before)
        made = start_estimate(by=self.cast.desk, job=self.job)
        option = add_estimate_option(by=self.cast.desk, estimate=made, name="Wax", alternatives="Finish")
        told = {"kind": "fee", "description": "Wax", "unit_price": Decimal(60), "option": option}
        add_estimate_line(by=self.cast.desk, estimate=made, told=told)
        return made

    @cached_property
    def authorization(self) -> Authorization:
        self.charge  # noqa: B018  (there is something to agree to)
        standing = standing_of(self.job)
        return note_authorization(
            by=self.cast.desk, job=self.job, amount=Decimal(500), how="phone", who="Wes Harrow", reached="555-0140",
            said_at=timezone.now(), words="Go ahead.", seen_total=standing.total,
            seen_authorized=standing.limit.authorized,
        )  # fmt: skip

    @cached_property
    def signed(self) -> Authorization:
        """The answer to the estimate, signed on the screen: taken without the wax."""
        return sign_answer(self.cast.desk, self.estimate_given)

    @cached_property
    def deferred(self) -> DeferredWork:
        self.signed  # noqa: B018  (declines it)
        return DeferredWork.objects.get(what="Launch")

    @cached_property
    def dropped(self) -> DeferredWork:
        return drop_deferred(by=self.cast.desk, deferred=self.deferred, reason="Sold the boat")

    @cached_property
    def part(self) -> Part:
        return add_part(
            by=self.cast.owner, number="TW-1", maker="Tidewright", description="Anode", unit_price=Decimal(12)
        )

    @cached_property
    def scan(self) -> Scan:
        return scan(self.cast, 0, 100, [seen(COOLANT)], job=self.job)

    @cached_property
    def entry(self) -> LogEntry:
        return self.scan.entry

    @cached_property
    def note(self) -> LogEntry:
        return write_note(by=self.cast.tech, vessel=self.cast.vessel, text="Bilge pump runs often")

    @cached_property
    def hours_read(self) -> LogEntry:
        return log_hours(by=self.cast.desk, engine=self.cast.starboard, shown=Decimal(88))

    @cached_property
    def fault(self) -> Fault:
        self.scan  # noqa: B018  (tells the fault's story)
        return fault()

    @cached_property
    def parameter(self) -> Parameter:
        made, _ = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})
        return made

    @cached_property
    def reading(self) -> Reading:
        return log_reading(
            by=self.cast.tech, vessel=self.cast.vessel, engine=self.cast.port, parameter=self.parameter,
            value=Decimal(44), unit="psi", job=self.job,
        )  # fmt: skip

    @cached_property
    def learned(self) -> LearnedName:
        return learn_names(by=self.cast.tech, names=[NameMeans("OILP", self.parameter)], instrument="Reader R2")

    @cached_property
    def sheet(self) -> ReadingSheet:
        rows = [NewRow(self.parameter, "psi")]
        family = self.cast.family
        return save_sheet(by=self.cast.tech, family=family, name="D6T trial", rows=rows, conditions=["Wide open"])

    @cached_property
    def card(self) -> SpecCard:
        return add_card(
            by=self.cast.tech,
            family=self.cast.family,
            title="D6T warm",
            document="Norrland D6T manual, ed. 4, p. 112",
            limits=[NewLimit(parameter=self.parameter, unit="psi", low=Decimal(40), high=Decimal(65))],
        )

    @cached_property
    def instrument(self) -> Instrument:
        return add_instrument(
            by=self.cast.owner, kind="Pressure gauge", make="Tidewell T4", serial="1182",
            calibrated_on=date(2025, 3, 3), due_on=date(2026, 3, 3),
        )  # fmt: skip

    @cached_property
    def can_log(self) -> CanLog:
        """A log that was read."""
        return read_log(self.cast, self.job)

    @cached_property
    def draft(self) -> ReportDraft:
        self.scan  # noqa: B018  (something to report)
        return ReportDraft.objects.create(
            job=self.job,
            state=DraftState.REVIEWED,
            started_by=self.cast.tech,
            reviewed_by=self.cast.tech,
            reviewed_at=timezone.now(),
        )

    @cached_property
    def report(self) -> IssuedReport:
        """A plain row with a plain file: who may see it is asked, not whether it is well signed."""
        self.scan  # noqa: B018  (something to report)
        draft = ReportDraft.objects.create(job=self.job, state=DraftState.ISSUED, started_by=self.cast.tech)
        lock_log(self.cast.vessel, entry_id=None, kind="report-issued")
        number = f"{self.job.number}-1"
        digest = store_pdf(b"%PDF-1.7 a plain file")
        issue = IssueFacts(
            number=number, code="ABCD2345", supersedes="", signed_at=timezone.now(),
            signer=person_facts(self.cast.owner), verify_url="https://shop.example/verify/",
        )  # fmt: skip
        record = to_json(issued_record(build_findings(draft), issue)).decode()
        detail = IssuedReport(
            draft=draft, job=self.job, sequence=1, number=number, code="ABCD2345", record=record,
            record_sha256="0" * 64, pdf_sha256=digest, pdf_size=21, pages=1, signature_sha256="1" * 64,
            certificate_sha256="2" * 64, signer=self.cast.owner, signed_at=timezone.now(),
        )  # fmt: skip
        append(
            NewEntry(
                kind="report-issued", vessel=self.cast.vessel, author=self.cast.owner, summary=f"Report {number}",
                job_id=self.job.pk,
            ),
            detail=detail,
        )  # fmt: skip
        return IssuedReport.objects.get(number=number)
