"""A code that is back on the job that was to mend it: what its picture, its page and late entries say of it."""

from __future__ import annotations

import pytest

from findings.drawing.pictures import FlagState
from findings.faults.models import Fault
from findings.faults.picturing import lanes_by_engine
from findings.faults.queries import APPEARANCES, FaultSeen
from findings.reports.build import build_findings
from findings.reports.lanes import lanes_pictures
from findings.reports.models import ReportDraft
from tests.cast import Cast
from tests.findings.story import COOLANT, clear, open_job, scan, seen, work

pytestmark = pytest.mark.django_db


def fault() -> Fault:
    return Fault.objects.prefetch_related(APPEARANCES).get()


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
