"""Letters about service due: written from the list of owners, drawn, and noted as sent."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import BadRequest
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from commands.refusals import Refused
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from vessels.models import Customer
from web.submission import attempted
from web.typed import sent_id, whole_number
from workorders.upkeep.actions import discard_letter, draw_letter_again, note_letters_sent, write_letters
from workorders.upkeep.forms.reminding import UntilForm
from workorders.upkeep.letters.drawing import pdf_of
from workorders.upkeep.letters.writing import from_text
from workorders.upkeep.models import Reminder, ReminderLetter
from workorders.upkeep.queries.calling import unwilling
from workorders.upkeep.views.reminding import KEYS, list_address

PAGE = 40


@permission_required(Permission.REMIND_OWNERS)
def letters(request: HttpRequest) -> HttpResponse:
    """Letters that wait to be sent, then those that were."""
    everything = ReminderLetter.objects.select_related("customer", "written_by", "sent_by", "discarded_by")
    waiting = list(everything.filter(sent_at=None, discarded_at=None))
    ended = everything.exclude(sent_at=None, discarded_at=None)
    page = max(1, whole_number(request.GET.get("page", ""), digits=5) or 1)
    rows = list(ended[(page - 1) * PAGE : page * PAGE + 1])
    since = _reminded_since(waiting)
    left_alone = unwilling()
    context: dict[str, Any] = {
        "waiting": [
            {
                "letter": letter,
                "boats": _boats(letter),
                "since": since.get(letter.customer_id),
                "wish": left_alone.get(letter.customer_id),
            }
            for letter in waiting
        ],
        "is_drawing": any(not letter.pdf_sha256 and not letter.problem for letter in waiting),
        "may_send": any(letter.pdf_sha256 for letter in waiting),
        "ended": [{"letter": letter, "boats": _boats(letter)} for letter in rows[:PAGE]],
        "previous_url": f"{request.path}?page={page - 1}" if page > 1 else "",
        "next_url": f"{request.path}?page={page + 1}" if len(rows) > PAGE else "",
    }
    return render(request, "workorders/upkeep/letters.html", context)


def _boats(letter: ReminderLetter) -> str:
    return ", ".join(boat["name"] for boat in from_text(letter.record)["boats"])


def _reminded_since(waiting: list[ReminderLetter]) -> dict[int, Reminder]:
    """Who was reminded after the letter to them was written: one query."""
    written = {letter.customer_id: letter.written_at for letter in waiting}
    found = Reminder.objects.filter(customer__in=written).select_related("by").order_by("at", "pk")
    if written:
        found = found.filter(at__gt=min(written.values()))
    return {one.customer_id: one for one in found if one.at > written[one.customer_id]}


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def write(request: HttpRequest) -> HttpResponse:
    """Write the letters to the owners that were ticked."""
    form = UntilForm(request.POST)

    def act() -> None:
        write_letters(
            by=signed_in(request),
            customers=list(Customer.objects.filter(pk__in=_keys(request, "customer")).order_by("pk")),
            until=form.day(),
            last_seen=whole_number(request.POST.get("seen", ""), digits=KEYS),
            entry_id=sent_id(request),
        )

    if not attempted(request, act):
        return redirect(list_address(form))
    messages.success(request, "Written. Print the letters, send them, then note here that they were sent.")
    return redirect("upkeep:letters")


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def sent(request: HttpRequest) -> HttpResponse:
    """Note that the ticked letters were sent."""
    chosen = list(ReminderLetter.objects.filter(pk__in=_keys(request, "letter")).order_by("pk"))

    def act() -> None:
        note_letters_sent(by=signed_in(request), letters=chosen, entry_id=sent_id(request))

    if attempted(request, act):
        messages.success(request, "Noted as sent: their owners count as reminded.")
    return redirect("upkeep:letters")


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def discard(request: HttpRequest, pk: int) -> HttpResponse:
    """Discard a letter."""
    letter = get_object_or_404(ReminderLetter, pk=pk)
    if attempted(request, lambda: discard_letter(by=signed_in(request), letter=letter, entry_id=sent_id(request))):
        messages.success(request, "The letter is discarded. It counts as no reminder.")
    return redirect("upkeep:letters")


@require_POST
@permission_required(Permission.REMIND_OWNERS)
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw a letter again."""
    letter = get_object_or_404(ReminderLetter, pk=pk)
    attempted(request, lambda: draw_letter_again(by=signed_in(request), letter=letter, entry_id=sent_id(request)))
    return redirect("upkeep:letters")


@permission_required(Permission.REMIND_OWNERS)
def pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The letter as it was drawn."""
    letter = get_object_or_404(ReminderLetter.objects.exclude(pdf_sha256="").select_related("customer"), pk=pk)
    try:
        data = pdf_of(letter)
    except Refused as refusal:
        messages.error(request, refusal.sentence)
        return redirect("upkeep:letters")
    return HttpResponse(
        data,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="reminder-{letter.pk}.pdf"'},
    )


def _keys(request: HttpRequest, name: str) -> list[int]:
    keys = [whole_number(text, digits=KEYS) for text in request.POST.getlist(name)]
    if None in keys:
        raise BadRequest("no such key")
    return [key for key in keys if key is not None]
