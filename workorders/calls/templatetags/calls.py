"""What a row of the call list says, put together in Python: by a template it took a third of the page's time."""

from __future__ import annotations

from django import template
from django.utils.dateformat import format as in_pattern
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled, joined
from workorders.calls.listing import Row
from workorders.models import Job
from workorders.money import money_words

register = template.Library()
BREAK = filled("<br>")
NO_PHONE = filled(' · <span class="soft">no phone on record</span>')


@register.simple_tag
def call_words(row: Row, currency: str, sees_prices: bool) -> SafeString:
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
        job.get_state_display(),
        joined(filled("{}<span>{}</span>", BREAK if at else NOTHING, ask.words) for at, ask in enumerate(row.asks)),
        _last(row),
        _rest(row),
    )


def _phones(job: Job) -> SafeString:
    phones = [(phone.to_call, phone) for phone in job.customer.phones.all()]
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
