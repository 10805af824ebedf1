"""Rows of the list of jobs, put together in Python: drawing them by a template took half of the page's time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal

from django.template.defaultfilters import truncatechars
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from vessels.wording import date_words
from web.addresses import address_of
from web.markup import NOTHING, filled, joined
from workorders.models import Job
from workorders.money import money_words
from workorders.templatetags.jobs import state_css_class

LONGEST_CONCERN = 60
NONE = filled('<span class="soft">—</span>')
NOBODY = filled('<span class="soft">not assigned</span>')
OVERDUE = filled('<small><b class="tag tag-signal">overdue</b></small>')


def drawn_jobs(jobs: Iterable[Job], sums: Mapping[int, Decimal] | None, currency: str) -> SafeString:
    """A row of the table for each job, as ``workorders.queries.jobs.with_people`` reads it.

    ``sums`` are those with tax, by the keys of jobs; None where the reader sees no prices.
    """
    return joined(_row(job, _money(job, sums, currency)) for job in jobs)


def _row(job: Job, money: SafeString) -> SafeString:
    more = job.line_count - 1  # type: ignore[attr-defined]
    concern = truncatechars(job.first_concern or "", LONGEST_CONCERN)  # type: ignore[attr-defined]
    return filled(
        """
            <tr>
              <th scope="row"><a class="code" href="{}">{}</a></th>
              <td data-label="Boat">{}</td>
              <td data-label="Customer">{}</td>
              <td data-label="Concern">{}{}</td>
              <td data-label="State"><span class="tag {}">{}</span></td>
              <td data-label="Technician">{}</td>
              <td data-label="Opened" class="day">{}</td>
              <td data-label="Promised" class="day">{}{}</td>
              <td data-label="Ended" class="day">{}</td>
              {}
            </tr>""",
        address_of("workorders:job", job.number),
        job.number,
        job.vessel,
        job.customer,
        concern,
        filled("<small>and {} more</small>", more) if more > 0 else NOTHING,
        state_css_class(job.state),
        job.get_state_display(),
        job.technician or NOBODY,
        _day(job.opened_at),
        date_words(job.promised_on) if job.promised_on else NONE,
        OVERDUE if job.is_overdue else NOTHING,
        _day(job.closed_at),
        money,
    )


def _day(moment: datetime | None) -> str:
    """Its day in the shop's zone."""
    return date_words(localtime(moment)) if moment else NONE


def _money(job: Job, sums: Mapping[int, Decimal] | None, currency: str) -> SafeString:
    """The column of sums, where there is one."""
    if sums is None:
        return NOTHING
    summed = sums.get(job.pk)
    words = "" if summed is None else money_words(summed, currency)
    return filled('<td data-label="With tax" class="money">{}</td>', words)
