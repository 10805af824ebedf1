"""An invoice is made from what of a job was not invoiced yet, and is frozen; what of it is wrong is credited."""

from __future__ import annotations

import json
import uuid
from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone

from billing.authorizations.guarding import limit_words
from billing.authorizations.queries import standing_of
from billing.documents.checking import refuse_beyond_any
from billing.documents.frozen import freeze, thawed
from billing.documents.numbers import Series, next_number
from billing.invoices.actions.checking import said_why, sum_of_money
from billing.invoices.balance import taken_from
from billing.invoices.building import credit_document, invoice_document, shop_party
from billing.invoices.crediting import is_left_of, of_lines, of_sum, what_is_left
from billing.invoices.models import (
    NOTHING,
    CreditedCharge,
    CreditNote,
    Invoice,
    InvoicedCharge,
    Use,
)
from billing.invoices.pricing import priced
from billing.invoices.queries.balances import balance_now, deposits_of
from billing.invoices.queries.jobs import charges_to_invoice
from billing.invoices.queries.left import note_invoiced
from billing.invoices.queries.shop import billing_profile, notices_on_invoices, terms_of
from billing.invoices.record import DepositPart, Document, Parts
from billing.invoices.tasks import CREDIT, INVOICE, ask_for
from billing.invoices.worth import invoiced_of
from commands.envelope import command, tell
from commands.journal import take_turn
from commands.questions import all_at_once, ask_once
from commands.refusals import Refused
from files.paper.letters import unprintable
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day, shop_profile
from workorders.actions.checking import lock_job
from workorders.guards import let_follow, one_touch
from workorders.models import Charge, Job
from workorders.money import money_words
from workorders.queries.sums import counted_charges
from workorders.states import JobState
from workorders.voiding import tell_total, void

INVOICES, CREDITS = Series("invoices", "INV-"), Series("credit notes", "CN-")
UNPRICED = "Nothing is left to be invoiced on this job."


@command("make_invoice", needs=Permission.MAKE_INVOICES, writes_to="job.vessel")
def make_invoice(
    *,
    by: Person,
    job: Job,
    seen_total: Decimal,
    charges: Sequence[Charge] | None = None,
    entry_id: uuid.UUID | None = None,
) -> Invoice:
    """Invoice what of a job was not invoiced yet, or some of it, and take what was deposited for the job.

    ``seen_total`` is what the person saw that it comes to.

    Raises:
        Refused: nothing is left or chosen, a charge is voided, invoiced or of another job, the sum is no longer what
            the person saw, or the job is canceled.
    """
    stored = lock_job(job)
    take_turn(stored.customer)
    refuse_canceled(stored)
    chosen = _chosen(stored, charges)
    shop, billing = shop_profile(), billing_profile()
    worth = priced(stored, chosen, currency=shop.currency)
    refuse_beyond_any(worth.sums.total, shop.currency, "invoice")
    if worth.sums.total != seen_total:
        raise Refused(
            f"This comes to {money_words(worth.sums.total, shop.currency)} now, not to "
            f"{money_words(seen_total, shop.currency)}: something was changed since this page was opened. "
            "Look at it below, then make the invoice."
        )
    _refuse_below_nothing(worth.sums.total, shop.currency)
    with all_at_once():
        _ask_before(stored, worth.sums.total, shop.currency)
        _ask_past_the_agreed(stored, worth.sums.total, shop.currency)
    today = local_day(timezone.now())
    days, of_customer = terms_of(stored.customer)
    due_on = today + timedelta(days=days)
    purses = deposits_of(stored, shop.currency)
    most = min(worth.sums.total, sum((purse.rest for purse in purses), NOTHING))
    taken = taken_from(most, ((purse.payment, purse.rest) for purse in purses))
    document = invoice_document(
        job=stored,
        charges=chosen,
        priced=worth,
        number=next_number(INVOICES),
        issued_on=today,
        due_on=due_on,
        shop=shop,
        billing=billing,
        of_customer=of_customer,
        deposits=[
            DepositPart(day=payment.day, means=payment.means, reference=payment.reference, amount=part)
            for payment, part in taken
        ],
        notices=notices_on_invoices(),
    )
    _refuse_unprintable(document, "invoice")
    frozen = freeze(document)
    invoice = Invoice.objects.create(
        number=document.number,
        job=stored,
        customer=stored.customer,
        issued_on=today,
        due_on=due_on,
        currency=document.currency,
        net=document.net,
        tax=document.tax,
        total=document.total,
        record=frozen.text,
        record_sha256=frozen.sha256,
        made_by=by,
    )
    InvoicedCharge.objects.bulk_create(
        InvoicedCharge(invoice=invoice, charge=charge, position=place) for place, charge in enumerate(chosen, start=1)
    )
    if not stored.is_open:
        note_invoiced(stored)
    for payment, part in taken:
        Use.objects.create(payment=payment, amount=part, invoice=invoice, day=today, by=by)
    ask_for(INVOICE, invoice.pk)
    tell(invoiced=[None, str(document.total)], deposits=[None, str(most)], open=[None, str(document.due)])
    return invoice


@command("credit_invoice", needs=Permission.CREDIT_INVOICES, writes_to="invoice.job.vessel")
def credit_invoice(
    *,
    by: Person,
    invoice: Invoice,
    reason: str,
    charges: Sequence[Charge] = (),
    amount: Decimal | None = None,
    entry_id: uuid.UUID | None = None,
) -> CreditNote:
    """Credit an invoice: some of its charges, or a sum with the taxes in it; neither is all that is left of it.

    What was paid and is no longer owed is held for the customer. Charges that are credited whole count for nothing on
    their job from then on, and may be charged again.

    Raises:
        Refused: nobody says why, it is more than is left, a charge is not on the invoice or was credited, or part of
            the invoice was credited as a sum or written off.
    """
    job = lock_job(invoice.job)
    take_turn(invoice.customer)
    why = said_why(reason, "Say why it is credited. It is printed on the credit note.")
    if charges and amount is not None:
        raise Refused("Credit lines, or a sum, and not both.", fields={"amount": "Leave it empty, or choose no lines."})
    document = thawed(Document, invoice.record)
    notes = list(invoice.credits.all())
    left = what_is_left(document, [thawed(Document, note.record) for note in notes])
    credited = {
        one.charge_id for one in CreditedCharge.objects.filter(credit__invoice=invoice)
    }  # fmt: skip
    parts, whole = _credited_parts(document, left, credited, charges, amount)
    _refuse_half_a_core(document, whole)
    total = sum(parts.values(), NOTHING)
    before = balance_now(invoice)
    _refuse_too_much(total, whole, before.most_credit, before.written_off, document.currency)
    _ask_about_nothing(invoice, total)
    today = local_day(timezone.now())
    note_document = credit_document(
        document,
        number=next_number(CREDITS),
        issued_on=today,
        parts=parts,
        charges=whole,
        reason=why,
        shop=shop_party(shop_profile(), billing_profile()),
        before=credited,
    )
    _refuse_unprintable(note_document, "credit note")
    frozen = freeze(note_document)
    note = CreditNote.objects.create(
        number=note_document.number,
        invoice=invoice,
        customer=invoice.customer,
        issued_on=today,
        currency=note_document.currency,
        net=note_document.net,
        tax=note_document.tax,
        total=note_document.total,
        reason=why,
        record=frozen.text,
        record_sha256=frozen.sha256,
        made_by=by,
    )
    CreditedCharge.objects.bulk_create(CreditedCharge(credit=note, charge_id=key) for key in sorted(whole))
    _set_free(by, invoice, note, before.set_free_by(total))
    counted = counted_charges(job)
    with one_touch(by, job) as is_whole:
        void(by=by, job=job, charges=Charge.objects.filter(pk__in=whole, struck_at=None).order_by("pk"))
        if is_whole and whole and job.is_open and by.may(Permission.SET_PRICES):
            let_follow(by, job)
    tell_total(job, counted, counted_charges(job))
    ask_for(CREDIT, note.pk)
    tell(credited=[None, str(total)], open=[str(before.open), str(balance_now(invoice).open)])
    return note


def refuse_canceled(job: Job) -> None:
    """A canceled job is not invoiced.

    Raises:
        Refused: it is canceled.
    """
    if job.state == JobState.CANCELED:
        raise Refused(f"Job {job.number} is canceled. Open it again before you invoice it.")


def _chosen(job: Job, charges: Sequence[Charge] | None) -> list[Charge]:
    """The charges that are to be invoiced, in the order of the job."""
    left = charges_to_invoice(job)
    if charges is None:
        chosen = left
    else:
        wanted = {charge.pk for charge in charges}
        chosen = [charge for charge in left if charge.pk in wanted]
        if len(chosen) != len(wanted):
            raise Refused(
                "One of these charges was invoiced or voided meanwhile. Look at what is left, and choose again."
            )
    if not chosen:
        raise Refused(UNPRICED if not left else "Choose what is to be invoiced.")
    return chosen


def _refuse_below_nothing(total: Decimal, currency: str) -> None:
    """An invoice is never below zero: what the shop owes the customer is a credit note, on the invoice it was on.

    Raises:
        Refused: it is.
    """
    if total < 0:
        raise Refused(
            f"This invoice would come to {money_words(total, currency)}: the core charges that are given back are more "
            "than what is charged. Invoice the return together with other charges of the job; or void it, and credit "
            "the core charge on the invoice that it is on."
        )


def _refuse_half_a_core(document: Document, whole: set[int]) -> None:
    """A core charge that was given back is credited with its return, or it would be given back twice.

    Raises:
        Refused: one of them is credited without the other.
    """
    every = {line.charge for line in document.lines}
    for one in Charge.objects.filter(pk__in=whole, is_core=True).select_related("core_of"):
        if one.core_of is not None and one.core_of_id in every and one.core_of_id not in whole:
            raise Refused(f"“{one}” gives “{one.core_of}” back. Credit both together.")
        standing = one.returns.filter(struck_at=None).exclude(pk__in=whole).select_related("job").first()
        if standing is not None:
            raise Refused(
                f"“{one}” was given back already, on job {standing.job.number}. Credit both together where both stand "
                "on this invoice; otherwise leave this charge out, or credit a sum."
            )


def _refuse_unprintable(document: Document, name: str) -> None:
    """Nothing of a document can be changed later, so what cannot be printed is said before it is made."""
    if lacking := unprintable(json.loads(freeze(document).text), name, then=f"make the {name}"):
        raise Refused(lacking)


def _ask_before(job: Job, total: Decimal, currency: str) -> None:
    """Ask once about what is seldom meant: an invoice over nothing, and one before anybody agreed."""
    if total == 0:
        said = f"This invoice comes to {money_words(total, currency)}."
        ask_once(f"nothing on job {job.number}", said, field="seen_total", tick="It is over nothing")
    if job.state == JobState.ESTIMATE:
        said = f"Job {job.number} is still an estimate: it was not moved to “Authorized”."
        ask_once(f"estimate {job.number}", said, field="agreed", tick="The customer agreed to it")


def _ask_past_the_agreed(job: Job, total: Decimal, currency: str) -> None:
    """Ask once about an invoice that brings what is invoiced of a job past what may be charged.

    A rate that rose, or taxes that are rounded on each paper, do that without any charge.
    """
    if total <= 0:
        return
    standing = standing_of(job)
    in_all = invoiced_of(job, currency) + total
    limit = standing.limit.sum
    if limit is None or in_all <= limit:
        return
    comes_to, more = money_words(in_all, currency), money_words(in_all - limit, currency)
    ask_once(
        f"{in_all} invoiced past {limit} on {job.number}",
        f"With this invoice {comes_to} is invoiced for the job, {more} more than the {money_words(limit, currency)} "
        f"that may be charged. {limit_words(standing)}",
        field="past",
        tick=f"Invoice {comes_to} in all",
    )


def _credited_parts(
    document: Document, left: Parts, credited: set[int], charges: Sequence[Charge], amount: Decimal | None
) -> tuple[Parts, set[int]]:
    """What is credited by parts, and which charges whole."""
    every = {line.charge for line in document.lines}
    if charges:
        wanted = {charge.pk for charge in charges}
        if wanted - every:
            raise Refused("One of these lines is not on this invoice.")
        if wanted & credited:
            raise Refused("One of these lines is credited already. Look at the invoice again.")
        parts = of_lines(document, wanted, credited)
        if not is_left_of(document, left, credited, wanted):
            if any(line.net < 0 for line in document.lines):
                raise Refused(
                    "This is more than what is left of it, as a core charge is given back on this invoice. Credit a "
                    "sum, or all that is left."
                )
            raise Refused("Part of this invoice was credited as a sum. Credit the rest as a sum, or all that is left.")
        return parts, wanted
    if amount is not None:
        wanted_sum = sum_of_money(amount, document.currency)
        rest = sum(left.values(), NOTHING)
        if wanted_sum > rest:
            words = money_words(rest, document.currency)
            sentence = f"Only {words} of this invoice is left to be credited."
            raise Refused(sentence, fields={"amount": sentence})
        if wanted_sum < rest:
            return of_sum(left, wanted_sum, document.currency), set()
    return left, every - credited


def _refuse_too_much(total: Decimal, whole: set[int], most: Decimal, written_off: Decimal, currency: str) -> None:
    """Nothing is credited twice, and what was written off is reversed first. Charges over nothing can be credited."""
    if total < 0 or not (total or whole):
        raise Refused("Nothing of this is left to be credited.")
    if total > most:
        words = money_words(written_off, currency)
        raise Refused(f"{words} of this invoice was written off. Reverse that first, then credit it.")


def _ask_about_nothing(invoice: Invoice, total: Decimal) -> None:
    """Ask once about a credit note that changes no sum: it says that charges over nothing do not stand any more."""
    if total == 0:
        said = f"This credit note comes to {money_words(total, invoice.currency)}."
        ask_once(f"nothing of {invoice}", said, field="how", tick="It is over nothing")


def _set_free(by: Person, invoice: Invoice, note: CreditNote, amount: Decimal) -> None:
    """What was paid and is no longer owed is held for the customer: what was paid last comes first."""
    if amount <= 0:
        return
    kept: dict[int, Decimal] = {}
    for use in invoice.uses.order_by("-pk"):
        kept[use.payment_id] = kept.get(use.payment_id, NOTHING) + use.amount
    for payment, part in taken_from(amount, kept.items()):
        Use.objects.create(
            payment_id=payment, amount=-part, invoice=invoice, credit=note, day=note.issued_on, by=by
        )  # fmt: skip
