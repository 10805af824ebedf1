"""The day book, and the journal for any bookkeeping."""

from __future__ import annotations

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from billing.invoices.forms import DaysForm
from billing.invoices.queries.books import accounts, day_book, journal_entries, means_sums
from billing.invoices.tables import journal_table
from staff.policy import Permission, permission_required
from vessels.wording import date_words
from web.typed import day_asked

LONGEST = timedelta(days=370)


@permission_required(Permission.SEE_MONEY)
def book(request: HttpRequest) -> HttpResponse:
    """What came in and went out, day by day and by means of payment; this month where the address says nothing."""
    first, last, not_taken = _days(request)
    days = day_book(first, last)
    context = {
        "form": DaysForm(initial={"first": first, "last": last}, auto_id="filter_%s"),
        "days": days,
        "sums": means_sums(days),
        "total": sum((day.total for day in days), 0),
        "first": first,
        "last": last,
        "not_taken": not_taken,
    }
    return render(request, "billing/invoices/day_book.html", context)


@permission_required(Permission.SEE_MONEY)
@require_safe
def journal_csv(request: HttpRequest) -> HttpResponseBase:
    """Journal lines of the same days, as a table for any bookkeeping."""
    first, last, not_taken = _days(request)
    if not_taken:  # a file of other days than those asked for would be taken for them
        return redirect(f"{reverse('invoices:day_book')}?{request.GET.urlencode()}")
    known = {account.role: account for account in accounts()}
    return journal_table(f"journal-{first}-{last}.csv", journal_entries(first, last), known)


def _days(request: HttpRequest) -> tuple[date, date, str]:
    """The days that an address asks for; this month where it asks for none that can be, with why."""
    today = timezone.localdate()
    asked = {name: request.GET.get(name, "").strip() for name in ("first", "last")}
    (first, first_unread), (last, last_unread) = (day_asked(text) for text in asked.values())
    month = (today.replace(day=1), today)
    if unread := first_unread or last_unread:
        return *month, unread
    first, last = first or min(month[0], last or today), last or max(today, first or today)
    if first > last:
        return *month, f"{date_words(first)} is after {date_words(last)}."
    if last - first > LONGEST:
        return *month, f"{date_words(first)} to {date_words(last)} is longer than {LONGEST.days} days."
    return first, last, ""
