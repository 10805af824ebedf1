"""What the pages look up, and the one page that all acts about money share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from billing.invoices.models import Invoice
from billing.invoices.queries.balances import with_balance
from vessels.forms.fields import EntryForm
from vessels.models import Customer
from web.submission import accepted


def invoice_or_404(pk: int) -> Invoice:
    """An invoice with what became of it."""
    rows = with_balance(Invoice.objects.select_related("customer", "job__vessel", "made_by"))
    return get_object_or_404(rows, pk=pk)


def customer_or_404(pk: int) -> Customer:
    """A customer."""
    return get_object_or_404(Customer, pk=pk)


@dataclass(frozen=True)
class Act:
    """What a page of an act says: where it belongs, what it does, what its button says."""

    title: str
    lede: str
    button: str
    back: str
    eyebrow: str
    busy: str = "Saving…"
    is_danger: bool = False
    leave: str = "Leave without saving"


def act_page(
    request: HttpRequest, act: Act, form: EntryForm, do: Callable[[dict[str, Any]], str], **more: Any
) -> HttpResponse:
    """The page of one act: its form, and back where it belongs once it is done. ``do`` answers with what to say."""
    if request.method == "POST":
        said = accepted(form, lambda: do(form.answers()))
        if said is not None:
            messages.success(request, said)
            return redirect(act.back)
    context = {"act": act, "form": form, **more}
    return render(request, "billing/invoices/act.html", context, status=422 if form.errors else 200)
