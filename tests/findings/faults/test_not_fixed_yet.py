"""A code that is back on the job that was to mend it: what its picture, its page and late entries say of it."""

from __future__ import annotations

import pytest
from django.test import Client

from findings.drawing.pictures import FlagState
from findings.faults.models import Fault
from findings.faults.picturing import lanes_by_engine
from findings.faults.queries import AS_SEEN, FaultSeen
from findings.reports.build import build_findings
from findings.reports.lanes import lanes_pictures
from findings.reports.models import ReportDraft
from tests.cast import Cast
from tests.findings.story import COOLANT, clear, open_job, scan, seen, work

pytestmark = pytest.mark.django_db


def fault() -> Fault:
    return Fault.objects.prefetch_related(*AS_SEEN).get()


def test_bars_flags_and_gaps_say_it(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 1, 101.5, [seen(COOLANT)], job=job, phase="sea-trial")
    one = FaultSeen(fault())
    (lane,) = lanes_by_engine(cast.vessel, [one])[0].picture.lanes
    assert (lane.state, lane.status_now) == (FlagState.NOT_FIXED_YET, "active")
    assert [bar.state for bar in lane.bars] == [FlagState.ACTIVE, FlagState.NOT_FIXED_YET]
    assert one.gaps == []  # it has never returned, so that it was never away
    (picture,) = lanes_pictures(build_findings(ReportDraft(job=job)))
    assert [bar.state for bar in picture.lanes[0].bars] == [FlagState.ACTIVE, FlagState.NOT_FIXED_YET]


def test_a_bar_claims_presence_only_as_far_as_it_was_seen(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 5, 120, [seen(COOLANT)])
    scan(cast, 30, 200, [])
    (lane,) = lanes_by_engine(cast.vessel, [FaultSeen(fault())])[0].picture.lanes
    assert [(bar.start, bar.seen_to, bar.end) for bar in lane.bars] == [(100, 120, 200)]
    scan(cast, 40, 240, [seen(COOLANT)])
    picture = lanes_by_engine(cast.vessel, [FaultSeen(fault())])[0].picture
    assert [(bar.start, bar.seen_to, bar.end) for bar in picture.lanes[0].bars] == [(100, 120, 200), (240, 240, None)]


def test_a_clear_is_no_work(cast: Cast, client: Client) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    client.force_login(cast.tech)
    addresses = (f"/jobs/{job.number}/findings/", f"/vessels/{cast.vessel.pk}/faults/")
    clear(cast, 0.2, 100, job=job)
    scan(cast, 1, 101.5, [seen(COOLANT)], job=job, phase="sea-trial")
    for address, words in zip(
        addresses, ("Last work: none on record; cleared by Tomas Reef", "cleared by Tomas Reef"), strict=True
    ):
        page = client.get(address).content.decode()
        assert words in page
        assert "Last work on it: cleared" not in page
        assert ">cleared <small>" not in page
    assert FaultSeen(fault()).last_work is None
    work(cast, 1.1, 101.5, [fault()], "Replaced the thermostat.", job=job)
    page = client.get(addresses[0]).content.decode()
    assert "Last work on it, on job" in page
    assert "Replaced the thermostat." in page


def test_late_entries_give_the_same_state_as_in_order(cast: Cast) -> None:
    """The clear was written on paper, and typed after the next job's scan."""
    job, next_job = open_job(cast), open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 1, 101, [seen(COOLANT)], job=job, phase="sea-trial")
    scan(cast, 20, 118, [seen(COOLANT)], job=next_job)
    assert (fault().state, fault().returns) == ("not fixed yet", 0)
    work(cast, 1.1, 101, [fault()], job=job)
    assert (fault().state, fault().returns) == ("not fixed yet", 0)
    clear(cast, 1.2, 101, job=job)
    assert (fault().state, fault().returns) == ("returned", 1)


def test_a_late_sea_trial_of_the_same_job_makes_a_return_what_was_never_fixed(cast: Cast) -> None:
    job, next_job = open_job(cast), open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 20, 118, [seen(COOLANT)], job=next_job)
    assert (fault().state, fault().returns) == ("returned", 1)
    scan(cast, 1, 101, [seen(COOLANT)], job=job, phase="sea-trial")
    assert (fault().state, fault().returns) == ("not fixed yet", 0)
