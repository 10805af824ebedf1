"""The cache of faults is what the evidence says: whatever came, in whatever order."""

from __future__ import annotations

import random
from decimal import Decimal
from io import StringIO
from types import SimpleNamespace
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from commands.background import do_now, open_task
from commands.models import BackgroundTask
from engineering.codes import Code, CodeSystem
from engineering.faults import FaultState, replay
from findings.faults import holding
from findings.faults.evidence import evidence_of_unit
from findings.faults.history import history_as_json, history_from_json, rest_as_json, rest_from_json
from findings.faults.holding import REDERIVE, rederive_if_changed
from findings.faults.models import Episode, Fault, Sighting
from findings.faults.queries import FaultSeen
from findings.faults.replaying import rederive_unit, stale_faults
from staff.models import Person
from staff.queries import hold, shop_profile
from tests.cast import Cast, make_cast
from tests.findings.story import COOLANT, LEAN, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.actions import retract
from vessels.log.chain import NewEntry, append
from vessels.models import ControlUnit, Customer, LogEntry, Vessel
from workorders.models import JobMove

LOST, LOST_IN_FULL = Code(CodeSystem.OBD, "U0100"), Code(CodeSystem.OBD, "U0100-87")
CODES = [COOLANT, OIL, LEAN, LOST, LOST_IN_FULL]
STATUSES = ["active", "stored", "pending", "permanent"]

happenings = st.lists(
    st.tuples(
        st.sampled_from(["scan", "scan", "part", "clear", "clear some", "work", "take back"]),
        st.integers(0, 400),
        st.booleans(),
        st.lists(st.tuples(st.sampled_from(CODES), st.sampled_from(STATUSES)), max_size=3),
    ),
    min_size=1,
    max_size=10,
)


one_code_stories = st.lists(
    st.tuples(st.integers(0, 300), st.sampled_from(["active", "stored", "", "clear"])),
    min_size=2,
    max_size=7,
    unique_by=lambda happening: happening[0],
)


def happen(cast: Cast, what: str, day: int, with_hours: bool, listed) -> None:
    """One thing happens on a day; hours run with the days where they are known."""
    hours = day / 4 if with_hours else None
    known = list(Fault.objects.filter(unit=cast.port_unit, code__in=[code.text for code, _ in listed]))
    if what == "scan" or (what == "part" and listed):
        scan(cast, day, hours, [seen(code, status) for code, status in listed], complete=what == "scan")
    elif what == "clear":
        clear(cast, day, hours)
    elif what == "clear some" and known:
        clear(cast, day, hours, known)
    elif what == "work" and known:
        work(cast, day, hours, known)
    elif what == "take back":
        entry = LogEntry.objects.exclude(kind="retraction").filter(amendments=None).order_by("position").first()
        if entry is not None:
            append(NewEntry("retraction", cast.vessel, cast.manager, "Voided.", amends=entry))


def facts() -> list[tuple[object, ...]]:
    """What the cache says, without keys that differ from one telling to the next."""
    columns = ("code", "state", "status_now", "is_open", "episodes", "returns", "first_seen_at", "last_seen_at")
    episode_columns = ("gap_hours", "gap_days", "outcome", "outcome_hours")
    faults = Fault.objects.exclude(state="none").order_by("system", "code")
    return [
        (*(getattr(one, name) for name in columns), *one.appearances.order_by("number").values_list(*episode_columns))
        for one in faults
    ]


class CacheEqualsReplay(TestCase):
    @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
    @given(happenings)
    def test_after_any_story(self, story):
        cast = make_cast()
        for what in story:
            happen(cast, *what)
        evidence = evidence_of_unit(cast.port_unit.pk)
        for one in Fault.objects.all():
            history = replay(evidence.of_fault(one), hold=hold())
            assert history_from_json(one.history) == history
            assert (one.state, one.is_open, one.returns) == (history.state.value, history.is_open, history.returns)
            assert one.appearances.count() == len(history.episodes) == one.episodes
        assert stale_faults(cast.port_unit.pk) == []

    @settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
    @given(one_code_stories, st.randoms(use_true_random=False))
    def test_the_order_of_arrival_does_not_matter(self, story, chance: random.Random):
        told = []
        for order in (sorted(story), chance.sample(story, len(story))):
            cast = make_cast_of(len(told))
            for day, what in order:
                if what == "clear":
                    clear(cast, day, day / 4)
                else:
                    scan(cast, day, day / 4, [seen(COOLANT, what)] if what else [])
            told.append(facts())
            Episode.objects.all().delete()
            Fault.objects.update(state="none")
        assert told[0] == told[1]


def make_cast_of(number: int) -> Any:
    """The cast, or the same people with a second boat."""
    if number == 0:
        return make_cast()
    boat = Vessel.objects.create(name="Again", owner=Customer.objects.get())
    unit = ControlUnit.objects.create(vessel=boat)
    tech = Person.objects.get(username="tomas")
    return SimpleNamespace(tech=tech, vessel=boat, port_unit=unit)


def without_marks(row):
    """A stored episode without what only the picture needs."""
    return {name: value for name, value in row.items() if name not in {"clears", "proof"}}


def test_every_state_survives_the_database(cast):
    for state in FaultState:
        assert history_from_json({"state": state.value}).state is state
    scan(cast, 0, 100, [seen(COOLANT, "stored"), seen(OIL, "permanent")])
    clear(cast, 1, 101)
    scan(cast, 2, 102, [seen(OIL, "permanent")])
    scan(cast, 9, None, [seen(COOLANT)])
    for one in Fault.objects.all():
        again = history_as_json(history_from_json(one.history))
        stored = {**one.history, "episodes": [without_marks(row) for row in one.history["episodes"]]}
        rest = stored.pop("rest")
        assert again == stored
        assert rest_as_json(rest_from_json(rest)) == rest


def test_a_scan_that_lists_a_code_in_another_way_proves_nothing_of_it(cast):
    scan(cast, 0, 100, [seen(LOST), seen(LEAN)])
    scan(cast, 1, 101, [seen(LOST_IN_FULL)])
    assert (fault(LOST).state, fault(LEAN).is_open, fault(LOST_IN_FULL).state) == ("active", False, "active")
    scan(cast, 2, 102, [seen(LOST)])  # and back: nothing came back that had never been gone
    assert (fault(LOST).returns, fault(LOST_IN_FULL).state, fault(LOST_IN_FULL).returns) == (0, "active", 0)
    scan(cast, 3, 103)
    assert [fault(one).is_open for one in (LOST, LOST_IN_FULL)] == [False, False]
    assert stale_faults(cast.port_unit.pk) == []


def test_rebuild_proves_and_mends(cast):
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL)], job=job)
    clear(cast, 1, 101, job=job)
    out = StringIO()
    call_command("rebuild_faults", check=True, stdout=out)
    assert "every fault is what its evidence says" in out.getvalue()
    Fault.objects.filter(code="110-0").update(state="active")
    Episode.objects.filter(fault__code="100-1").update(outcome="held")
    complaints = StringIO()
    with pytest.raises(CommandError, match="2 faults"):
        call_command("rebuild_faults", check=True, stdout=out, stderr=complaints)
    assert "SPN 110 FMI 0 is stored as active" in complaints.getvalue()
    call_command("rebuild_faults", stdout=out)
    assert "2 faults changed" in out.getvalue()
    call_command("rebuild_faults", check=True, vessel=cast.vessel.pk, stdout=out)


@pytest.mark.parametrize("to", ["another engine", "no engine", "another boat"])
def test_a_fault_put_under_another_engine_or_boat_is_named_and_put_back(cast, to):
    scan(cast, 0, 100, [seen(COOLANT)])
    found = fault(COOLANT)
    other = Vessel.objects.create(name="Elsewhere", owner=cast.customer)
    changes = {
        "another engine": {"engine": cast.starboard}, "no engine": {"engine": None}, "another boat": {"vessel": other},
    }  # fmt: skip
    Fault.objects.filter(pk=found.pk).update(**changes[to])
    complaints = StringIO()
    with pytest.raises(CommandError, match="1 faults"):
        call_command("rebuild_faults", check=True, stdout=StringIO(), stderr=complaints)
    assert "stands under another boat or engine than its unit" in complaints.getvalue()
    call_command("rebuild_faults", stdout=StringIO())
    again = Fault.objects.get(pk=found.pk)
    assert (again.vessel_id, again.engine_id) == (cast.vessel.pk, cast.port.pk)
    call_command("rebuild_faults", check=True, stdout=StringIO())


def test_check_names_a_fault_whose_code_was_changed_by_hand(cast):
    scan(cast, 0, 100, [seen(COOLANT)])
    Fault.objects.update(code="111-0")
    complaints = StringIO()
    with pytest.raises(CommandError):
        call_command("rebuild_faults", check=True, stdout=StringIO(), stderr=complaints)
    assert "SPN 110 FMI 0 stands at fault" in complaints.getvalue()


def test_a_new_hold_is_applied_to_every_fault(cast, django_capture_on_commit_callbacks):
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 1, 100, job=job)
    scan(cast, 30, 140)
    scan(cast, 0, 100, [seen(OIL)], unit=cast.starboard_unit, job=job)
    work(cast, 0.5, 100, [fault(OIL)], job=job)
    clear(cast, 1, 100, unit=cast.starboard_unit, job=job)
    scan(cast, 30, 140, [seen(OIL)], unit=cast.starboard_unit)
    assert fault(COOLANT).state == "cleared"
    assert fault(OIL).appearances.last().is_comeback is True
    profile = shop_profile()
    profile.hold_hours = Decimal("40")
    with django_capture_on_commit_callbacks(execute=True):
        profile.save()
    assert fault(COOLANT).state == "historic"
    assert fault(OIL).appearances.last().is_comeback is False
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        profile.name = "Another name"
        profile.save()
    assert callbacks == []


def test_an_upgrade_that_reads_evidence_anew_derives_every_fault(cast, monkeypatch):
    scan(cast, 0, 100, [seen(COOLANT)])
    Fault.objects.update(state="cleared")
    app = apps.get_app_config("faults")
    monkeypatch.setattr(holding, "RULES_CHANGED", {"0901_another_reading"})
    step = SimpleNamespace(app_label="faults", name="0900_another_index")
    rederive_if_changed(app, plan=[(step, False)])
    assert fault().state == "cleared"
    step.name = "0901_another_reading"
    rederive_if_changed(app, plan=[(step, False)])
    assert fault().state == "active"


def test_deriving_costs_the_same_however_long_the_history(cast):
    def cost() -> int:
        scan(cast, 0, 100, [seen(COOLANT), seen(OIL)])
        Fault.objects.update(state="none")
        with CaptureQueriesContext(connection) as spent:
            rederive_unit(cast.port_unit.pk)
        return len(spent)

    few = cost()
    for day in range(1, 15):
        scan(cast, day, 100 + day, [seen(COOLANT, "stored")] if day % 3 else [])
        clear(cast, day + 0.5, 100 + day)
    assert Sighting.objects.count() > 10
    assert cost() == few


def test_pages_say_that_they_stand_by_the_old_rule_until_a_worker_has_applied_the_new_one(cast, client, monkeypatch):
    scan(cast, 0, 100, [seen(COOLANT)])
    client.force_login(cast.manager)
    pages = [
        reverse("findings:fault", args=[fault(COOLANT).pk]),
        reverse("findings:vessel_faults", args=[cast.vessel.pk]),
        reverse("findings:insight"),
        reverse("findings:insight_returned"),
    ]
    profile = shop_profile()
    profile.hold_hours = Decimal("40")
    profile.save()  # no worker does it, as nothing is committed in this test
    for page in pages:
        said = client.get(page).content.decode()
        assert "Still by the old rule" in said, page
        assert "waiting for its turn" in said
    task = open_task(REDERIVE.name)
    BackgroundTask.objects.update(state="failed", problem="It could not be done.")
    assert "It could not be done." in client.get(pages[0]).content.decode()
    BackgroundTask.objects.update(state="asked", problem="")
    do_now(task)
    for page in pages:
        assert "Still by the old rule" not in client.get(page).content.decode()


def _returned_overnight(cast) -> Fault:
    """Cleared at 5 PM of the shop, seen again the next morning at 8: fifteen hours, and the day after."""
    for day, what in ((0, "seen"), (0.375, "clear"), (1, "seen")):  # noon, 9 PM and noon UTC: 8 AM, 5 PM, 8 AM
        if what == "seen":
            scan(cast, day, None, [seen(COOLANT)])
        else:
            clear(cast, day, None)
    return fault(COOLANT)


def test_a_return_on_the_next_morning_is_a_day_after(cast):
    returned = _returned_overnight(cast)
    assert returned.appearances.last().gap_days == 1
    assert "seen again the next day after it was cleared" in FaultSeen(returned).sentence
    call_command("rebuild_faults", check=True, stdout=StringIO())


def test_a_shop_in_another_zone_has_other_days(cast, django_capture_on_commit_callbacks):
    returned = _returned_overnight(cast)
    profile = shop_profile()
    profile.time_zone = "Asia/Tokyo"  # cleared at 6 AM and back at 9 PM of one day there
    with django_capture_on_commit_callbacks(execute=True):
        profile.save()
    assert returned.appearances.last().gap_days == 0
    assert "seen again the same day after it was cleared" in FaultSeen(fault(COOLANT)).sentence
    call_command("rebuild_faults", check=True, stdout=StringIO())


@pytest.mark.django_db
def test_each_time_away_has_its_turn_and_what_was_never_away_has_none() -> None:
    """A clear after which the next scan shows the code as before is none: it was not away."""
    cast = make_cast()
    for day, hours in ((0, 100), (20, 150), (40, 200), (60, 260)):
        scan(cast, day, hours, [seen(COOLANT)])
        if day < 60:
            clear(cast, day + 1, hours)
            scan(cast, day + 2, hours + 3)
    assert list(Episode.objects.order_by("number").values_list("turn", flat=True)) == [1, 2, 3, None]


def test_work_that_is_voided_no_longer_says_from_when_on_the_fault_was_away(cast: Cast) -> None:
    """What went by itself after work is away since the work; without that work, since the scan that found it gone."""
    scan(cast, 0, 100, [seen(COOLANT)])
    done = work(cast, 2, 101, [fault()])
    scan(cast, 5, 130)
    assert Episode.objects.get().since_at == at(2)
    retract(by=cast.manager, entry=done.entry, reason="It was on the other engine.")
    assert Episode.objects.get().since_at == at(5)


@pytest.mark.parametrize(
    ("state", "day", "outcome", "faults_state"),
    [
        ("ready", 2, "returned", "returned"),
        ("closed", 2, "returned", "returned"),
        ("waiting-parts", 2, "unfixed", "not fixed yet"),  # the work was not done yet
        ("ready", 6, "unfixed", "not fixed yet"),  # it was back before anybody said that it was done
        ("ready", 5, "unfixed", "not fixed yet"),  # at the very moment it was of the visit still
    ],
)
def test_a_job_that_is_told_late_to_be_done_makes_a_return_of_what_was_back_after_that(
    cast: Cast, state: str, day: float, outcome: str, faults_state: str
) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 5, 104, [seen(COOLANT)], job=job, phase="sea-trial")
    assert fault().state == "not fixed yet"
    append(
        NewEntry("job-moved", cast.vessel, cast.desk, "Told.", job_id=job.pk, happened_at=at(day)),
        detail=JobMove(from_state="in-work", to_state=state),
    )
    assert Episode.objects.get(number=1).outcome == outcome
    assert fault().state == faults_state
    assert stale_faults(cast.port_unit.pk) == []
