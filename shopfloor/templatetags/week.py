"""The cells and rows of the week, put together in Python: jobs and appointments by the hundred."""

from __future__ import annotations

from collections.abc import Iterable

from django import template
from django.utils.safestring import SafeString

from shopfloor.week.page import Cell, Day, Row
from shopfloor.week.promises import AtRisk, Promised
from vessels.wording import weekday_words
from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled, joined
from workorders.appointments.kinds import State
from workorders.appointments.queries import Slot
from workorders.templatetags.jobs import state_words

register = template.Library()
TODAY, OFF, LATE = filled(' class="is-today"'), filled(" is-off"), filled(' class="is-late"')
MEETS = filled('<small class="week-meets">at the same time, or it may be</small>')


@register.simple_tag
def risk_rows(risks: Iterable[AtRisk]) -> SafeString:
    """A row for each promise at risk."""
    return joined(
        filled(
            '<li><a class="row" href="{}"><span class="row-main"><span class="row-head"><b class="row-title">{}</b>'
            '<span{}>promised {}</span></span><small><span class="code">{}</span> · {}{}</small>{}</span></a></li>',
            address_of("workorders:job", one.job.number),
            one.job.vessel,
            LATE if one.is_past else NOTHING,
            weekday_words(one.job.promised_on),
            one.job.number,
            state_words(one.job.state),
            f" · {one.job.technician}" if one.job.technician else "",
            each_filled("<small>{}</small>", [(reason,) for reason in one.reasons]),
        )
        for one in risks
    )


@register.simple_tag
def promised_cells(days: Iterable[Day]) -> SafeString:
    """A cell for each day with the jobs that were promised for it."""
    return joined(
        filled("<td{}>{}</td>", TODAY if day.is_today else NOTHING, joined(map(_promised, day.promised)))
        for day in days
    )


def _promised(job: Promised) -> SafeString:
    return filled(
        '<a class="week-one" href="{}"><span class="code">{}</span> {}<small>{}</small></a>',
        address_of("workorders:job", job.number),
        job.number,
        job.vessel,
        state_words(job.state),
    )


@register.simple_tag
def week_cells(row: Row, shows: str) -> SafeString:
    """The days of a bay or of a technician; ``shows`` is what is named beside the boat, “technician” or “bay”."""
    return joined(
        filled("<td{}>{}</td>", TODAY if cell.is_today else NOTHING, NOTHING if cell.is_empty else _cell(cell, shows))
        for cell in row.cells
    )


def _cell(cell: Cell, shows: str) -> SafeString:
    hours = [(words,) for words in cell.hours] if shows == "bay" else []
    return filled(
        "{}{}{}",
        joined(_slot(one, getattr(one, shows)) for one in cell.appointments),
        MEETS if cell.meets else NOTHING,
        each_filled('<small class="week-hours">{}</small>', hours),
    )


def _slot(one: Slot, beside: str) -> SafeString:
    return filled(
        '<a class="week-one{}" href="{}">{}: {}<small>{}{}</small>{}</a>',
        OFF if one.state in (State.OFF, State.MISSED) else NOTHING,
        address_of("appointments:one", one.pk),
        one.kind_words,
        one.who,
        one.words,
        f" · {beside}" if beside else "",
        NOTHING if one.state == State.PLANNED else filled("<small>{}</small>", one.state_words.lower()),
    )


@register.simple_tag
def day_rows(day: Day) -> SafeString:
    """The rows of a day as a phone shows it: what is planned, what was promised, and the hours of people."""
    return joined(
        [
            joined(_slot_row(one) for one in day.appointments),
            joined(map(_promised_row, day.promised)),
            each_filled(
                '<li><div class="row"><span class="row-main">{}<small>{}</small></span></div></li>',
                [(name, " · ".join(hours)) for name, hours in day.people],
            ),
        ]
    )


def _promised_row(job: Promised) -> SafeString:
    return filled(
        '<li><a class="row" href="{}"><span class="row-main"><b class="row-title">Promised: {}</b>'
        '<small><span class="code">{}</span> · {}</small></span></a></li>',
        address_of("workorders:job", job.number),
        job.vessel,
        job.number,
        state_words(job.state),
    )


def _slot_row(one: Slot) -> SafeString:
    beside = "".join(f" · {name}" for name in (one.bay, one.technician) if name)
    return filled(
        '<li><a class="row" href="{}"><span class="row-main"><span class="row-head"><b class="row-title">{}: {}</b>{}'
        "</span><small>{}{}</small></span></a></li>",
        address_of("appointments:one", one.pk),
        one.kind_words,
        one.who,
        NOTHING if one.state == State.PLANNED else filled('<span class="tag tag-soft">{}</span>', one.state_words),
        one.words,
        beside,
    )
