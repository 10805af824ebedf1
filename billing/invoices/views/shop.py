"""What the shop's invoices rest on: terms, accounts, notices."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from billing.documents.actions import add_notice, change_notice
from billing.documents.examples import BY_KEY, EXAMPLES
from billing.documents.models import Notice
from billing.invoices.actions import change_billing, name_account
from billing.invoices.forms import AccountForm, BillingForm, NoticeForm
from billing.invoices.queries.books import accounts
from billing.invoices.queries.shop import billing_profile
from billing.invoices.views.finding import Act
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, accepted


@permission_required(Permission.MANAGE_SHOP)
def profile(request: HttpRequest) -> HttpResponse:
    """Terms, what the shop is, how to pay; with the notices and the accounts."""
    record = billing_profile()
    form = BillingForm(request.POST if request.method == "POST" else None, record=record)
    sending = Submission(request, form, record=record)

    def act() -> None:
        change_billing(
            by=signed_in(request),
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. Invoices that were made before stay as they are.")
        return redirect("invoices:shop")
    return sending.page("billing/invoices/shop.html", notices=Notice.objects.all(), accounts=accounts())


@permission_required(Permission.MANAGE_SHOP)
def account(request: HttpRequest) -> HttpResponse:
    """Say under which account of the books a kind of sum is kept."""
    known = {one.role: one for one in accounts()}
    asked = request.POST if request.method == "POST" else request.GET
    shown = known.get(asked.get("role", ""))
    if shown is None:
        return redirect("invoices:shop")
    initial = {"role": shown.role, "code": shown.code, "name": shown.name}
    form = AccountForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST":
        made = accepted(form, lambda: name_account(by=signed_in(request), **form.answers()))
        if made is not None:
            messages.success(request, f"“{shown.usual}” is kept under {made} now.")
            return redirect("invoices:shop")
    act = Act(
        title=shown.usual,
        lede="Under which account of the shop’s books this is kept. Journal lines bear it.",
        button="Save",
        back=reverse("invoices:shop"),
        eyebrow="Invoices of the shop",
    )
    context = {"act": act, "form": form}
    return render(request, "billing/invoices/act.html", context, status=422 if form.errors else 200)


@permission_required(Permission.MANAGE_SHOP)
def notice_add(request: HttpRequest) -> HttpResponse:
    """Print a notice on papers from now on."""
    example = BY_KEY.get(request.GET.get("example", ""))
    begun = {"title": example.title, "text": example.text, "citation": example.citation} if example else {}
    form = NoticeForm(request.POST if request.method == "POST" else None, initial={"position": 100, **begun})
    if request.method == "POST":
        made = accepted(form, lambda: add_notice(by=signed_in(request), **form.answers()))
        if made is not None:
            messages.success(request, f"“{made}” is printed from now on where you chose.")
            return redirect("invoices:shop")
    context = {"act": _notice_act("A notice on papers", "Add the notice"), "form": form, "examples": EXAMPLES}
    return render(request, "billing/invoices/notice_add.html", context, status=422 if form.errors else 200)


@permission_required(Permission.MANAGE_SHOP)
def notice(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a notice. Papers that were made before keep what they said."""
    record = get_object_or_404(Notice, pk=pk)
    form = NoticeForm(request.POST if request.method == "POST" else None, record=record)
    sending = Submission(request, form, record=record)

    def act() -> None:
        change_notice(
            by=signed_in(request),
            notice=record,
            seen_version=form.version,
            changes=form.changes(),
            entry_id=form.cleaned_data["entry_id"],
        )

    if sending.save(act):
        messages.success(request, "Saved. Papers that were made before keep what they said.")
        return redirect("invoices:shop")
    return sending.page("billing/invoices/act.html", act=_notice_act("Change a notice", "Save"))


def _notice_act(title: str, button: str) -> Act:
    return Act(
        title=title,
        lede="Garboard knows no law: the notice is the shop’s, and local law decides what has to stand on its papers.",
        button=button,
        back=reverse("invoices:shop"),
        eyebrow="Invoices of the shop",
    )
