"""What Today shows to each role, in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.utils import timezone

from billing.invoices.queries.left import count_of_left
from billing.invoices.queries.open_sums import Overdue, overdue
from findings.faults.models import Episode, Fault
from findings.reports.blocking import blocks_of_shop
from findings.reports.models import ReportDraft
from shopfloor.today.jobs import FEW, JobSection, ReadyMoney, job_sections, jobs_by_state, open_jobs, ready_money
from shopfloor.today.owner import Hint, comebacks, hints, reports_to_sign, returns
from shopfloor.today.service import ServiceHere, ServiceLine, service_here, service_lines
from shopfloor.today.technician import OwnJob, faults_on, own_jobs
from staff.models import Person, ShopProfile
from staff.policy import Permission, Role, may
from vessels.log.afterwards import afterwards
from vessels.models import LogEntry, Vessel
from workorders.labor.queries import OpenClocks, open_clocks


@dataclass
class Today:
    """Everything on the page; what a role has no use for stays empty."""

    sections: list[JobSection] = field(default_factory=list)
    own_jobs: list[OwnJob] | None = None
    own_total: int = 0
    open_faults: Sequence[Fault] = ()
    own_log: Sequence[LogEntry] = ()
    states: list[tuple[str, int]] = field(default_factory=list)
    returned: Sequence[Episode] | None = None
    comebacks: Sequence[Episode] | None = None
    no_comebacks: str = ""
    to_sign: Sequence[ReportDraft] | None = None
    to_sign_blocked: Sequence[str] = ()
    ready_money: ReadyMoney | None = None
    clocks: OpenClocks | None = None
    overdue_money: Overdue | None = None
    still_to_invoice: int = 0
    service: Sequence[ServiceLine] = ()
    service_here: ServiceHere | None = None
    hints: list[Hint] = field(default_factory=list)
    shows_calls: bool = False
    is_new_shop: bool = False

    @property
    def has_findings(self) -> bool:
        """Whether faults begin the left column; else the lists of jobs are spread over both."""
        return self.own_jobs is not None or self.comebacks is not None

    @property
    def left(self) -> list[JobSection]:
        """The lists of jobs in the left column."""
        return self.sections[2:] if self.has_findings else self.sections[::2]

    @property
    def right(self) -> list[JobSection]:
        """The lists of jobs in the right column."""
        return self.sections[:2] if self.has_findings else self.sections[1::2]


def _overdue_money(person: Person, shop: ShopProfile, today: date) -> Overdue | None:
    """The invoices that are overdue the longest, for those who may see them."""
    return overdue(today, shop.currency, at_most=FEW) if may(person, Permission.SEE_MONEY) else None


def _still_to_invoice(person: Person) -> int:
    """How many closed jobs have something on no invoice, for those who may see it."""
    return count_of_left() if may(person, Permission.SEE_MONEY) else 0


def _front_desk(person: Person, shop: ShopProfile, today: date) -> Today:
    names = ("overdue", "promised", "parts_late", "parts_here", "ready", "undecided", "came_in")
    money = _overdue_money(person, shop, today)
    return Today(
        sections=job_sections(today, *names),
        shows_calls=True,
        overdue_money=money,
        still_to_invoice=_still_to_invoice(person),
        service=service_lines(),
    )


def _technician(person: Person, shop: ShopProfile, today: date) -> Today:
    mine = open_jobs().filter(technician=person)
    jobs = own_jobs(mine)
    return Today(
        own_jobs=jobs,
        own_total=mine.count(),
        open_faults=list(faults_on([own.job.vessel_id for own in jobs])),
        own_log=list(
            LogEntry.objects.filter(author=person)
            .annotate(later=afterwards("pk"))
            .select_related("vessel", "engine", "job")
            .order_by("-recorded_at")[:FEW]
        ),
        sections=job_sections(today, "nobodys"),
        service_here=service_here(),
    )


def _manager(person: Person, shop: ShopProfile, today: date) -> Today:
    waiting = list(reports_to_sign())
    back, none_back = comebacks(shop)
    return Today(
        clocks=open_clocks(),
        overdue_money=_overdue_money(person, shop, today),
        to_sign=waiting,
        to_sign_blocked=blocks_of_shop(shop) if waiting else (),
        returned=list(returns(timezone.now() - timedelta(days=7))),
        comebacks=back,
        no_comebacks=none_back,
        sections=job_sections(today, "stuck", "overdue", "parts_late", "parts_here", "nobodys"),
        states=jobs_by_state(),
        service=service_lines(),
    )


def _owner(person: Person, shop: ShopProfile, today: date) -> Today:
    waiting = list(reports_to_sign())
    back, none_back = comebacks(shop)
    return Today(
        clocks=open_clocks(),
        overdue_money=_overdue_money(person, shop, today),
        to_sign=waiting,
        to_sign_blocked=blocks_of_shop(shop) if waiting else (),
        ready_money=ready_money(shop.currency),
        sections=job_sections(today, "ready", "overdue", "stuck"),
        comebacks=back,
        no_comebacks=none_back,
        states=jobs_by_state(),
        hints=hints(person, shop),
    )


def today_for(person: Person, shop: ShopProfile) -> Today:
    """The page for this person's role."""
    build = {
        Role.FRONT_DESK: _front_desk,
        Role.TECHNICIAN: _technician,
        Role.MANAGER: _manager,
        Role.OWNER: _owner,
    }[Role(person.role)]
    page = build(person, shop, timezone.localdate())
    page.is_new_shop = not any(section.total for section in page.sections) and not Vessel.objects.exists()
    return page
