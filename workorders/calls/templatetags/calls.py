"""Rows of the call list, put together in Python: by a template they took a third of the page's time."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any
from uuid import uuid4

from django import template
from django.utils.dateformat import format as in_pattern
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled, joined
from workorders.calls.listing import CalledAbout, Row
from workorders.money import money_words
from workorders.templatetags.jobs import state_words

register = template.Library()
BREAK = filled("<br>")
NO_PHONE = filled(' · <span class="soft">no phone on record</span>')


@register.simple_tag(takes_context=True)
def call_rows(context: dict[str, Any], rows: Iterable[Row]) -> SafeString:
    """A row for each job to call about: what is asked, and where a call may be noted, the form for it."""
    currency, sees_prices = context["shop"].currency, bool(context["sees_prices"])
    token, back = str(context["csrf_token"]), str(context["back"])
    return joined(
        filled(
            '<li><div class="row">\n<span class="row-main">{}</span>\n{}</div></li>',
            _words(row, currency, sees_prices=sees_prices),
            _form(row.job, token, back) if context["may_note"] else NOTHING,
        )
        for row in rows
    )


def _words(row: Row, currency: str, *, sees_prices: bool) -> SafeString:
    """Who is called and where, the sums for those who see prices, the job, the questions, and the last call."""
    job = row.job
    return filled(
        """
        <span class="row-head"><span><b class="row-title">{}</b>{}</span>{}</span>
        <small><a href="{}"><span class="code">{}</span> {}</a> · {}</small>
        {}
        {}
        {}
        """,
        job.customer,
        _phones(job),
        _sums(row, currency) if sees_prices else NOTHING,
        address_of("workorders:job", job.number),
        job.number,
        job.vessel,
        state_words(job.state),
        joined(filled("{}<span>{}</span>", BREAK if at else NOTHING, ask.words) for at, ask in enumerate(row.asks)),
        _last(row),
        _rest(row),
    )


def _form(job: CalledAbout, token: str, back: str) -> SafeString:
    number = job.number
    return filled(
        """<details class="more row-do"><summary>Note a call<span class="visually-hidden"> about job {0}</span></summary>
          <form class="filter" method="post" action="{1}" data-once>
            <input type="hidden" name="csrfmiddlewaretoken" value="{2}"><input type="hidden" name="entry_id" value="{3}" data-entry-id><input type="hidden" name="back" value="{4}">
            <div class="field"><label for="who-{0}">Who was called</label><input id="who-{0}" name="who" maxlength="80" value="{5}" autocomplete="off"></div>
            <div class="field"><label for="said-{0}">What was said</label><input id="said-{0}" name="said" maxlength="500" autocomplete="off"></div>
            <div class="field"><label for="again-{0}">Call again on</label><input id="again-{0}" name="again_on" type="date"></div>
            <button class="btn" type="submit" data-busy-label="Noting…">Note it</button>
          </form>
        </details>""",  # noqa: E501  (markup)
        number,
        address_of("calls:note", number),
        token,
        uuid4(),
        back,
        job.contact or job.customer,
    )


def _phones(job: CalledAbout) -> SafeString:
    phones = job.phones
    return each_filled(' · <a class="call whole" href="tel:{}">{}</a>', phones) if phones else NO_PHONE


def _sums(row: Row, currency: str) -> SafeString:
    return each_filled(
        '<span class="whole"><span class="money">{}</span> <span class="soft">{}</span></span>',
        [(money_words(summed, currency), what) for what, summed in row.sums],
    )


def _last(row: Row) -> SafeString:
    if row.last is None:
        return NOTHING
    at = in_pattern(localtime(row.last.at), "D, M j, g:i A")
    return filled(
        '<small>Last: {}, {} called {}: <span class="written">“{}”</span></small>',
        at,
        row.last.by,
        row.last.who,
        row.last.said,
    )


def _rest(row: Row) -> SafeString:
    if not row.rests_until or row.last is None:
        return NOTHING
    again = row.last.again_on
    words = f"Call again on {in_pattern(again, 'D, M j')}" if again else "Called today"
    return filled("<small>{}</small>", words)
