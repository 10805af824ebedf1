"""Board, list and a vessel's jobs."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from staff.policy import Role
from tests.asking import asked
from tests.cast import Cast, keep_to_the_office
from tests.workorders.counter import many_jobs, signed_in
from web.pager import page_of
from workorders.models import Job
from workorders.queries import board, jobs_of_vessel, open_jobs, with_people
from workorders.queries.board import AT_MOST, COLUMNS
from workorders.queries.jobs import NEWEST_FIRST
from workorders.states import OPEN


def test_every_open_state_has_one_column() -> None:
    states = [state for _, _, column in COLUMNS for state in column]
    assert sorted(states) == sorted(OPEN)


def test_the_board_puts_jobs_in_columns_and_those_promised_first_on_top(cast: Cast) -> None:
    today = timezone.localdate()
    late, soon, free = many_jobs(cast, 3)
    for job, day in [(late, today - timedelta(days=2)), (soon, today + timedelta(days=1)), (free, None)]:
        Job.objects.filter(pk=job.pk).update(promised_on=day)
    waiting = many_jobs(cast, 1, state="waiting-weather")[0]
    many_jobs(cast, 2, state="closed", closed_at=timezone.now())
    shown = board()
    columns = {column.slug: column for column in shown.columns}
    assert [job.pk for job in columns["in-work"].jobs] == [late.pk, soon.pk, free.pk]
    assert [job.pk for job in columns["waiting"].jobs] == [waiting.pk]
    assert (shown.count, shown.overdue) == (4, 1 + waiting.is_overdue)


def test_the_board_is_narrowed(cast: Cast) -> None:
    mine = many_jobs(cast, 2, technician=cast.tech)
    nobodys = many_jobs(cast, 1, technician=None, location="yard")
    overdue = many_jobs(cast, 1, technician=cast.manager, promised_on=timezone.localdate() - timedelta(days=1))
    Job.objects.filter(pk__in=[job.pk for job in [*mine, *nobodys]]).update(promised_on=None)

    def keys(**narrowed: object) -> set[int]:
        return {job.pk for column in board(**narrowed).columns for job in column.jobs}  # type: ignore[arg-type]

    assert keys(technician=cast.tech) == {job.pk for job in mine}
    assert keys(nobody=True) == keys(location="yard") == {nobodys[0].pk}
    assert keys(overdue=True) == {overdue[0].pk}


def test_a_full_column_says_how_many_it_leaves_out(cast: Cast) -> None:
    many_jobs(cast, AT_MOST + 3)
    column = next(column for column in board().columns if column.slug == "in-work")
    assert (len(column.jobs), column.count, column.left_out) == (AT_MOST, AT_MOST + 3, 3)
    assert "3 more in the list" in signed_in(cast.desk).get("/jobs/").content.decode()


@pytest.mark.parametrize("address", ["/jobs/", "/jobs/list/?state=open"])
def test_lists_cost_the_same_at_two_sizes(cast: Cast, address: str) -> None:
    client = signed_in(cast.desk)
    counts = []
    client.get(address)  # the first request of all makes the shop's profile
    for size in (4, 300, 600):
        many_jobs(cast, size)
        with asked() as counted:
            assert client.get(address).status_code == 200
        counts.append(counted)
    assert counts[0].queries == counts[1].queries
    assert counts[1].queries <= (5 if address == "/jobs/" else 12)
    assert counts[2] == counts[1], "of twice as many no more rows are read"


def test_the_boards_filter_by_address(cast: Cast) -> None:
    many_jobs(cast, 1, technician=cast.tech)
    many_jobs(cast, 1, technician=None)
    client = signed_in(cast.tech)
    mine = client.get("/jobs/", {"technician": cast.tech.pk}).content.decode()
    assert "Boat 1001" in mine
    assert "Boat 1002" not in mine
    assert "Boat 1002" in client.get("/jobs/", {"technician": "nobody"}).content.decode()
    for nonsense in ({"technician": "x"}, {"location": "moon"}, {"technician": "99999999999999999999"}):
        assert "Boat 1001" in client.get("/jobs/", nonsense).content.decode()


def test_an_empty_shop_is_told_what_to_do_first(cast: Cast) -> None:
    keep_to_the_office()
    assert "find or add the boat" in signed_in(cast.desk).get("/jobs/").content.decode()
    assert "The front desk opens a job" in signed_in(cast.tech).get("/jobs/").content.decode()


def test_pages_of_jobs_lead_forth_and_back_without_loss(cast: Cast) -> None:
    many_jobs(cast, 23, state="closed", closed_at=timezone.now())
    jobs = with_people(Job.objects.all())
    seen: list[int] = []
    page = page_of(jobs, NEWEST_FIRST, size=10)
    assert page.before is None
    while True:
        seen += [job.number for job in page.rows]
        if page.after is None:
            break
        page = page_of(jobs, NEWEST_FIRST, after=page.after, size=10)
    assert seen == sorted((job.number for job in Job.objects.all()), reverse=True)
    back = page_of(jobs, NEWEST_FIRST, before=page.before, size=10)
    assert [job.number for job in back.rows] == seen[10:20]
    assert [job.number for job in page_of(jobs, NEWEST_FIRST, before=back.before, size=10).rows] == seen[:10]


def test_the_list_shows_ended_jobs_unless_another_state_is_asked_for(cast: Cast) -> None:
    many_jobs(cast, 1)
    many_jobs(cast, 1, state="canceled", closed_at=timezone.now())
    client = signed_in(cast.desk)
    text = client.get("/jobs/list/").content.decode()
    assert "Boat 1002" in text
    assert "Boat 1001" not in text
    assert "Boat 1001" in client.get("/jobs/list/", {"state": "in-work"}).content.decode()
    both = client.get("/jobs/list/", {"state": "all", "before": "nonsense"}).content.decode()
    assert "Boat 1001" in both
    assert "Boat 1002" in both


def test_the_jobs_of_a_vessel(cast: Cast, job: Job) -> None:
    assert list(jobs_of_vessel(cast.vessel)) == [job]
    text = signed_in(cast.tech).get(f"/vessels/{cast.vessel.pk}/jobs/").content.decode()
    assert str(job.number) in text
    assert "Will not hold 3000 rpm" in text


def test_a_vessel_without_a_job_offers_to_open_one(cast: Cast) -> None:
    text = signed_in(cast.desk).get(f"/vessels/{cast.vessel.pk}/jobs/").content.decode()
    assert f"/jobs/open/?vessel={cast.vessel.pk}" in text


def test_open_jobs_of_a_technician(cast: Cast) -> None:
    mine = many_jobs(cast, 2, technician=cast.tech)
    many_jobs(cast, 1, technician=cast.manager)
    many_jobs(cast, 1, technician=cast.tech, state="closed", closed_at=timezone.now())
    assert {job.pk for job in open_jobs(cast.tech)} == {job.pk for job in mine}
    assert open_jobs().count() == 3


@pytest.mark.parametrize("role", Role)
def test_everybody_sees_the_board(cast: Cast, role: Role) -> None:
    assert signed_in(cast.person(role)).get("/jobs/").status_code == 200
