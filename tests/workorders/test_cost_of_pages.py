"""What pages of jobs ask of the database, at two sizes: the same questions, and no more rows than a page shows."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client

from tests.asking import Asked, asked
from tests.cast import Cast
from tests.workorders.counter import many_jobs, signed_in
from workorders.models import Charge, Job


def cost(client: Client, address: str) -> Asked:
    client.get(address)
    with asked() as counted:
        assert client.get(address).status_code == 200
    return counted


def charge(cast: Cast, jobs: list[Job], count: int) -> None:
    Charge.objects.bulk_create(
        Charge(
            job=job, line=job.lines.get(), kind="fee", description="Launch", unit_price=Decimal(7), added_by=cast.desk
        )
        for job in jobs
        for _ in range(count)
    )


@pytest.mark.parametrize("sort", ["-number", "customer", "promised"])
def test_a_page_of_the_list_reads_its_rows_and_one_sum_of_each(cast: Cast, sort: str) -> None:
    client, address = signed_in(cast.desk), f"/jobs/list/?state=ready&sort={sort}"
    charge(cast, many_jobs(cast, 30, state="ready"), 4)
    few = cost(client, address)
    charge(cast, many_jobs(cast, 45, state="ready"), 4)
    assert cost(client, address) == few
    assert few.queries <= 9
    assert few.rows <= 60  # 26 jobs, 25 sums, and what every page reads


def test_lines_with_many_charges_ask_as_often_and_read_each_once(cast: Cast) -> None:
    (job,) = many_jobs(cast, 1)
    client, address = signed_in(cast.desk), f"/jobs/{job.number}/lines/"
    charge(cast, [job], 3)
    few = cost(client, address)
    charge(cast, [job], 10)
    many = cost(client, address)
    assert many.queries == few.queries <= 24
    assert many.rows == few.rows + 10


def test_the_board_and_a_job_read_no_more_for_more_charges(cast: Cast) -> None:
    jobs = many_jobs(cast, 8)
    client = signed_in(cast.desk)
    few = [cost(client, address) for address in ("/jobs/", f"/jobs/{jobs[0].number}/")]
    charge(cast, jobs, 10)
    many = [cost(client, address) for address in ("/jobs/", f"/jobs/{jobs[0].number}/")]
    assert many[0] == few[0]
    assert many[1].queries == few[1].queries
