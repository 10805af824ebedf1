"""What somebody still has to see to: money that is owed back, an estimate being written, a part without its charge."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import Any

from billing.authorizations.actions import drop_deferred
from billing.authorizations.models import DeferredWork
from billing.estimates.actions import (
    add_estimate_line,
    add_estimate_option,
    change_estimate_terms,
    start_estimate,
)
from billing.invoices.actions import receive_payment, refund_credit, reverse_payment
from billing.invoices.models import Invoice
from billing.invoices.queries.balances import balance_now
from shopfloor.demo.stage import Stage, scenario_id
from workorders.actions import add_charge
from workorders.jobparts.actions import fit_part
from workorders.models import Job
from workorders.upkeep.actions import lay_up

DECLINED = ("plover", "Look into the hesitation")
OVER = Decimal("200.00")
"""By so much a check was made out for too much; it went back in cash before the bank said no."""
BEING_WRITTEN = ("pintail", 6)
ON_WATER = ("sandpiper", 20)


def unfinished_events() -> list[tuple[int, Callable[[Stage], object]]]:
    """What is left for somebody to finish, by the days ago on which it was done."""
    return [
        (35, _made_out_wrong),
        (33, _paid_back_the_rest),
        (30, _declined_for_good),
        (28, _not_honored),
        (25, _laid_up),
        (20, _from_the_shelf),
        (20, _half_is_ours),
        (8, _paid_again),
        (3, partial(_doubts_the_check, boat="plover")),
        (1, _next_version),
    ]


def _made_out_wrong(stage: Stage) -> None:
    """A figure of a check is wrong: what is too much is held."""
    stage.clock.turn(stage.clock.at(35, "11:20"))
    invoice = _invoice_of(stage, "saffron")
    receive_payment(
        by=stage.desk,
        invoice=invoice,
        amount=balance_now(invoice).open + OVER,
        means="check",
        reference="5120",
        remark="Made out for $200.00 too much",
        entry_id=scenario_id("made out wrong", invoice.number),
    )


def _paid_back_the_rest(stage: Stage) -> None:
    stage.clock.turn(stage.clock.at(33, "15:45"))
    invoice = _invoice_of(stage, "saffron")
    refund_credit(
        by=stage.people["gail"],
        customer=invoice.customer,
        amount=OVER,
        means="cash",
        reason="Their check was made out for $200.00 too much",
        entry_id=scenario_id("paid back", invoice.number),
    )


def _not_honored(stage: Stage) -> None:
    """The bank says no after the rest went back: the invoice is open again, and the cash is owed on no invoice."""
    stage.clock.turn(stage.clock.at(28, "09:25"))
    invoice = _invoice_of(stage, "saffron")
    reverse_payment(
        by=stage.desk,
        payment=invoice.payments.get(means="check"),
        reason="Not honored by the bank: drawn on a closed account",
        entry_id=scenario_id("not honored", invoice.number),
    )


def _declined_for_good(stage: Stage) -> None:
    boat, what = DECLINED
    stage.clock.turn(stage.clock.at(30, "10:40"))
    drop_deferred(
        by=stage.desk,
        deferred=DeferredWork.objects.get(vessel=stage.boats[boat][1], what=what),
        reason="Called: he says that it runs well since the service",
        entry_id=scenario_id("dropped", boat),
    )


def _laid_up(stage: Stage) -> None:
    """A boat that is out of use, and nobody knows until when."""
    stage.clock.turn(stage.clock.at(25, "14:05"))
    lay_up(
        by=stage.desk,
        vessel=stage.boats["tern"][1],
        from_on=stage.clock.day(25),
        remark="On stands in the owner’s yard",
        entry_id=scenario_id("laid-up", "tern"),
    )


def _from_the_shelf(stage: Stage) -> None:
    """A used part that no catalog has a price for, logged in the evening: nobody charged it yet."""
    boat, days_ago = ON_WATER
    job, rig = _job_of(stage, boat, days_ago), stage.rigs[boat, "single"]
    stage.clock.turn(stage.clock.at(days_ago, "17:40"))
    fit_part(
        by=stage.people["luz"],
        job=job,
        line=job.lines.get(),
        maker="Zephyrine",
        description="Intake grate",
        quantity=Decimal(1),
        condition="used",
        engine=rig.engine,
        old_fate="scrapped",
        text="The old one was bent, and let the debris in. This one was on our shelf.",
        happened_at=stage.clock.at(days_ago, "13:40"),
        entry_id=scenario_id(boat, days_ago, "from the shelf"),
    )


def _half_is_ours(stage: Stage) -> None:
    """A fee at half its price, on a job that waits for the water test."""
    boat, days_ago = ON_WATER
    job = _job_of(stage, boat, days_ago)
    stage.clock.turn(stage.clock.at(days_ago, "17:50"))
    add_charge(
        by=stage.desk,
        job=job,
        line=job.lines.get(),
        kind="fee",
        description="Town ramp, in and out; half of it is ours",
        unit_price=Decimal("18.00"),
        discount_percent=Decimal(50),
        entry_id=scenario_id(boat, days_ago, "ramp"),
    )


def _paid_again(stage: Stage) -> None:
    """The bookkeeper of a firm pays an invoice that was paid long ago: the shop owes it to them."""
    stage.clock.turn(stage.clock.at(8, "09:05"))
    invoice = _invoice_of(stage, "skate")
    receive_payment(
        by=stage.desk,
        invoice=invoice,
        amount=invoice.total,
        means="transfer",
        reference="W-1201",
        remark="Paid by check before; we asked them what to do with it",
        entry_id=scenario_id("paid again", invoice.number),
    )


def _doubts_the_check(stage: Stage, *, boat: str) -> None:
    """A customer sends what is open, and once more what he fears that his check did not bring."""
    stage.clock.turn(stage.clock.at(3, "16:10"))
    invoice = _invoice_of(stage, boat)
    check = invoice.payments.get(means="check")
    receive_payment(
        by=stage.desk,
        invoice=invoice,
        amount=balance_now(invoice).open + check.amount,
        means="transfer",
        reference="W-1207",
        remark="All of it, as the bank may not honor the check",
        entry_id=scenario_id("all of it", boat),
    )


def _next_version(stage: Stage) -> None:
    """Asked for on the phone, and not given to anybody yet: the next version of an estimate, with an option."""
    boat, days_ago = BEING_WRITTEN
    desk, job = stage.desk, _job_of(stage, boat, days_ago)
    stage.clock.turn(stage.clock.at(1, "16:20"))
    made = start_estimate(by=desk, job=job, entry_id=scenario_id(boat, days_ago, "next"))
    made.refresh_from_db()
    terms = {
        "words": "The buyer’s surveyor may be there while we measure. Tell us the day before.",
        "discount_percent": Decimal(5),
        "contingency_percent": Decimal(10),
    }
    change_estimate_terms(by=desk, estimate=made, seen_version=made.version, changes=terms,
                          entry_id=scenario_id(boat, days_ago, "next", "terms"))  # fmt: skip
    option = add_estimate_option(by=desk, estimate=made, name="Compression of both engines",
                                 entry_id=scenario_id(boat, days_ago, "next", "option"))  # fmt: skip
    lines: list[dict[str, Any]] = [
        {"kind": "labor", "description": "Compression, all cylinders, both engines", "quantity": Decimal(3)},
        {"kind": "fee", "description": "Written result for the buyer, two copies", "quantity": Decimal(1),
         "unit_price": Decimal("25.00")},
    ]  # fmt: skip
    for index, told in enumerate(lines):
        add_estimate_line(by=desk, estimate=made, told=told | {"option": option, "job_line": job.lines.get()},
                          entry_id=scenario_id(boat, days_ago, "next", index))  # fmt: skip


def _invoice_of(stage: Stage, boat: str) -> Invoice:
    return Invoice.objects.get(job__vessel=stage.boats[boat][1], total__gt=0)


def _job_of(stage: Stage, boat: str, days_ago: int) -> Job:
    day = (stage.clock.at(days_ago, "00:00"), stage.clock.at(days_ago, "23:59"))
    return Job.objects.get(vessel=stage.boats[boat][1], opened_at__range=day)
