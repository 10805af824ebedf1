"""The markup of hits: a page shows dozens, and each in a template of its own would cost more than finding it."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.safestring import SafeString

from findings.drawing.templatetags.drawings import fault_flag
from shopfloor.search.found import Hit
from web.addresses import address_of
from web.markup import each_filled, filled


def hits_markup(hits: Iterable[Hit]) -> SafeString:
    """Rows of a list. A hit with open jobs has a way to each of them beside it."""
    return each_filled("<li>{}</li>", ((_with_jobs(hit) if hit.jobs else _alone(hit),) for hit in hits))


def _facts(hit: Hit) -> SafeString:
    return filled(
        "{}{}",
        filled("<small>{}</small>", hit.facts) if hit.facts else "",
        filled('<small class="matched">{}</small>', hit.matched) if hit.matched else "",
    )


def _alone(hit: Hit) -> SafeString:
    return filled(
        '<a class="row" href="{}"><span class="row-main"><b class="row-title">{}</b>{}</span>{}{}</a>',
        hit.url,
        hit.title,
        _facts(hit),
        fault_flag(hit.fault.state, hit.fault.status_now) if hit.fault else "",
        filled('<span class="tag">{}</span>', hit.tag) if hit.tag else "",
    )


def _with_jobs(hit: Hit) -> SafeString:
    buttons = ((address_of("workorders:job", job.number), job.number, job.state_words) for job in hit.jobs)
    return filled(
        '<div class="row"><span class="row-main"><a class="row-title" href="{}">{}</a>{}</span>'
        '<span class="row-end">{}</span></div>',
        hit.url,
        hit.title,
        _facts(hit),
        each_filled('<a class="btn" href="{}">Job {} · {}</a>', buttons),
    )
