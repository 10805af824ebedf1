"""Money of the scenario: invoices that are paid, open, overdue, credited and written off, deposits, a bounced check."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal
from functools import partial
from typing import Any

from billing.authorizations.queries import standing_of
from billing.documents.actions import add_notice
from billing.invoices.actions import (
    change_billing,
    change_customer_billing,
    credit_invoice,
    make_invoice,
    receive_deposit,
    receive_payment,
    refund_credit,
    reverse_payment,
    write_off,
    write_off_loose,
)
from billing.invoices.models import CustomerBilling, Invoice, LooseWriteOff
from billing.invoices.pricing import priced
from billing.invoices.queries.balances import balance_now
from billing.invoices.queries.jobs import charges_to_invoice
from billing.invoices.queries.shop import billing_profile
from commands.refusals import Refused
from shopfloor.demo.stage import Stage, scenario_id
from workorders.actions import add_charge
from workorders.models import Job
from workorders.queries.jobs import OPEN_STATES

FURNISHED_AGO, LAST_AGO = 175, 1
PROFILE: dict[str, Any] = {
    "terms_days": 14,
    "country": "US",
    "registration": "PE-20417",
    "how_to_pay": "By check to Saltmarsh Engine Works, or at the desk in cash or by card.",
}
INVOICED = [
    # The boat, the days ago of its job, and the days ago of its invoice.
    ("saffron", 160, 157),
    ("bellwether", 130, 128),
    ("skate", 121, 118),
    ("plover", 60, 57),
    ("marguerite", 24, 9),
]
PAID = [
    # The boat, the days ago, how, its reference, and which part; all that is open where it is empty.
    ("saffron", 150, "cash", "", "100.00"),
    ("bellwether", 128, "card", "4711", ""),
    ("skate", 110, "check", "2093", ""),
    ("plover", 50, "transfer", "W-1102", "120.00"),
    ("plover", 20, "check", "2117", "60.00"),
]
DEPOSITS = [("robin", 14, 13, "200.00", "card", "0417"), ("saffron", 12, 11, "350.00", "transfer", "W-1188")]


def furnish_billing(stage: Stage) -> None:
    """The owner says how invoices are paid, and writes down the shop's own terms."""
    owner = stage.people["otto"]
    stage.clock.turn(stage.clock.at(FURNISHED_AGO, "08:20"))
    profile = billing_profile()
    change_billing(
        by=owner, seen_version=profile.version, changes=PROFILE, entry_id=scenario_id("billing")
    )  # fmt: skip
    add_notice(
        by=owner,
        title="Our warranty",
        text="We stand behind our labor for 90 days. Parts have the warranty of their maker. Local law decides.",
        citation="our terms",
        on_invoices=True,
        on_estimates=True,
        entry_id=scenario_id("notice", "warranty"),
    )
    customer = stage.customers["pilots"]
    change_customer_billing(
        by=stage.desk,
        customer=customer,
        seen_version=CustomerBilling().version,
        changes={"country": "US", "terms_days": 30},
        entry_id=scenario_id("billing", "pilots"),
    )


def billing_events() -> list[tuple[int, Callable[[Stage], object]]]:
    """What is done about money, by the days ago on which it was: the desk bills, the manager credits and writes off."""
    events: list[tuple[int, Callable[[Stage], object]]] = [(FURNISHED_AGO, furnish_billing)]
    events += [(days_ago, partial(_invoice, boat=boat, job_ago=job_ago, days_ago=days_ago))
               for boat, job_ago, days_ago in INVOICED]  # fmt: skip
    events += [(one[2], partial(_deposit, one=one)) for one in DEPOSITS]
    events += [(one[1], partial(_pay, one=one)) for one in PAID]
    return [*events, (127, _rounded_up), (105, _credit), (60, _small_change), (40, _write_off), (LAST_AGO, _bounce),
            (LAST_AGO, _stopped)]  # fmt: skip


def _deposit(stage: Stage, *, one: tuple[str, int, int, str, str, str]) -> None:
    boat, job_ago, days_ago, amount, means, reference = one
    stage.clock.turn(stage.clock.at(days_ago, "15:20"))
    receive_deposit(
        by=stage.desk,
        job=_job_of(stage, boat, job_ago),
        amount=Decimal(amount),
        means=means,
        reference=reference,
        entry_id=scenario_id("deposit", boat, days_ago),
    )


def _invoice(stage: Stage, *, boat: str, job_ago: int, days_ago: int) -> None:
    stage.clock.turn(stage.clock.at(days_ago, "16:40"))
    job = _job_of(stage, boat, job_ago)
    worth = priced(job, charges_to_invoice(job), currency="USD").sums.total
    make_invoice(by=stage.desk, job=job, seen_total=worth, entry_id=scenario_id("invoice", boat))


def _pay(stage: Stage, *, one: tuple[str, int, str, str, str]) -> None:
    """A payment; where no part is named, of all that is open."""
    boat, days_ago, means, reference, part = one
    stage.clock.turn(stage.clock.at(days_ago, "16:55"))
    invoice = _of(stage, boat)
    receive_payment(
        by=stage.desk,
        invoice=invoice,
        amount=Decimal(part) if part else balance_now(invoice).open,
        means=means,
        reference=reference,
        entry_id=scenario_id("payment", boat, days_ago),
    )


def _credit(stage: Stage) -> None:
    """The fault came back: part of the labor is credited, and paid back in cash."""
    manager, invoice = stage.people["gail"], _of(stage, "skate")
    stage.clock.turn(stage.clock.at(105, "10:15"))
    credit_invoice(
        by=manager,
        invoice=invoice,
        amount=Decimal("50.00"),
        reason="The fault came back after a few weeks; the second visit was half goodwill.",
        entry_id=scenario_id("credit", invoice.number),
    )
    refund_credit(
        by=manager,
        customer=invoice.customer,
        amount=Decimal("50.00"),
        means="other",
        reason="Sent back to the account it came from",
        entry_id=scenario_id("refund", invoice.number),
    )


def _rounded_up(stage: Stage) -> None:
    """A customer leaves some change on the counter: the shop owes it."""
    stage.clock.turn(stage.clock.at(127, "12:05"))
    receive_payment(
        by=stage.desk,
        invoice=_of(stage, "bellwether"),
        amount=Decimal("0.40"),
        means="cash",
        remark="Left on the counter",
        entry_id=scenario_id("rounded up", "bellwether"),
    )


def _small_change(stage: Stage) -> None:
    """Nobody came for it, and a letter costs more."""
    stage.clock.turn(stage.clock.at(60, "08:50"))
    write_off_loose(
        by=stage.people["gail"],
        customer=_of(stage, "bellwether").customer,
        side=LooseWriteOff.OURS,
        amount=Decimal("0.40"),
        reason="The customer told us on the phone to keep it",
        entry_id=scenario_id("small change", "bellwether"),
    )


def _write_off(stage: Stage) -> None:
    invoice = _of(stage, "saffron")
    stage.clock.turn(stage.clock.at(40, "11:05"))
    write_off(
        by=stage.people["gail"],
        invoice=invoice,
        amount=min(balance_now(invoice).open, Decimal("25.00")),
        reason="Agreed at the counter: the sender was ordered wrong",
        entry_id=scenario_id("write-off", invoice.number),
    )


def _bounce(stage: Stage) -> None:
    """A check that the bank did not honor: what it paid is open again."""
    check = _of(stage, "plover").payments.get(means="check")
    stage.clock.turn(stage.clock.at(LAST_AGO, "09:10"))
    reverse_payment(
        by=stage.desk, payment=check, reason="Not honored by the bank", entry_id=scenario_id("bounced", "plover")
    )


def _stopped(stage: Stage) -> None:
    """A charge that would pass what a customer authorized: it is not made, and the desk has to call."""
    jobs = Job.objects.filter(state__in=OPEN_STATES, authorizations__withdrawn_at=None, authorizations__amount__gt=0)
    job = jobs.order_by("number").first()
    standing = standing_of(job) if job is not None else None
    if job is None or standing is None or standing.left is None:
        return
    stage.clock.turn(stage.clock.at(LAST_AGO, "14:25"))
    with suppress(Refused):
        add_charge(
            by=stage.desk,
            job=job,
            kind="fee",
            description="Crane for half a day",
            unit_price=max(standing.left, Decimal(0)) + Decimal("85.00"),
            entry_id=scenario_id("crane", str(job.number)),
        )


def _of(stage: Stage, boat: str) -> Invoice:
    return Invoice.objects.get(job__vessel=stage.boats[boat][1], total__gt=0)


def _job_of(stage: Stage, boat: str, days_ago: int) -> Job:
    day = (stage.clock.at(days_ago, "00:00"), stage.clock.at(days_ago, "23:59"))
    return Job.objects.get(vessel=stage.boats[boat][1], opened_at__range=day)
