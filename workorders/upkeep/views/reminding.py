"""The list of owners to call or write to about service due."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib import messages
from django.db.models import Max
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from staff.models import ShopProfile
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Customer, Vessel
from web.pager import asked_page
from web.submission import attempted
from web.tables import in_zone, streamed_table
from web.typed import sent_id, whole_number
from workorders.upkeep.actions import note_reminder, note_reminder_wish
from workorders.upkeep.forms.reminding import ThenForm, UntilForm
from workorders.upkeep.letters.writing import COMING, mail_address, mail_text, record_of, subject_of
from workorders.upkeep.models import Reminder
from workorders.upkeep.queries.calling import (
    ToRemind,
    everybody_to_remind,
    owners_to_remind,
    to_remind_as_of,
    to_remind_for,
)
from workorders.upkeep.wording import day_words_of, head_words, last_words, reasons

PAGE = 15
KEYS = 18


@permission_required(Permission.SEE_RECORDS)
def reminders(request: HttpRequest) -> HttpResponse:
    """Who to call or write, with what is due and when they were last reminded."""
    then = ThenForm(request.GET, auto_id="filter_%s")
    if (day := then.day()) is not None:
        found = to_remind_as_of(day)
        context = {"then": then, "day": day, "today": timezone.localdate(), "found": found}
        return render(request, "workorders/upkeep/reminders_then.html", context)
    form = UntilForm(request.GET, auto_id="filter_%s")
    until = form.day()
    owners = owners_to_remind(until)
    page = asked_page(owners.first, "place", request, size=PAGE)
    kept = {"until": until.isoformat()} if until else {}
    shop: ShopProfile = request.shop  # type: ignore[attr-defined]
    today = timezone.localdate()

    shown: dict[str, Any] = {
        "form": form,
        "then": then,
        "today": today,
        "until": until,
        "found": [_shown(one, shop, today=today, until=until) for one in to_remind_for(page.rows, until)],
        "count": owners.count() if page.rows else 0,
        "unwilling": sorted(owners.unwilling.values(), key=lambda wish: wish.customer.name.lower()),
        "seen": Reminder.objects.aggregate(last=Max("pk"))["last"] or 0,
        "ways": Reminder.WAYS,
        "may_note": signed_in(request).may(Permission.REMIND_OWNERS),
        "kept": urlencode(kept),
        "letters_id": uuid4(),
        **page.addresses(request.path, kept),
    }
    return render(request, "workorders/upkeep/reminders.html", shown)


def _shown(one: ToRemind, shop: ShopProfile, *, today: date, until: date | None) -> dict[str, Any]:
    record = record_of(one, shop, today=today, until=until)
    return {
        "one": one,
        "subject": subject_of(record),
        "mail": mail_text(record),
        "emails": [(email, mail_address(record, email.address)) for email in one.emails],
        "entry_id": uuid4(),
    }


HEADINGS = (
    "owner", "contact", "phones", "mails", "address", "boat", "engine", "service", "stands", "nearest day", "why",
    "last time", "interval", "last reminded on", "how", "by", "as of", "due until",
)  # fmt: skip


@permission_required(Permission.SEE_RECORDS)
def reminders_csv(request: HttpRequest) -> HttpResponseBase:
    """The same as a table to keep, a row for each service and for what is told besides; or as it stood on a day.

    Of a day that has passed it leaves out why, as the page does: the reasons are in words of the day itself.
    """
    if (then := ThenForm(request.GET).day()) is not None:
        stood = ([*row, then.isoformat(), ""] for one in to_remind_as_of(then) for row in _rows(one, says_why=False))
        name = f"reminders-{then.isoformat()}.csv"
        return streamed_table(name, HEADINGS, in_zone(stood, timezone.get_current_timezone()))
    until = UntilForm(request.GET).day()
    today = timezone.localdate()
    days = [today.isoformat(), until.isoformat() if until else ""]
    rows = ([*row, *days] for one in everybody_to_remind(until) for row in _rows(one))
    return streamed_table("reminders.csv", HEADINGS, in_zone(rows, timezone.get_current_timezone()))


def _rows(one: ToRemind, *, says_why: bool = True) -> list[list[str]]:
    owner = one.owner
    reach = [
        owner.name,
        owner.contact,
        ", ".join(str(phone) for phone in one.phones),
        ", ".join(str(email) for email in one.emails),
        owner.address,
    ]
    made = []
    for boat in one.boats:
        last = boat.last
        reminded = ["", "", ""]
        if last is not None:
            reminded = [timezone.localdate(last.at).isoformat(), last.get_way_display(), str(last.by)]
        for due in [*boat.due, *boat.not_known]:
            asked = due in boat.due and not due.is_asked_for and head_words(due) == "Not due"
            made.append(
                [
                    *reach,
                    boat.vessel,
                    due.followed.engine,
                    due.followed.plan,
                    COMING if asked else head_words(due),
                    day_words_of(due),
                    " ".join(reasons(due)) if says_why else "",
                    last_words(due),
                    due.followed.interval_words,
                    *reminded,
                ]
            )
        for title, sentences in boat.besides:
            made += [[*reach, boat.vessel, "", "", title, "", one, "", "", *reminded] for one in sentences]
    return made


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """Note that an owner was reminded of the boats that the page showed."""
    customer = get_object_or_404(Customer, pk=pk)
    form = UntilForm(request.POST)
    keys = [key for key in (whole_number(text, digits=KEYS) for text in request.POST.getlist("vessel")) if key]

    def act() -> None:
        note_reminder(
            by=signed_in(request),
            customer=customer,
            vessels=list(Vessel.objects.filter(pk__in=keys).order_by("pk")),
            way=request.POST.get("way", ""),
            remark=request.POST.get("remark", "").replace("\0", ""),
            until=form.day(),
            last_seen=whole_number(request.POST.get("seen", ""), digits=KEYS),
            entry_id=sent_id(request),
        )

    if attempted(request, act):
        messages.success(request, f"Noted: {customer} was reminded.")
    return redirect(list_address(form))


def list_address(form: UntilForm) -> str:
    """The list, for the same day."""
    until = form.day()
    return reverse("upkeep:reminders") + (f"?until={until.isoformat()}" if until else "")


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def wish(request: HttpRequest, pk: int) -> HttpResponse:
    """Note whether a customer wants reminders."""
    customer = get_object_or_404(Customer, pk=pk)
    wants = request.POST.get("wants") == "yes"

    def act() -> None:
        note_reminder_wish(
            by=signed_in(request),
            customer=customer,
            wants=wants,
            remark=request.POST.get("remark", "").replace("\0", ""),
            entry_id=sent_id(request),
        )

    if attempted(request, act):
        messages.success(request, f"Noted: {customer} wants {'reminders' if wants else 'no reminders'}.")
    return redirect("vessels:customer", customer.pk)
