"""Pages of customers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.actions import add_customer, change_customer
from vessels.customer_sections import shown_sections
from vessels.forms import ContactForms, CustomerForm, NewCustomerForm
from vessels.models import Customer
from vessels.queries.lists import BY_NAME, customer_list
from web.pager import asked_page
from web.submission import Submission
from web.typed import sent_id


@permission_required(Permission.SEE_RECORDS)
def customers(request: HttpRequest) -> HttpResponse:
    """All customers, by name."""
    text = request.GET.get("q", "")[:100]
    page = asked_page(customer_list(text=text), BY_NAME, request)
    context = {"customers": page.rows, "text": text, **page.addresses(request.path, {"q": text})}
    return render(request, "vessels/customers.html", context)


@permission_required(Permission.SEE_RECORDS)
def customer(request: HttpRequest, pk: int) -> HttpResponse:
    """A customer: how to reach them, their boats now and before."""
    person = get_object_or_404(Customer.objects.prefetch_related("phones", "emails"), pk=pk)
    context = {
        "customer": person,
        "boats": person.vessels.prefetch_related("engines"),
        "sections": shown_sections(request, person),
        "former": person.ownerships.filter(until__isnull=False).select_related("vessel"),
    }
    return render(request, "vessels/customer.html", context)


@permission_required(Permission.EDIT_RECORDS)
def customer_add(request: HttpRequest) -> HttpResponse:
    """Add a customer; one who may be here already is noticed."""
    data = request.POST if request.method == "POST" else None
    form = NewCustomerForm(data, initial={"name": request.GET.get("name", "")[:120]})
    contacts = ContactForms(data)
    sending = Submission(request, form)
    added: list[Customer] = []

    def act() -> None:
        added.append(add_customer(by=signed_in(request), **{**form.answers(), **contacts.answers()}))

    is_valid = data is not None and all([form.is_valid(), contacts.is_valid()])
    if is_valid:
        form.find_twins(contacts.numbers())
        is_valid = not form.errors
    if sending.save(act, is_valid=is_valid):
        if request.GET.get("then") == "vessel":
            messages.success(request, f"{added[0]} is added. Now the boat.")
            return redirect(f"{reverse('vessels:vessel-add')}?owner={added[0].pk}")
        messages.success(request, f"{added[0]} is added.")
        return redirect("vessels:customer", added[0].pk)
    return sending.page("vessels/customer_add.html", contacts=contacts)


@permission_required(Permission.EDIT_RECORDS)
def customer_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a customer."""
    person = get_object_or_404(Customer, pk=pk)
    data = request.POST if request.method == "POST" else None
    form = CustomerForm(data, record=person)
    contacts = ContactForms(data, customer=person)
    sending = Submission(request, form, record=person)

    def act() -> None:
        change_customer(
            by=signed_in(request),
            customer=person,
            seen_version=form.cleaned_data.get("seen_version") or 0,
            changes=form.changes(),
            entry_id=sent_id(request),
            **contacts.answers(),
        )

    if sending.save(act, is_valid=data is not None and all([form.is_valid(), contacts.is_valid()])):
        messages.success(request, "Saved.")
        return redirect("vessels:customer", person.pk)
    return sending.page("vessels/customer_change.html", contacts=contacts, customer=person)
