"""What is between the shop and a customer: statement, refund, and what their invoices need."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from billing.invoices.actions import change_customer_billing, cover_owed, receive_owed, refund_credit
from billing.invoices.forms import CustomerBillingForm, PaymentForm, RefundForm
from billing.invoices.models import NOTHING, CustomerBilling
from billing.invoices.paper import plain_statement, signed_statement
from billing.invoices.queries.balances import held_for, owed_back_by
from billing.invoices.queries.lists import statement_of
from billing.invoices.views.finding import Act, act_page, customer_or_404
from commands.refusals import Refused
from files.paper.drawing import Stationery
from files.paper.letters import unprintable
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.moment import at_one_moment, one_moment
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.money import money_words


@permission_required(Permission.SEE_MONEY)
@at_one_moment
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """A customer's money: what is open, what is held, and everything that led there."""
    found, person = customer_or_404(pk), signed_in(request)
    currency = request.shop.currency  # type: ignore[attr-defined]
    statement = statement_of(found, currency, timezone.localdate())
    context = {
        "customer": found,
        "statement": statement,
        "purses": statement.purses,
        "written_off": statement.written_off,
        "billing": CustomerBilling.objects.filter(customer=found).first(),
        "may_take": person.may(Permission.TAKE_MONEY),
        "may_refund": person.may(Permission.CREDIT_INVOICES),
        "may_write_off": person.may(Permission.WRITE_OFF),
        "may_change": person.may(Permission.MAKE_INVOICES),
    }
    return render(request, "billing/invoices/customer.html", context)


@permission_required(Permission.SEE_MONEY)
@require_safe
def statement_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """A customer's statement on paper, as it is today."""
    found = customer_or_404(pk)
    shop = request.shop  # type: ignore[attr-defined]
    with one_moment():
        statement = statement_of(found, shop.currency, timezone.localdate())
    if lacking := unprintable(plain_statement(statement), "statement", then="draw it"):
        messages.error(request, lacking)
        return redirect("invoices:customer", pk)
    stationery, problem = Stationery.for_looking(shop)
    if problem:
        messages.warning(request, problem)
    try:
        data = signed_statement(statement, shop, stationery)
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return redirect("invoices:customer", pk)
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="statement-{pk}-{statement.day}.pdf"'
    return answer


@permission_required(Permission.CREDIT_INVOICES)
def refund(request: HttpRequest, pk: int) -> HttpResponse:
    """Note money that was paid back."""
    found = customer_or_404(pk)
    currency = request.shop.currency  # type: ignore[attr-defined]
    held, owed_to_us = held_for(found, currency), owed_back_by(found, currency)
    most = max(held - owed_to_us, NOTHING)
    form = RefundForm(
        request.POST if request.method == "POST" else None,
        currency=currency,
        initial={"amount": most} if most else {},
    )
    less = (
        f" It is owed {money_words(owed_to_us, currency)} by {found} on no invoice, so that no more than "
        f"{money_words(most, currency)} may be paid back."
        if owed_to_us
        else ""
    )
    has = money_words(held, currency) if held else "no money"
    act = Act(
        title="Pay back",
        lede=f"The shop has {has} of {found}.{less} What is paid back is noted here, not processed.",
        button="Note what was paid back",
        back=reverse("invoices:customer", args=[pk]),
        eyebrow=f"Money of {found}",
    )

    def do(answers: dict[str, Any]) -> str:
        made = refund_credit(by=signed_in(request), customer=found, **answers)
        return f"{money_words(-made.amount, currency)} was paid back to {found}."

    return act_page(request, act, form, do)


@permission_required(Permission.TAKE_MONEY)
def owed(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that a customer paid what had been paid back out of a payment that was not honored."""
    found = customer_or_404(pk)
    currency = request.shop.currency  # type: ignore[attr-defined]
    due = owed_back_by(found, currency)
    form = PaymentForm(
        request.POST if request.method == "POST" else None, currency=currency, initial={"amount": due} if due else {}
    )
    act = Act(
        title="Note a payment on no invoice",
        lede=f"The shop is owed {money_words(due, currency)} by {found}: it was paid out to them of payments that were "
        "not honored or were reversed since."
        if due
        else f"The shop is owed nothing by {found} that stands on no invoice. What is paid for an invoice is noted "
        "there.",
        button="Note the payment",
        back=reverse("invoices:customer", args=[pk]),
        eyebrow=f"Money of {found}",
    )

    def do(answers: dict[str, Any]) -> str:
        made = receive_owed(by=signed_in(request), customer=found, **answers)
        return f"{money_words(made.amount, currency)} of what {found} owed the shop on no invoice is received."

    return act_page(request, act, form, do)


@permission_required(Permission.TAKE_MONEY)
@require_POST
def cover(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what a customer owes on no invoice out of what the shop owes them."""
    found = customer_or_404(pk)
    if attempted(request, lambda: cover_owed(by=signed_in(request), customer=found, entry_id=sent_id(request))):
        messages.success(request, f"What the shop owed {found} is used for what they owed on no invoice.")
    return redirect("invoices:customer", pk)


@permission_required(Permission.MAKE_INVOICES)
def details(request: HttpRequest, pk: int) -> HttpResponse:
    """What a customer's invoices need beyond name and address."""
    found = customer_or_404(pk)
    record = CustomerBilling.objects.filter(customer=found).first() or CustomerBilling(customer=found)
    form = CustomerBillingForm(request.POST if request.method == "POST" else None, record=record)
    sending = Submission(request, form, record=record if record.pk else None)

    def act() -> None:
        change_customer_billing(
            by=signed_in(request),
            customer=found,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. Invoices that were made before stay as they are.")
        return redirect("invoices:customer", pk)
    back = reverse("invoices:customer", args=[pk])
    shown = Act(
        title="Details for invoices",
        lede="What the structured data in an invoice needs of a customer, and when their invoices are due.",
        button="Save",
        back=back,
        eyebrow=f"Money of {found}",
    )
    return sending.page("billing/invoices/act.html", act=shown)
