"""Rows of the list of jobs and tiles of the board, put together in Python: by a template they took half of the time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal

from django.template.defaultfilters import truncatechars
from django.utils.safestring import SafeString
from django.utils.timezone import localtime

from vessels.wording import date_words, short_day_words
from web.addresses import address_of
from web.markup import NOTHING, filled, joined
from workorders.models import Job
from workorders.money import money_words
from workorders.queries.board import Column, Tile
from workorders.templatetags.jobs import state_css_class, state_words
from workorders.waiting import Wait

LONGEST_CONCERN, LONGEST_ON_TILE = 60, 90
NONE = filled('<span class="soft">—</span>')
NOBODY = filled('<span class="soft">not assigned</span>')
LATE, IS_LATE = filled(' class="tag tag-signal"'), filled(' class="is-late"')
OVERDUE = filled('<small><b class="tag tag-signal">overdue</b></small>')


def drawn_tiles(column: Column) -> SafeString:
    """A tile for each job of a column of the board."""
    is_waiting = column.slug == "waiting"
    return joined(_tile(job, _waits(job, column.waits.get(job.pk)) if is_waiting else NOTHING) for job in column.jobs)


def _tile(job: Tile, waits: SafeString) -> SafeString:
    return filled(
        """
                  <li>
                    <a class="tile{}" href="{}">
                      <span class="tile-head"><b class="code">{}</b>{}</span>
                      <span class="tile-boat">{}</span>
                      <small class="tile-words">{}{}</small>
                      {}
                      <small class="tile-foot"><span>{}</span><span>{}</span></small>
                    </a>
                  </li>""",
        " is-overdue" if job.is_overdue else "",
        address_of("workorders:job", job.number),
        job.number,
        _promised(job.promised_on, is_overdue=job.is_overdue) if job.promised_on else NOTHING,
        job.vessel,
        shortened(job.concern, LONGEST_ON_TILE),
        filled(" <b>+{}</b>", job.lines - 1) if job.lines > 1 else NOTHING,
        waits,
        job.technician or "Not assigned",
        job.where,
    )


def _promised(day: date, *, is_overdue: bool) -> SafeString:
    return filled(
        '<span{}><span class="visually-hidden">promised for</span> {}{}</span>',
        LATE if is_overdue else NOTHING,
        short_day_words(day),
        ", overdue" if is_overdue else "",
    )


def _waits(job: Tile, wait: Wait | None) -> SafeString:
    """What a job waits for: its state, and what is known beside it."""
    state = filled("<small><b>{}</b></small>", state_words(job.state))
    if wait is None:
        return state
    return filled("{}<small{}>{}</small>", state, IS_LATE if wait.is_late else NOTHING, wait.words)


def shortened(words: str, most: int) -> str:
    """What ``truncatechars`` makes of it, which takes as long for words that are short enough."""
    return words if len(words) <= most and words.isascii() else truncatechars(words, most)


def drawn_jobs(jobs: Iterable[Job], sums: Mapping[int, Decimal] | None, currency: str) -> SafeString:
    """A row of the table for each job, as ``workorders.queries.jobs.with_people`` reads it.

    ``sums`` are those with tax, by the keys of jobs; None where the reader sees no prices.
    """
    return joined(_row(job, _money(job, sums, currency)) for job in jobs)


def _row(job: Job, money: SafeString) -> SafeString:
    more = job.line_count - 1  # type: ignore[attr-defined]
    concern = shortened(job.first_concern or "", LONGEST_CONCERN)  # type: ignore[attr-defined]
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
