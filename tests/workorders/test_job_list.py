"""The list of jobs: filtered, sorted by any column, paged without loss, and saved as CSV."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import parse_qs, urlparse

import pytest
from django.db import connection
from django.db.models import F
from django.test import Client
from django.utils import timezone

from tests.asking import asked
from tests.cast import Cast, keep_to_the_office
from tests.workorders.counter import many_jobs, signed_in
from web.pager import page_of
from workorders.models import Charge, Job
from workorders.queries.listing import ORDERS, Wanted, every_job, listed_jobs


def numbers(**wanted: Any) -> list[int]:
    return sorted(listed_jobs(Wanted(**{"state": "all", **wanted})).values_list("number", flat=True))


def table(client: Client, **asked_for: str) -> list[dict[str, str]]:
    answer = client.get("/jobs/list.csv", asked_for)
    text = b"".join(answer.streaming_content).decode()  # type: ignore[attr-defined]
    return list(csv.DictReader(io.StringIO(text)))


def test_each_filter_finds_what_it_says(cast: Cast, job: Job) -> None:
    today = timezone.localdate()
    (mine,) = many_jobs(cast, 1, state="waiting-parts", promised_on=today + timedelta(days=3))
    (free,) = many_jobs(cast, 1, state="ready", promised_on=None, technician=None)
    (old,) = many_jobs(cast, 1, state="closed", closed_at=timezone.now(), opened_at=timezone.now() - timedelta(days=90))
    everything = sorted([job.number, mine.number, free.number, old.number])
    assert numbers() == everything
    for wanted, found in [
        ({"state": "ended"}, [old]),
        ({"state": "open"}, [job, mine, free]),
        ({"state": "waiting"}, [mine]),
        ({"state": "ready"}, [free]),
        ({"technician": str(cast.tech.pk)}, [mine, old]),
        ({"technician": "nobody"}, [job, free]),
        ({"words": "second wind"}, [job]),
        ({"words": "Harrow"}, [job]),
        ({"words": "Reed"}, [mine, free, old]),
        ({"words": "Zzyzx"}, []),
        ({"promised_from": today, "promised_to": today + timedelta(days=3)}, [mine]),
        ({"promised_to": today + timedelta(days=2)}, [old]),
        ({"opened_to": today - timedelta(days=60)}, [old]),
        ({"opened_from": today}, [job, mine, free]),
        ({"service": True}, []),
        ({"state": "open", "words": "Reed", "technician": str(cast.tech.pk)}, [mine]),
    ]:
        assert numbers(**wanted) == sorted(one.number for one in found), wanted


@pytest.mark.parametrize("sort", [sign + name for name in ORDERS for sign in ("", "-")])
def test_pages_in_every_order_lead_forth_and_back_without_loss(cast: Cast, sort: str) -> None:
    many_jobs(cast, 9, promised_on=None)
    many_jobs(cast, 9, state="closed", closed_at=timezone.now(), technician=None)
    wanted = Wanted(state="all", sort=sort)
    jobs = listed_jobs(wanted)
    whole = [job.pk for chunk in every_job(wanted, jobs) for job in chunk]
    assert len(whole) == len(set(whole)) == 18
    seen, after = [], None
    while True:
        page = page_of(jobs, wanted.order, after=after, size=5, falling=wanted.is_falling)
        seen += [job.pk for job in page.rows]
        if page.after is None:
            break
        after = page.after
    assert seen == whole
    back = page_of(jobs, wanted.order, before=page.before, size=5, falling=wanted.is_falling)
    assert [job.pk for job in back.rows] == whole[10:15]
    assert [job.pk for job in page_of(jobs, wanted.order, size=18, falling=not wanted.is_falling).rows] == whole[::-1]


def test_the_page_says_what_it_shows_and_its_address_keeps_it(cast: Cast) -> None:
    many_jobs(cast, 30, state="closed", closed_at=timezone.now())
    client = signed_in(cast.desk)
    asked_for = {
        "state": "all",
        "q": "Reed",
        "technician": str(cast.tech.pk),
        "sort": "-boat",
        "opened_from": "2020-01-01",
    }
    answer = client.get("/jobs/list/", asked_for)
    text = answer.content.decode()
    assert '<th scope="col" aria-sort="descending"><a href="/jobs/list/?' in text
    assert "Order: Boat, last to first</summary>" in text  # for a phone, on which the list has no headings
    following = parse_qs(urlparse(answer.context["next_url"]).query)
    assert {name: values[0] for name, values in following.items() if name != "after"} == asked_for
    assert len(client.get(answer.context["next_url"]).context["page"].rows) == 5
    assert "/jobs/list.csv?state=all&amp;" in text
    for nonsense, words in [
        ({"opened_from": "2026-13-01"}, "Enter a date such as"),
        ({"opened_from": "2026-05-02", "opened_to": "2026-05-01"}, "before the first one"),
        ({"sort": "moon"}, "Boat 10"),
        ({"technician": "9" * 30}, "Choose one from the list"),
    ]:
        assert words in client.get("/jobs/list/", nonsense).content.decode(), nonsense


def test_saved_as_csv_with_the_same_filter_and_no_formula(cast: Cast, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(promised_on=date(2026, 5, 2))
    type(cast.vessel).objects.filter(pk=cast.vessel.pk).update(name="=1+1")
    Charge.objects.create(job=job, kind="fee", description="Launch", unit_price=Decimal(60), added_by=cast.desk)
    Charge.objects.create(
        job=job, kind="fee", description="Gone", unit_price=Decimal(5), added_by=cast.desk,
        struck_at=timezone.now(), struck_by=cast.desk,
    )  # fmt: skip
    many_jobs(cast, 2, state="closed", closed_at=timezone.now())
    client = signed_in(cast.desk)
    (row,) = table(client, state="open")
    assert (row["boat"], row["promised"], row["charged with tax"], row["currency"]) == (
        "'=1+1",
        "2026-05-02",
        "60.00",
        "USD",
    )
    assert [row["job"] for row in table(client, state="all", sort="number")] == sorted(
        map(str, Job.objects.values_list("number", flat=True))
    )
    assert "$60.00" in client.get("/jobs/list/", {"state": "open"}).content.decode()
    keep_to_the_office()
    tech = signed_in(cast.tech)
    assert "charged with tax" not in table(tech, state="open")[0]
    assert "$60.00" not in tech.get("/jobs/list/", {"state": "open"}).content.decode()


@pytest.fixture
def thousands(cast: Cast) -> int:
    """Ten thousand jobs as plain rows, so that the database has something to choose a plan by."""
    many_jobs(cast, 1, state="closed", closed_at=timezone.now())
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO workorders_job (version, number, vessel_id, customer_id, state, state_since, opened_at,"
            " closed_at, promised_on, location, spot, keys, contents, condition, opened_by_id, technician_id,"
            " tax_on_labor)"
            " SELECT 1, number + n, vessel_id, customer_id, state, state_since, opened_at - n * interval '1 hour',"
            " closed_at - n * interval '1 hour', promised_on - n / 24, location, spot, keys, contents, condition,"
            " opened_by_id, technician_id, tax_on_labor FROM workorders_job, generate_series(1, 10000) n"
        )
        cursor.execute("ANALYZE workorders_job")
    return 10_000


@pytest.mark.parametrize("sort", ["-number", "number", "state", "-opened", "promised", "-promised", "ended", "-ended"])
def test_a_page_reads_an_order_and_not_the_table(thousands: int, sort: str) -> None:
    wanted = Wanted(state="all", sort=sort)
    page = page_of(Job.objects.all(), wanted.order, size=40, falling=wanted.is_falling)
    order = F(wanted.order) if isinstance(wanted.order, str) else wanted.order
    keyed = Job.objects.annotate(page_key=order)
    on = ["-page_key", "-pk"] if wanted.is_falling else ["page_key", "pk"]
    plan = keyed.order_by(*on)[:41].explain()
    assert "Seq Scan" not in plan, plan
    assert len(page.rows) == 40


def test_the_list_costs_the_same_at_two_sizes_in_every_order(cast: Cast) -> None:
    client = signed_in(cast.desk)
    many_jobs(cast, 50, state="closed", closed_at=timezone.now())
    counts = {}
    for size in (1, 60):
        many_jobs(cast, size, state="closed", closed_at=timezone.now())
        client.get("/jobs/list/")
        for name in ORDERS:
            with asked() as counted:
                client.get("/jobs/list/", {"sort": name, "state": "ended"})
            assert counts.setdefault(name, counted.queries) == counted.queries <= 13
