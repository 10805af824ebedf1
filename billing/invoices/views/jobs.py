"""A job's money: what is invoiced, what is left, what was deposited."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from billing.invoices.actions import make_invoice, receive_deposit
from billing.invoices.actions.invoicing import refuse_canceled
from billing.invoices.forms import MakeForm, PaymentForm
from billing.invoices.pricing import priced
from billing.invoices.queries.balances import held_for
from billing.invoices.queries.jobs import charges_to_invoice, job_money
from billing.invoices.views.finding import Act, act_page
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.moment import at_one_moment
from web.submission import accepted, attempted
from web.typed import whole_number
from workorders.actions.checking import refuse_ended
from workorders.frames import job_frame, job_or_404
from workorders.models import Charge, Job
from workorders.money import money_words
from workorders.reckoning import CapPer, Reckoning, Tax
from workorders.states import JobState


@permission_required(Permission.SEE_MONEY)
@at_one_moment
def job(request: HttpRequest, number: int) -> HttpResponse:
    """The tab of a job."""
    found, person = job_or_404(number), signed_in(request)
    currency = request.shop.currency  # type: ignore[attr-defined]
    money = job_money(found, currency)
    left = priced(found, money.left, currency=currency).sums if money.left else None
    context = {
        "frame": job_frame(person, found, "invoices:job"),
        "job": found,
        "money": money,
        "left": left,
        "capped": capped_each(left) if left is not None else [],
        "may_invoice": found.state != JobState.CANCELED and person.may(Permission.MAKE_INVOICES),
        "may_take": person.may(Permission.TAKE_MONEY),
        "held": held_for(found.customer, currency),
        "today": timezone.localdate(),
    }
    return render(request, "billing/invoices/job.html", context)


def capped_each(sums: Reckoning) -> list[Tax]:
    """Taxes that are due on no more than a sum of each invoice, and that the customer owes."""
    every = [due for due in sums.taxes if not due.is_exempt]
    return [due.tax for due in every if due.tax.cap is not None and due.tax.cap_per is CapPer.DOCUMENT]


@permission_required(Permission.MAKE_INVOICES)
@at_one_moment
def make(request: HttpRequest, number: int) -> HttpResponse:
    """Look at what an invoice would say, and make it. Over which charges is in the address."""
    found = job_or_404(number)
    if request.method != "POST" and not attempted(request, lambda: refuse_canceled(found)):
        return redirect("invoices:job", number)
    currency = request.shop.currency  # type: ignore[attr-defined]
    left = charges_to_invoice(found)
    chosen = _chosen(request, left)
    worth, money = priced(found, chosen, currency=currency), job_money(found, currency)
    every = Charge.objects.filter(job=found, struck_at=None)
    form = MakeForm(request.POST if request.method == "POST" else None, charges=every)
    if request.method == "POST":
        made = accepted(form, lambda: make_invoice(by=signed_in(request), job=found, **form.answers()))
        if made is not None:
            messages.success(request, f"Invoice {made} is made. It cannot be changed; what is wrong in it is credited.")
            return redirect("invoices:invoice", made.pk)
    context = {
        "job": found,
        "form": form,
        "left": left,
        "chosen": {charge.pk for charge in chosen},
        "rows": list(zip(chosen, worth.sums.items, strict=True)),
        "worth": worth,
        "money": money,
        "taken": min(money.held, worth.sums.total),
    }
    return render(request, "billing/invoices/make.html", context, status=422 if form.errors else 200)


def _chosen(request: HttpRequest, left: list[Charge]) -> list[Charge]:
    """The charges that the address, or the form, names; all that is left where it names none."""
    asked = request.POST if request.method == "POST" else request.GET
    keys = {whole_number(text) for text in asked.getlist("charges")}
    return [charge for charge in left if charge.pk in keys] if keys - {None} else left


@permission_required(Permission.TAKE_MONEY)
def deposit(request: HttpRequest, number: int) -> HttpResponse:
    """Note money that was received for a job before its invoice."""
    found: Job = job_or_404(number)
    if request.method != "POST" and not attempted(request, lambda: refuse_ended(found)):
        return redirect("invoices:job", number)
    currency = request.shop.currency  # type: ignore[attr-defined]
    form = PaymentForm(request.POST if request.method == "POST" else None, currency=currency)
    act = Act(
        title="Note a deposit",
        lede="Money that was received before the invoice. It is held for this job and taken into its invoice.",
        button="Note the deposit",
        back=reverse("invoices:job", args=[number]),
        eyebrow=f"Job {number} · {found.vessel}",
    )

    def do(answers: dict[str, object]) -> str:
        made = receive_deposit(by=signed_in(request), job=found, **answers)  # type: ignore[arg-type]
        return f"{money_words(made.amount, currency)} is held for job {number}."

    return act_page(request, act, form, do)
