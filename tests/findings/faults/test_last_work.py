"""The last work on a fault is the last that was written down about it, whatever became of the fault before."""

from __future__ import annotations

import html
import re
from collections.abc import Callable

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from findings.faults.queries import FaultSeen, known_faults
from tests.cast import Cast
from tests.findings.story import COOLANT, OIL, clear, fault, open_job, scan, seen, work
from vessels.actions import amend_text, retract

pytestmark = pytest.mark.django_db
NONE = "none on record"


def gone_by_itself_then_worked_on(cast: Cast) -> None:
    """The alarm had stopped on its own; the next job replaced the sender to be sure."""
    scan(cast, 0, 100, [seen(COOLANT)], job=open_job(cast))
    scan(cast, 10, 110)
    work(cast, 20, 120, [fault()], "Replaced the sender.", job=open_job(cast, 20))


def held_then_worked_on(cast: Cast) -> None:
    first = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=first)
    work(cast, 0.1, 100, [fault()], "Cleaned the connector.", job=first)
    clear(cast, 0.2, 100, job=first)
    scan(cast, 30, 160)
    work(cast, 40, 170, [fault()], "Replaced the sender.", job=open_job(cast, 40))


def worked_on_once_more_and_back(cast: Cast) -> None:
    held_then_worked_on(cast)
    scan(cast, 60, 200, [seen(COOLANT)])


def worked_on_while_it_is_there(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 1, 100, [fault()], "Cleaned the connector.")
    work(cast, 2, 100, [fault()], "Replaced the sender.")


def two_at_one_minute(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 1, 100, [fault()], "Cleaned the connector.")
    work(cast, 1, 100, [fault()], "Replaced the sender.")


def written_down_in_the_other_order(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 2, 100, [fault()], "Replaced the sender.")
    work(cast, 1, 100, [fault()], "Cleaned the connector.")


def the_last_one_voided(cast: Cast) -> None:
    held_then_worked_on(cast)
    made = work(cast, 50, 180, [fault()], "Replaced the loom.")
    retract(by=cast.tech, entry=made.entry, reason="It was on the other boat.")


def only_one_and_that_voided(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    made = work(cast, 1, 100, [fault()], "Replaced the loom.")
    retract(by=cast.tech, entry=made.entry, reason="It was on the other boat.")


def about_another_code(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL)])
    work(cast, 1, 100, [fault(OIL)], "Replaced the filter.")


@pytest.mark.parametrize(
    ("happens", "words"),
    [
        (gone_by_itself_then_worked_on, "Replaced the sender. Apr 21, 2025 · job 1002"),
        (held_then_worked_on, "Replaced the sender. May 11, 2025 · job 1002"),
        (worked_on_once_more_and_back, "Replaced the sender. May 11, 2025 · job 1002"),
        (worked_on_while_it_is_there, "Replaced the sender. Apr 3, 2025"),
        (two_at_one_minute, "Replaced the sender. Apr 2, 2025"),
        (written_down_in_the_other_order, "Replaced the sender. Apr 3, 2025"),
        (the_last_one_voided, "Replaced the sender. May 11, 2025 · job 1002"),
        (only_one_and_that_voided, NONE),
        (about_another_code, NONE),
    ],
)
def test_the_list_of_a_boats_faults_tells_the_last_work_on_record(
    cast: Cast, client: Client, happens: Callable[[Cast], None], words: str
) -> None:
    happens(cast)
    client.force_login(cast.tech)
    page = client.get(f"/vessels/{cast.vessel.pk}/faults/").content.decode()
    rows = re.findall(r"<tr>.*?</tr>", page, re.S)
    (row,) = [one for one in rows if f"/faults/{fault().pk}/" in one]
    cell = re.search(r'data-label="Last work on it"[^>]*>(.*?)</td>', row, re.S)
    assert cell is not None
    assert " ".join(html.unescape(re.sub(r"<[^>]+>", "", cell[1])).split()) == words


def test_a_job_to_which_it_came_back_tells_it_too_with_what_corrects_it(cast: Cast, client: Client) -> None:
    worked_on_once_more_and_back(cast)
    job = open_job(cast, 61)
    scan(cast, 61, 201, [seen(COOLANT)], job=job)
    last = fault().work.order_by("pk").last()
    assert last is not None
    amend_text(by=cast.tech, entry=last.work.entry, text="It was the sender of the exhaust.")
    client.force_login(cast.tech)
    page = html.unescape(client.get(f"/jobs/{job.number}/findings/").content.decode())
    assert re.search(r"Last work on it, on job <a [^>]*>1002</a>: Replaced the sender\.", page)
    assert "It was the sender of the exhaust." in page


def test_it_is_asked_once_however_many_there_are(cast: Cast) -> None:
    def cost() -> tuple[int, int]:
        with CaptureQueriesContext(connection) as spent:
            found = [FaultSeen(one).last_work for one in known_faults()]
        return len(spent), len(found)

    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 1, 100, [fault()])
    few, one = cost()
    scan(cast, 2, 101, [seen(COOLANT), seen(OIL)])
    for day in range(3, 12):
        work(cast, day, 102, [fault(), fault(OIL)])
    many, two = cost()
    assert (one, two) == (1, 2)
    assert few == many == 3
