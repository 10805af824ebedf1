"""The shop's taxes, and the certificates of a customer."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from commands.refusals import Refused
from staff.policy import Permission, permission_required
from staff.queries import local_day
from staff.requests import signed_in
from vessels.models import Customer
from vessels.wording import date_words
from web.submission import accepted, attempted
from web.typed import sent_id
from workorders.taxes.actions import (
    NO_SUCH_RATE,
    add_certificate,
    add_tax,
    add_tax_rate,
    end_certificate,
    end_tax,
    remove_tax_rate,
)
from workorders.taxes.forms import CertificateForm, EndTaxForm, RateForm, TaxForm
from workorders.taxes.models import SalesTax, TaxExemption, TaxRate


@dataclass(frozen=True)
class ShownRate:
    """A rate on the page: whether it is in force, and whether it may be removed."""

    rate: TaxRate
    holds: bool
    may_be_removed: bool


def _shown(tax: SalesTax, today: date) -> list[ShownRate]:
    rates = sorted(tax.rates.all(), key=lambda one: one.starts_on, reverse=True)
    return [
        ShownRate(one, one.holds_on(today), place == 0 and one.starts_on >= today) for place, one in enumerate(rates)
    ]


@permission_required(Permission.SET_TAXES)
def taxes(request: HttpRequest) -> HttpResponse:
    """The taxes with their rates, now, before and to come, and a form for one more."""
    currency = request.shop.currency  # type: ignore[attr-defined]
    form = TaxForm(request.POST if request.method == "POST" else None, currency=currency)
    if request.method == "POST":
        made = accepted(form, lambda: add_tax(by=signed_in(request), **form.answers()))
        if made is not None:
            messages.success(request, f"“{made}” is added.")
            return redirect("taxes:list")
    today = local_day(timezone.now())
    shown = [(tax, _shown(tax, today)) for tax in SalesTax.objects.prefetch_related("rates__on_tax")]
    context = {"taxes": shown, "form": form, "currency": currency}
    return render(request, "workorders/taxes/list.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_TAXES)
def rate(request: HttpRequest, pk: int) -> HttpResponse:
    """Another rate of a tax, from a day on."""
    tax = get_object_or_404(SalesTax, pk=pk)
    last = tax.rates.order_by("-starts_on").first()
    initial: dict[str, Any] = {}
    if last is not None:
        initial = {"kinds": [kind.value for kind in last.kinds], "cap": last.cap, "cap_per": last.cap_per}
        initial |= {"on_tax": last.on_tax_id}
    currency = request.shop.currency  # type: ignore[attr-defined]
    form = RateForm(request.POST if request.method == "POST" else None, initial=initial, currency=currency)
    if request.method == "POST":

        def act() -> TaxRate:
            said = form.answers()
            said["starts_on"] = said["starts_on"] or local_day(timezone.now())
            return add_tax_rate(by=signed_in(request), tax=tax, **said)

        made = accepted(form, act)
        if made is not None:
            messages.success(request, f"{tax}: {made.percent_words} from {date_words(made.starts_on)}.")
            return redirect("taxes:list")
    context = {"tax": tax, "form": form, "ends": False}
    return render(request, "workorders/taxes/rate.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_TAXES)
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """The last day of a tax."""
    tax = get_object_or_404(SalesTax, pk=pk)
    form = EndTaxForm(request.POST if request.method == "POST" else None)

    def act() -> SalesTax:
        return end_tax(by=signed_in(request), tax=tax, **form.answers())

    if request.method == "POST" and accepted(form, act) is not None:
        messages.success(request, f"{tax} ends after {date_words(form.cleaned_data['last_day'])}.")
        return redirect("taxes:list")
    context = {"tax": tax, "form": form, "ends": True}
    return render(request, "workorders/taxes/rate.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_TAXES)
@require_POST
def rate_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a rate that has not been in use."""
    tax = get_object_or_404(SalesTax, pk=pk)
    said = request.POST.get("starts_on", "")

    def act() -> object:
        try:
            starts_on = date.fromisoformat(said)
        except ValueError as error:
            raise Refused(NO_SUCH_RATE) from error
        return remove_tax_rate(by=signed_in(request), tax=tax, starts_on=starts_on, entry_id=sent_id(request))

    if attempted(request, act):
        messages.success(request, f"A rate of {tax} is removed.")
    return redirect("taxes:list")


@permission_required(Permission.SEE_RECORDS, to_post=Permission.SET_PRICES)
def certificates(request: HttpRequest, pk: int) -> HttpResponse:
    """A customer's certificates of exemption, and a form for one more."""
    customer = get_object_or_404(Customer, pk=pk)
    form = CertificateForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        made = accepted(form, lambda: add_certificate(by=signed_in(request), customer=customer, **form.answers()))
        if made is not None:
            messages.success(request, f"The certificate {made.certificate} is noted.")
            return redirect("taxes:certificates", customer.pk)
    today = local_day(timezone.now())
    rows = customer.tax_exemptions.select_related("tax", "added_by", "ended_by").order_by("-pk")
    context = {
        "customer": customer,
        "form": form,
        "rows": [(one, one.holds_on(today), one.has_run_out_by(today)) for one in rows],
        "may_change": signed_in(request).may(Permission.SET_PRICES),
    }
    return render(request, "workorders/taxes/certificates.html", context, status=422 if form.errors else 200)


@permission_required(Permission.SET_PRICES)
@require_POST
def certificate_end(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a certificate count no longer."""
    found = get_object_or_404(TaxExemption.objects.select_related("customer", "tax"), pk=pk)
    if attempted(request, lambda: end_certificate(by=signed_in(request), exemption=found, entry_id=sent_id(request))):
        messages.success(request, f"The certificate {found.certificate} no longer counts.")
    return redirect("taxes:certificates", found.customer_id)
