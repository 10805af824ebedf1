"""Calendar feeds: one's own on a page, and what other programs fetch."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.utils.http import http_date, quote_etag
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from staff.doors.client import counted_address
from staff.doors.limits import Limit
from staff.policy import Permission, permission_required
from staff.requests import signed_in
from web.submission import Submission, attempted
from web.typed import sent_id
from workorders.calendar.actions import add_feed, digest_of_key, new_key, renew_feed, revoke_feed
from workorders.calendar.forms import FeedForm
from workorders.calendar.models import CalendarFeed
from workorders.calendar.queries import answer_of, feed_at
from workorders.calendar.sources import choices

FETCHES = Limit("calendar-fetches", 120, 3600)
MISSES = Limit("calendar-misses", 20, 600)
COOKIE, SHOWN_SECONDS = "feed-address", 120


@permission_required(Permission.SEE_RECORDS)
def feeds(request: HttpRequest) -> HttpResponse:
    """One's own feeds, and those of others where one may revoke them."""
    person = signed_in(request)
    known = CalendarFeed.objects.filter(revoked_at=None).select_related("person").order_by("person__name", "name", "pk")
    own = [_shown(feed) for feed in known.filter(person=person)]
    others = [_shown(feed) for feed in known.exclude(person=person)] if person.may(Permission.REVOKE_FEEDS) else []
    return render(request, "workorders/calendar/feeds.html", {"own": own, "others": others})


def _shown(feed: CalendarFeed) -> dict[str, Any]:
    return {"feed": feed, "has": [title for key, title in choices() if key in feed.sources]}


@permission_required(Permission.SEE_RECORDS)
def add(request: HttpRequest) -> HttpResponse:
    """Make a feed; its address is shown right after."""
    form = FeedForm(request.POST if request.method == "POST" else None)
    sending, key, made = Submission(request, form), new_key(), []

    def act() -> None:
        made.append(add_feed(by=signed_in(request), key=key, entry_id=sent_id(request), **form.cleaned_data))

    if sending.save(act):
        return _to_address(made[0], key)
    return sending.page("workorders/calendar/add.html")


@require_POST
@permission_required(Permission.SEE_RECORDS)
def renew(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a feed a new address, which is shown right after."""
    feed, key, made = get_object_or_404(CalendarFeed, pk=pk), new_key(), []
    if attempted(
        request,
        lambda: made.append(renew_feed(by=signed_in(request), feed=feed, key=key, entry_id=sent_id(request))),
    ):
        return _to_address(made[0], key)
    return redirect("calendar:feeds")


def _to_address(feed: CalendarFeed, key: str) -> HttpResponse:
    """On to the page that shows the address; the secret goes along in the browser alone, signed, for two minutes."""
    path = reverse("calendar:address", args=[feed.pk])
    response = redirect(path)
    if feed.key_sha256 == digest_of_key(key):
        response.set_signed_cookie(
            COOKIE, key, max_age=SHOWN_SECONDS, path=path, httponly=True, samesite="Lax",
            secure=settings.SESSION_COOKIE_SECURE,
        )  # fmt: skip
    return response


@never_cache
@permission_required(Permission.SEE_RECORDS)
def address(request: HttpRequest, pk: int) -> HttpResponse:
    """The address of a feed that was just made or made new; afterwards nobody can tell it."""
    feed = get_object_or_404(CalendarFeed, pk=pk, person=signed_in(request), revoked_at=None)
    key = request.get_signed_cookie(COOKIE, default="", max_age=SHOWN_SECONDS) or ""
    shown = f"{settings.PUBLIC_URL}{reverse('calendar:feed', args=[key])}" if key else ""
    known = shown if feed.key_sha256 == digest_of_key(key) else ""
    return render(request, "workorders/calendar/address.html", {"feed": feed, "address": known})


@require_POST
@permission_required(Permission.SEE_RECORDS)
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Revoke a feed."""
    feed = get_object_or_404(CalendarFeed, pk=pk)
    if attempted(request, lambda: revoke_feed(by=signed_in(request), feed=feed, entry_id=sent_id(request))):
        messages.success(request, f"“{feed}” is revoked. Its address answers no more.")
    return redirect("calendar:feeds")


@login_not_required
@require_safe
def feed(request: HttpRequest, key: str) -> HttpResponseBase:
    """The calendar at a secret address. A wrong one is not there; who asks too often is told to wait."""
    known = feed_at(key)
    if known is None:
        wrong = MISSES.take(counted_address(request))
        return _said("There is no calendar here.\n", 404) if wrong else _wait(600)
    if not FETCHES.take(str(known.pk)):
        return _wait(3600)
    answer = answer_of(known, request.shop)  # type: ignore[attr-defined]
    response = StreamingHttpResponse(answer.written.pieces(), content_type="text/calendar; charset=utf-8")
    response["Content-Disposition"] = 'inline; filename="calendar.ics"'
    response["Cache-Control"] = "private, no-cache"
    response["X-Robots-Tag"] = "noindex"
    changed = int(answer.changed_at.timestamp())
    response["ETag"] = quote_etag(answer.etag)
    response["Last-Modified"] = http_date(changed)
    of_headers: Any = response  # of which only the headers are looked at
    known_already = get_conditional_response(request, answer.etag, changed, of_headers)
    return known_already or response


def _said(words: str, status: int) -> HttpResponse:
    return HttpResponse(words, status=status, content_type="text/plain; charset=utf-8")


def _wait(seconds: int) -> HttpResponse:
    response = _said("Too many requests. Try again later.\n", 429)
    response["Retry-After"] = str(seconds)
    return response
