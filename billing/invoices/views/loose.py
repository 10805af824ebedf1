"""What is written off on no invoice: a customer's side, or the shop's."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from billing.invoices.actions import reverse_loose_write_off, write_off_loose
from billing.invoices.actions.writing_off import refuse_reversed_write_off
from billing.invoices.forms import ReasonForm, WriteOffForm
from billing.invoices.models import LooseWriteOff
from billing.invoices.queries.balances import held_payments, in_two, owed_back_by
from billing.invoices.views.finding import Act, act_page, customer_or_404
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Customer
from web.submission import attempted
from workorders.money import money_words


@permission_required(Permission.WRITE_OFF)
def off_owed(request: HttpRequest, pk: int) -> HttpResponse:
    """Write off what a customer owes on no invoice."""
    found, currency = customer_or_404(pk), request.shop.currency  # type: ignore[attr-defined]
    most = owed_back_by(found, currency)
    lede = (
        f"The shop is owed {money_words(most, currency)} by {found} for money that was paid out to them. What is "
        "written off is no longer expected."
        if most
        else f"The shop is owed nothing by {found} that stands on no invoice."
    )
    return _page(request, found, LooseWriteOff.THEIRS, most, lede)


@permission_required(Permission.WRITE_OFF)
def off_credit(request: HttpRequest, pk: int) -> HttpResponse:
    """Write off what the shop owes a customer."""
    found, currency = customer_or_404(pk), request.shop.currency  # type: ignore[attr-defined]
    most = in_two(held_payments([found], currency)).credit
    lede = (
        f"The shop owes {found} {money_words(most, currency) if most else 'nothing'}. What is written off is not paid "
        "back: it is the customer’s money until then, and local law decides when a shop may keep it."
    )
    return _page(request, found, LooseWriteOff.OURS, most, lede)


def _page(request: HttpRequest, found: Customer, side: str, most: Decimal, lede: str) -> HttpResponse:
    currency = request.shop.currency  # type: ignore[attr-defined]
    form = WriteOffForm(
        request.POST if request.method == "POST" else None,
        currency=currency,
        initial={"amount": most} if most else {},
    )
    act = Act(
        title="Write off what the customer owes" if side == LooseWriteOff.THEIRS else "Write off what the shop owes",
        lede=lede,
        button="Write it off",
        back=reverse("invoices:customer", args=[found.pk]),
        eyebrow=f"Money of {found}",
        is_danger=True,
    )

    def do(answers: dict[str, Any]) -> str:
        made = write_off_loose(by=signed_in(request), customer=found, side=side, **answers)
        return f"{money_words(made.amount, currency)} is written off."

    return act_page(request, act, form, do)


@permission_required(Permission.WRITE_OFF)
def off_reverse(request: HttpRequest, pk: int) -> HttpResponse:
    """Have what was written off on no invoice stand again."""
    row = get_object_or_404(LooseWriteOff.objects.select_related("customer"), pk=pk)
    if request.method != "POST" and not attempted(request, lambda: refuse_reversed_write_off(row)):
        return redirect("invoices:customer", row.customer_id)
    words = money_words(row.amount, row.currency)
    owes = f"The shop is owed {words} by {row.customer}" if row.is_theirs else f"The shop owes {row.customer} {words}"
    act = Act(
        title="Reverse a write-off",
        lede=f"{owes} again from then on.",
        button="Reverse it",
        back=reverse("invoices:customer", args=[row.customer_id]),
        eyebrow=f"Money of {row.customer}",
    )
    form = ReasonForm(request.POST if request.method == "POST" else None, label="Why it is owed again")

    def do(answers: dict[str, Any]) -> str:
        reverse_loose_write_off(by=signed_in(request), write_off=row, **answers)
        return f"{owes} again."

    return act_page(request, act, form, do)
