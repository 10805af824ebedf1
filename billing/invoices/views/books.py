"""The day book, and the journal for any bookkeeping."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_safe

from billing.invoices.forms import DaysForm
from billing.invoices.queries.books import accounts, day_book, journal_entries, means_sums
from billing.invoices.tables import journal_table
from staff.policy import Permission, permission_required

LONGEST = timedelta(days=370)


@permission_required(Permission.SEE_MONEY)
def book(request: HttpRequest) -> HttpResponse:
    """What came in and went out, day by day and by means of payment; this month where the address says nothing."""
    first, last = _days(request)
    days = day_book(first, last)
    context = {
        "form": DaysForm(initial={"first": first, "last": last}, auto_id="filter_%s"),
        "days": days,
        "sums": means_sums(days),
        "total": sum((day.total for day in days), 0),
        "first": first,
        "last": last,
    }
    return render(request, "billing/invoices/day_book.html", context)


@permission_required(Permission.SEE_MONEY)
@require_safe
def journal_csv(request: HttpRequest) -> HttpResponseBase:
    """Journal lines of the same days, as a table for any bookkeeping."""
    first, last = _days(request)
    known = {account.role: account for account in accounts()}
    return journal_table(f"journal-{first}-{last}.csv", journal_entries(first, last), known)


def _days(request: HttpRequest) -> tuple[date, date]:
    """The days that an address asks for; this month where it asks for none that can be."""
    today = timezone.localdate()
    first, last = (_day(request.GET.get(name, "")) for name in ("first", "last"))
    first, last = first or today.replace(day=1), last or today
    return (first, last) if first <= last <= first + LONGEST else (today.replace(day=1), today)


def _day(text: str) -> date | None:
    try:
        found = parse_date(text)
    except ValueError:
        return None
    return found if found is not None and 1900 <= found.year <= 2999 else None
