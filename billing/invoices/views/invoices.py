"""An invoice with what became of it, the list of all, and what is done about one."""

from __future__ import annotations

from typing import Any

from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from billing.documents.frozen import thawed
from billing.invoices.actions import (
    credit_invoice,
    receive_payment,
    reverse_payment,
    reverse_write_off,
    use_credit,
    write_off,
)
from billing.invoices.actions.reversing import refuse_reversed
from billing.invoices.actions.writing_off import refuse_reversed_write_off
from billing.invoices.balance import Balance
from billing.invoices.crediting import is_left_of, what_is_left
from billing.invoices.filing import why_unsigned
from billing.invoices.forms import CreditForm, FilterForm, PaymentForm, ReasonForm, SumForm, WriteOffForm
from billing.invoices.models import NOTHING, CreditedCharge, Invoice, Payment, WriteOff
from billing.invoices.queries.balances import balance_of, held_for, usable_on
from billing.invoices.queries.left import left_to_invoice
from billing.invoices.queries.lists import filtered, history_of, receivables
from billing.invoices.record import Document
from billing.invoices.structured import what_is_missing
from billing.invoices.tables import aging_table, invoices_table
from billing.invoices.views.finding import Act, act_page, invoice_or_404
from billing.invoices.worth import rests_of_jobs
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.moment import at_one_moment
from web.pager import asked_page
from web.submission import attempted
from workorders.money import money_words
from workorders.taxes.queries import taxes_of_jobs

NEWEST_FIRST = "-pk"


@permission_required(Permission.SEE_MONEY)
def invoices(request: HttpRequest) -> HttpResponse:
    """All invoices, newest first: those that are open, overdue, paid, or all."""
    form = FilterForm(request.GET, auto_id="filter_%s")
    state = form.chosen()
    page = asked_page(filtered(state, timezone.localdate()), NEWEST_FIRST, request)
    kept = {"state": state} if state != "open" else {}
    context = {
        "form": form,
        "page": page,
        "state": state,
        "today": timezone.localdate(),
        **page.addresses(request.path, kept),
    }
    return render(request, "billing/invoices/list.html", context)


@permission_required(Permission.SEE_MONEY)
@require_safe
def invoices_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, whole."""
    state = FilterForm(request.GET).chosen()
    return invoices_table(f"invoices-{state}.csv", filtered(state, timezone.localdate()).order_by("pk"))


@permission_required(Permission.SEE_MONEY)
@at_one_moment
def left(request: HttpRequest) -> HttpResponse:
    """Closed jobs with charges on no invoice, the last one first."""
    currency = request.shop.currency  # type: ignore[attr-defined]
    page = asked_page(left_to_invoice().select_related("vessel", "customer"), "-number", request)
    sums = rests_of_jobs(page.rows, currency, taxes_of_jobs)
    context = {
        "page": page,
        "rows": [(job, sums.get(job.pk, NOTHING)) for job in page.rows],
        "currency": currency,
        **page.addresses(request.path, {}),
    }
    return render(request, "billing/invoices/left.html", context)


@permission_required(Permission.SEE_MONEY)
@at_one_moment
def invoice(request: HttpRequest, pk: int) -> HttpResponse:
    """An invoice as it was made, and everything that happened to it since."""
    found, person = invoice_or_404(pk), signed_in(request)
    document, balance = thawed(Document, found.record), balance_of(found)
    context = {
        "invoice": found,
        "document": document,
        "balance": balance,
        "history": history_of(found),
        "usable": sum((purse.rest for purse in usable_on(found)), NOTHING),
        "missing": what_is_missing(document),
        "is_overdue": bool(found.open_sum) and found.due_on < timezone.localdate(),  # type: ignore[attr-defined]
        "held": held_for(found.customer, found.currency),
        "unsigned": why_unsigned(found),
        "may_take": person.may(Permission.TAKE_MONEY),
        "may_credit": person.may(Permission.CREDIT_INVOICES) and _can_be_credited(document, balance, _gone(found)),
        "may_write_off": person.may(Permission.WRITE_OFF),
    }
    return render(request, "billing/invoices/invoice.html", context)


def _gone(found: Invoice) -> set[int]:
    """The charges of an invoice that were credited whole, by key."""
    return set(CreditedCharge.objects.filter(credit__invoice=found).values_list("charge", flat=True))


def _can_be_credited(document: Document, balance: Balance, gone: set[int]) -> bool:
    """Whether a sum is left, or lines over nothing: those that cost nothing, or of which all was credited as a sum."""
    left = [line for line in document.lines if line.charge not in gone]
    return balance.most_credit > 0 or any(balance.total == balance.credited or not line.net for line in left)


def _act_of(found: Invoice, title: str, lede: str, button: str, **more: Any) -> Act:
    back = reverse("invoices:invoice", args=[found.pk])
    return Act(title=title, lede=lede, button=button, back=back, eyebrow=f"Invoice {found}", **more)


@permission_required(Permission.TAKE_MONEY)
def pay(request: HttpRequest, pk: int) -> HttpResponse:
    """Note money that was received for an invoice."""
    found = invoice_or_404(pk)
    due = found.open_sum  # type: ignore[attr-defined]
    form = PaymentForm(
        request.POST if request.method == "POST" else None,
        currency=found.currency,
        initial={"amount": due} if due else {},
    )
    words = money_words(due, found.currency)
    act = _act_of(found, "Note a payment", f"{words} is open. What is paid is noted here, not processed.", "Note it")

    def do(answers: dict[str, Any]) -> str:
        made = receive_payment(by=signed_in(request), invoice=found, **answers)
        used = sum((one.amount for one in made.uses.all()), NOTHING)
        held = made.amount - used
        words = [f"{money_words(used, made.currency)} is noted on invoice {found}."] if used else []
        if held:
            words.append(f"{money_words(held, made.currency)} is held as credit of {found.customer}.")
        return " ".join(words)

    return act_page(request, act, form, do)


@permission_required(Permission.TAKE_MONEY)
def use(request: HttpRequest, pk: int) -> HttpResponse:
    """Pay an invoice from what is held for its customer."""
    found = invoice_or_404(pk)
    held = sum((purse.rest for purse in usable_on(found)), NOTHING)
    most = min(found.open_sum, held)  # type: ignore[attr-defined]
    form = SumForm(
        request.POST if request.method == "POST" else None,
        currency=found.currency,
        initial={"amount": most} if most else {},
    )
    lede = (
        f"{money_words(held, found.currency)} is held for {found.customer} and may be used, "
        f"{money_words(found.open_sum, found.currency)} is open."  # type: ignore[attr-defined]
    )

    def do(answers: dict[str, Any]) -> str:
        use_credit(by=signed_in(request), invoice=found, **answers)
        return f"{money_words(answers['amount'], found.currency)} of what is held pays invoice {found} now."

    return act_page(request, _act_of(found, "Use what is held", lede, "Use it"), form, do)


@permission_required(Permission.CREDIT_INVOICES)
def credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Credit an invoice."""
    found = invoice_or_404(pk)
    document = thawed(Document, found.record)
    gone = _gone(found)
    notes = [thawed(Document, note.record) for note in found.credits.all()]
    left, written_off = sum(what_is_left(document, notes).values(), NOTHING), balance_of(found).written_off
    words = {
        line.charge: f"{line.description}, {money_words(line.net, found.currency)} before tax"
        for line in document.lines
        if line.charge not in gone
    }
    parts = what_is_left(document, notes)
    offered = {one: said for one, said in words.items() if is_left_of(document, parts, gone, {one})}
    form = CreditForm(request.POST if request.method == "POST" else None, invoice=found, words=offered)
    off = f", and {money_words(written_off, found.currency)} more once its write-off is reversed" if written_off else ""
    lede = (
        f"{money_words(left - written_off, found.currency)} of this invoice can be credited{off}. The invoice stays as "
        "it is; what was paid and is no longer owed, the shop owes to the customer."
    )
    if not left:
        count = "1 line of it is" if len(words) == 1 else f"{len(words)} lines of it are"
        lede = f"No sum of this invoice is left to be credited. {count} on the job and can be credited over nothing."
        lede = lede if words else "Nothing of this invoice is left to be credited."

    def do(answers: dict[str, Any]) -> str:
        made = credit_invoice(by=signed_in(request), invoice=found, **answers)
        return f"Credit note {made} of {money_words(made.total, made.currency)} is made."

    return act_page(request, _act_of(found, "Credit this invoice", lede, "Make the credit note"), form, do)


@permission_required(Permission.WRITE_OFF)
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """Write off what will not be paid."""
    found = invoice_or_404(pk)
    due = found.open_sum  # type: ignore[attr-defined]
    form = WriteOffForm(
        request.POST if request.method == "POST" else None,
        currency=found.currency,
        initial={"amount": due} if due else {},
    )
    lede = f"{money_words(due, found.currency)} is open. What is written off is no longer expected."

    def do(answers: dict[str, Any]) -> str:
        made = write_off(by=signed_in(request), invoice=found, **answers)
        return f"{money_words(made.amount, found.currency)} of invoice {found} is written off."

    return act_page(request, _act_of(found, "Write off", lede, "Write it off", is_danger=True), form, do)


@permission_required(Permission.WRITE_OFF)
def off_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    """Expect again what was written off."""
    row = get_object_or_404(WriteOff.objects.select_related("invoice__customer"), pk=pk)
    if request.method != "POST" and not attempted(request, lambda: refuse_reversed_write_off(row)):
        return redirect("invoices:invoice", row.invoice_id)
    words = money_words(row.amount, row.invoice.currency)
    act = _act_of(row.invoice, "Reverse a write-off", f"{words} will be open again.", "Reverse it")
    form = ReasonForm(request.POST if request.method == "POST" else None, label="Why it is expected again")

    def do(answers: dict[str, Any]) -> str:
        reverse_write_off(by=signed_in(request), write_off=row, **answers)
        return f"{words} of invoice {row.invoice} is open again."

    return act_page(request, act, form, do)


def _what_then(row: Payment) -> str:
    """What reversing a payment does to what it paid, or to what it was paid back of."""
    if row.kind == "refunded":
        return f"It is money of {row.customer} that the shop has, as before."
    paid = row.uses.exclude(invoice=None).order_by().values("invoice").annotate(sum=Sum("amount")).exclude(sum=0)
    return "What it pays is open again." if paid.exists() else "It pays no invoice."


@permission_required(Permission.TAKE_MONEY)
def payment_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    """Reverse what was noted wrongly."""
    row = get_object_or_404(Payment.objects.select_related("customer", "invoice", "job"), pk=pk)
    if row.invoice is not None:
        back = reverse("invoices:invoice", args=[row.invoice.pk])
    else:
        back = reverse("invoices:customer", args=[row.customer_id])
    if request.method != "POST" and not attempted(request, lambda: refuse_reversed(row)):
        return redirect(back)
    words = money_words(abs(row.amount), row.currency)
    act = Act(
        title="Reverse a payment",
        lede=f"{row.get_kind_display()}: {words}, {row.get_means_display().lower()}, {row.day:%b} {row.day.day}. "
        f"Both rows stay: this one, and the one that reverses it. {_what_then(row)}",
        button="Reverse it",
        back=back,
        eyebrow=f"Money of {row.customer}",
        is_danger=True,
    )
    form = ReasonForm(request.POST if request.method == "POST" else None, label="What was wrong with it")

    def do(answers: dict[str, Any]) -> str:
        reverse_payment(by=signed_in(request), payment=row, **answers)
        return f"{words} is reversed."

    return act_page(request, act, form, do)


@permission_required(Permission.SEE_MONEY)
@at_one_moment
def aging(request: HttpRequest) -> HttpResponse:
    """What customers owe, by how long it is overdue, and what the shop has of theirs."""
    currency = request.shop.currency  # type: ignore[attr-defined]
    context = {"aging": receivables(timezone.localdate(), currency), "currency": currency}
    return render(request, "billing/invoices/aging.html", context)


@permission_required(Permission.SEE_MONEY)
@require_safe
def aging_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep."""
    today, currency = timezone.localdate(), request.shop.currency  # type: ignore[attr-defined]
    return aging_table(f"owed-{today}.csv", receivables(today, currency), currency)
