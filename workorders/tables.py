"""The list of jobs as a table: its headings, and all of it to keep as CSV."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.http import StreamingHttpResponse
from django.utils import timezone

from staff.queries import shop_profile
from web.tables import streamed_table
from workorders.models import Job
from workorders.queries.listing import Wanted, every_job, listed_jobs
from workorders.worth import worth_of_jobs

HEADINGS = (
    "job", "boat", "customer", "concern", "lines", "state", "technician", "opened", "promised", "ended", "where",
)  # fmt: skip
SUMS = ("charged with tax", "currency")
COLUMNS = [
    ("number", "Job"),
    ("boat", "Boat"),
    ("customer", "Customer"),
    ("", "Concern"),
    ("state", "State"),
    ("technician", "Technician"),
    ("opened", "Opened"),
    ("promised", "Promised"),
    ("ended", "Ended"),
]
NEWEST_FIRST = {"number", "opened", "ended"}


@dataclass(frozen=True)
class Heading:
    """One heading: what sorts by it, where a touch leads, and how it is sorted now."""

    label: str
    url: str
    aria_sort: str


def list_headings(wanted: Wanted, kept: Mapping[str, str], path: str) -> list[Heading]:
    """The headings of the list; touched again, one turns its order around."""
    made = []
    for name, label in COLUMNS:
        if not name:
            made.append(Heading(label, "", ""))
            continue
        is_now = wanted.sort.lstrip("-") == name
        falls = not wanted.is_falling if is_now else name in NEWEST_FIRST
        now = ("descending" if wanted.is_falling else "ascending") if is_now else ""
        said = {**kept, "sort": f"{'-' if falls else ''}{name}"}
        made.append(Heading(label, f"{path}?{urlencode(said)}", now))
    return made


def jobs_table(wanted: Wanted, *, with_sums: bool) -> StreamingHttpResponse:
    """Every job that is wanted, as CSV."""
    shop = shop_profile()
    zone = ZoneInfo(shop.time_zone)
    rows = _rows(wanted, timezone.localdate(timezone=zone), zone, shop.currency if with_sums else "")
    return streamed_table("jobs.csv", (*HEADINGS, *SUMS) if with_sums else HEADINGS, rows)


def _rows(wanted: Wanted, today: date, zone: ZoneInfo, currency: str) -> Iterator[list[str]]:
    for jobs in every_job(wanted, listed_jobs(wanted)):
        sums = worth_of_jobs(jobs, today=today, currency=currency) if currency else {}
        for job in jobs:
            cells = _cells(job, zone)
            yield [*cells, str(sums.get(job.pk, Decimal(0))), currency] if currency else cells


def _cells(job: Job, zone: ZoneInfo) -> list[str]:
    return [
        str(job.number),
        str(job.vessel),
        str(job.customer),
        job.first_concern or "",  # type: ignore[attr-defined]
        str(job.line_count),  # type: ignore[attr-defined]
        job.get_state_display(),
        str(job.technician or ""),
        _day(job.opened_at, zone),
        job.promised_on.isoformat() if job.promised_on is not None else "",
        _day(job.closed_at, zone),
        job.where,
    ]


def _day(at: datetime | None, zone: ZoneInfo) -> str:
    return "" if at is None else at.astimezone(zone).date().isoformat()
