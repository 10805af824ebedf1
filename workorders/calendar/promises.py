"""The days that open jobs are promised for."""

from __future__ import annotations

from collections.abc import Iterator

from vessels.models import Customer
from web.addresses import address_of
from workorders.calendar.sources import Asked, Event, Source
from workorders.models import Job


def promised(asked: Asked) -> Iterator[Event]:
    """A day for each open job that is promised for one: two queries, or three with phones."""
    jobs = Job.objects.filter(closed_at=None, promised_on__range=(asked.first, asked.last))
    found = list(jobs.select_related("vessel", "customer", "technician").order_by("promised_on", "number"))
    reach = reach_of({job.customer_id for job in found}) if asked.with_reach else {}
    for job in found:
        who = f" {job.technician} works on it." if job.technician else ""
        yield Event(
            key=f"job-{job.pk}",
            title=f"Promised: {job.vessel}, job {job.number}",
            starts=job.promised_on,  # type: ignore[arg-type]  # it has one, by the filter
            words=f"{job.get_state_display()}.{who}",
            place=job.where,
            reach=reach.get(job.customer_id, ""),
            path=address_of("workorders:job", job.number),
            whose=job.technician_id,
        )


def reach_of(customers: set[int]) -> dict[int, str]:
    """Names and phones of customers, for feeds that are to have them: two queries."""
    told = {}
    for key, customer in Customer.objects.prefetch_related("phones").in_bulk(customers).items():
        phones = [f"{phone.label} {phone.number}".strip() for phone in customer.phones.all()]
        told[key] = ", ".join([str(customer), *phones])
    return told


SOURCE = Source("promised", "Days that jobs are promised for", promised, 10)
