"""A unit's faults go on from where they stand: the same as deriving them anew, and for a cost that does not grow."""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal

import pytest

from findings.faults import incremental
from findings.faults.actions import clear_codes, log_scan, log_work
from findings.faults.models import Episode, Fault
from findings.faults.replaying import rederive_unit, stale_faults
from staff.queries import shop_profile
from tests.asking import asked
from tests.cast import Cast, make_cast
from tests.findings import story
from vessels.actions import retract
from vessels.models import LogEntry
from workorders.actions import move_job, open_job
from workorders.models import Job

pytestmark = pytest.mark.django_db
CODES = [story.OIL, story.COOLANT, story.LEAN]
STATUSES = ["active", "stored", "pending", "permanent"]


@pytest.fixture
def cast() -> Cast:
    shop = shop_profile()
    shop.hold_hours = Decimal(12)
    shop.save()
    return make_cast()


class Told:
    """A long story of one unit, told at random and mostly in order."""

    def __init__(self, cast: Cast, seed: int) -> None:
        self.cast, self.chance, self.day = cast, random.Random(seed), 0.0
        self.jobs: list[Job] = []

    def one_more(self) -> None:
        """Something happens: mostly later than all before, sometimes at the same time, or late."""
        chance = self.chance
        how = chance.random()
        self.day += 0.0 if how < 0.1 else chance.random() * 3
        day = self.day - chance.random() * 10 if how > 0.9 else self.day
        hours = None if chance.random() < 0.2 else 100 + day
        chance.choice([self.scan, self.scan, self.scan, self.clear, self.work, self.other])(day, hours)

    def scan(self, day: float, hours: float | None) -> None:
        listed = {
            (code, status)
            for code in self.chance.sample(CODES, self.chance.randrange(3))
            for status in self.chance.sample(STATUSES, self.chance.choice([1, 1, 2]))
        }
        complete = not listed or self.chance.random() < 0.8
        codes = [story.seen(code, status) for code, status in sorted(listed, key=str)]
        phase = self.chance.choice(["arrival", "after-repair", "sea-trial"])
        story.scan(self.cast, day, hours, codes, complete=complete, phase=phase, job=self.a_job())

    def clear(self, day: float, hours: float | None) -> None:
        faults = list(Fault.objects.all())
        some = self.chance.sample(faults, 1) if faults and self.chance.random() < 0.4 else None
        story.clear(self.cast, day, hours, some, job=self.a_job())

    def work(self, day: float, hours: float | None) -> None:
        if faults := list(Fault.objects.all()):
            story.work(self.cast, day, hours, self.chance.sample(faults, 1), job=self.a_job())

    def other(self, day: float, hours: float | None) -> None:
        """A job is opened or done, or an entry is voided."""
        way = self.chance.random()
        if way < 0.4:
            self.jobs.append(open_job(by=self.cast.desk, vessel=self.cast.vessel, concerns=["Alarm"]))
        elif way < 0.7 and self.jobs:
            self.move(Job.objects.get(pk=self.chance.choice(self.jobs).pk), day)
        elif entries := list(
            LogEntry.objects.filter(kind__in=["scan", "clear", "work-done"], amendments=None).order_by("position")
        ):
            retract(by=self.cast.owner, entry=self.chance.choice(entries), reason="Not so.")

    def a_job(self) -> Job | None:
        if not self.jobs or self.chance.random() < 0.4:
            return None
        return Job.objects.get(pk=self.chance.choice(self.jobs).pk)

    def move(self, job: Job, day: float) -> None:
        """A job goes on, to ready at last, or is taken up again."""
        way = {"estimate": "authorized", "authorized": "in-work", "in-work": "ready", "ready": "in-work"}
        move_job(
            by=self.cast.manager, job=job, to=way[job.state], reason="Told.", seen_version=job.version,
            happened_at=story.at(day),
        )  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
def test_it_is_the_same_as_deriving_anew(cast: Cast, seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    went = []
    plain = incremental.go_on_unit
    monkeypatch.setattr(incremental, "go_on_unit", lambda *said: went.append(plain(*said)) or went[-1])
    told = Told(cast, seed)
    for step in range(30):
        told.one_more()
        assert stale_faults(cast.port_unit.pk) == [], step
    assert went.count(True) > 8, "the quick way was hardly taken"
    assert went.count(False) > 0


def test_a_job_that_is_done_in_between_makes_a_return_of_what_is_back(cast: Cast) -> None:
    told = Told(cast, 0)
    told.jobs.append(open_job(by=cast.desk, vessel=cast.vessel, concerns=["Alarm"], happened_at=story.at(0)))
    job = told.jobs[0]
    story.scan(cast, 1, 101, [story.seen(story.OIL)], job=job)
    story.clear(cast, 3, 103, job=job)
    for part in range(3):
        told.move(Job.objects.get(pk=job.pk), 3.1 + part / 10)
    assert Job.objects.get(pk=job.pk).state == "ready"
    story.scan(cast, 4, 104, [story.seen(story.OIL)], job=job, phase="delivery")
    assert stale_faults(cast.port_unit.pk) == []
    assert next(row.outcome for row in Episode.objects.order_by("number")) == "returned"


def scan_of_many(cast: Cast, turn: int) -> None:
    """One scan of a unit with several codes, every one of which comes and goes."""
    codes = [story.seen(code) for index, code in enumerate(CODES) if (turn + index) % 4 == 0]
    story.scan(cast, turn, 100 + turn, codes)


def test_a_scan_asks_for_no_more_rows_after_many_scans(cast: Cast) -> None:
    counted = []
    for turn in range(1, 61):
        with asked() as one:
            scan_of_many(cast, turn)
        counted.append((one.queries, one.rows))
    early, late = counted[11:20], counted[51:60]
    assert max(queries for queries, _ in late) <= max(queries for queries, _ in early)
    assert max(rows for _, rows in late) <= max(rows for _, rows in early)


def test_a_late_scan_is_put_where_it_happened(cast: Cast) -> None:
    story.scan(cast, 1, 101, [story.seen(story.OIL)])
    story.scan(cast, 5, 105, [story.seen(story.OIL)])
    story.clear(cast, 3, 103)
    assert stale_faults(cast.port_unit.pk) == []
    assert story.fault(story.OIL).returns == 1


def test_what_an_older_version_stored_is_derived_anew(cast: Cast) -> None:
    story.scan(cast, 1, 101, [story.seen(story.OIL)])
    fault = story.fault(story.OIL)
    history = dict(fault.history)
    del history["rest"]
    Fault.objects.filter(pk=fault.pk).update(history=history)
    story.clear(cast, 2, 102)
    assert stale_faults(cast.port_unit.pk) == []


def test_deriving_anew_changes_nothing_after_going_on(cast: Cast) -> None:
    for turn in range(1, 12):
        scan_of_many(cast, turn)
    assert rederive_unit(cast.port_unit.pk) == []


def test_the_same_moment_is_not_later(cast: Cast) -> None:
    moment = story.at(2)
    told = {"by": cast.tech, "unit": cast.port_unit, "happened_at": moment}
    log_scan(**told, phase="arrival", is_complete=True, codes=[story.seen(story.OIL)])
    clear_codes(**told)
    log_work(by=cast.tech, vessel=cast.vessel, faults=[story.fault(story.OIL)], text="New sender.", happened_at=moment)
    log_scan(**told | {"happened_at": moment + timedelta(days=1)}, phase="arrival", is_complete=True, codes=[])
    assert stale_faults(cast.port_unit.pk) == []
