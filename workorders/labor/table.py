"""Hours as a table to keep: CSV."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from zoneinfo import ZoneInfo

from django.http import StreamingHttpResponse

from web.tables import streamed_table
from workorders.labor.checking import is_in_question, shop_zone
from workorders.labor.models import Stretch
from workorders.labor.queries import counts
from workorders.labor.reckoning import plain_hours

HEADINGS = [
    "Day", "From", "Until", "Minutes", "Hours", "Person", "Job", "Line", "Vessel", "How", "Counts", "Remark",
    "Entered by", "Entered", "Corrects", "Why", "Id",
]  # fmt: skip


def as_table(name: str, stretches: Iterable[Stretch]) -> StreamingHttpResponse:
    """The table; hours that no longer count stand in it and are marked."""
    return streamed_table(name, HEADINGS, _rows(stretches))


def _runs(one: Stretch, zone: ZoneInfo) -> bool:
    return one.is_open and counts(one) and not is_in_question(one, zone)


def _rows(stretches: Iterable[Stretch]) -> Iterator[list[str]]:
    zone = shop_zone()
    for one in stretches:
        moments = [moment and moment.astimezone(zone).isoformat() for moment in (one.started_at, one.ended_at)]
        known = one.minutes is not None
        yield [
            one.day.isoformat(),
            moments[0] or "",
            moments[1] or "",
            str(one.minutes) if known else "",
            str(plain_hours(one.minutes or 0)) if known else "running" if _runs(one, zone) else "not known",
            one.person.name,
            str(one.line.job.number),
            str(one.line.position),
            str(one.line.job.vessel),
            one.get_source_display(),
            "yes" if counts(one) else "no: voided" if hasattr(one, "voided") else "no: corrected",
            one.remark,
            one.by.name,
            one.recorded_at.astimezone(zone).isoformat(),
            str(one.amends_id or ""),
            one.voided.reason if hasattr(one, "voided") else one.why,
            str(one.pk),
        ]
