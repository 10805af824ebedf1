"""Logging scans, clears and work: what is written, what is refused, what counts."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from commands.refusals import Refused
from findings.faults.actions import CodeSeen, clear_codes, log_scan, log_work
from findings.faults.models import Clear, Fault, Scan, Sighting, WorkDone
from tests.cast import Cast
from tests.findings.story import COOLANT, LEAN, OIL, at, clear, fault, open_job, scan, seen, work
from vessels.log.chain import NewEntry, append
from vessels.log.verify import broken_link
from vessels.models import LogEntry, Vessel
from workorders.models import JobMove

pytestmark = pytest.mark.django_db


def take_back(cast: Cast, entry: LogEntry) -> None:
    append(NewEntry(kind="retraction", vessel=cast.vessel, author=cast.manager, summary="Voided.", amends=entry))


def test_a_scan_makes_the_fault_and_its_evidence(cast: Cast) -> None:
    made = scan(cast, 0, 100, [seen(COOLANT, "active", 3), seen(OIL, "stored")])
    one = fault(COOLANT)
    assert (one.state, one.status_now, one.is_open, one.episodes) == ("active", "active", True, 1)
    assert (one.vessel, one.engine, one.unit) == (cast.vessel, cast.port, cast.port_unit)
    assert one.last_seen_hours == Decimal(100)
    assert fault(OIL).state == "stored"
    rows = made.sightings.order_by("pk").values_list("system", "code", "status", "count")
    assert list(rows) == [("spn", "110-0", "active", 3), ("spn", "100-1", "stored", None)]
    assert made.entry.summary == (
        "Scan of Engine control unit (port), on arrival, complete: SPN 110 FMI 0 active ×3, SPN 100 FMI 1 stored."
    )


def test_the_log_holds_after_every_kind(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 0.1, 100, [fault()])
    clear(cast, 0.2, 100, [fault()])
    assert broken_link(Vessel.objects.get(pk=cast.vessel.pk)) is None


def test_the_whole_life_of_a_fault(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.1, 100, [fault()], job=job)
    clear(cast, 0.2, 100, job=job)
    assert fault().state == "cleared"
    scan(cast, 0.3, 100, phase="after-repair", job=job)
    assert fault().appearances.get().outcome == "holding"
    scan(cast, 20, 118, [seen(COOLANT)])
    one = fault()
    assert (one.state, one.status_now, one.returns) == ("returned", "active", 1)
    first, second = one.appearances.all()
    assert (first.outcome, first.outcome_hours, first.outcome_days, first.is_repair) == ("returned", 18, 20, True)
    assert (second.gap_hours, second.is_comeback, second.outcome) == (18, True, "open")
    clear(cast, 21, 120)
    scan(cast, 90, 175)
    assert (fault().state, fault().appearances.last().outcome) == ("historic", "held")


def test_back_after_the_hold_is_no_comeback(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    work(cast, 0.1, 100, [fault()])
    clear(cast, 0.2, 100, job=open_job(cast))
    scan(cast, 20, 150, [seen(COOLANT)])
    assert fault().state == "returned"
    assert fault().appearances.last().is_comeback is False


def test_back_after_a_clear_that_was_no_repair_is_no_comeback(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    clear(cast, 0.2, 100)
    scan(cast, 20, 110, [seen(COOLANT)])
    assert fault().appearances.last().is_comeback is False


def outcomes() -> list[tuple[str, bool, bool]]:
    return list(fault().appearances.values_list("outcome", "is_repair", "is_comeback"))


def test_a_clear_on_a_job_is_no_repair(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 20, 110, [seen(COOLANT)])
    assert outcomes() == [("returned", False, False), ("open", False, False)]


def test_400_hours_away_are_said_whatever_was_cleared_meanwhile(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.1, 100, [fault()], job=job)
    clear(cast, 0.2, 100, job=job)
    for visit in range(1, 9):
        clear(cast, 30 * visit, 100 + 50 * visit - 0.5, job=open_job(cast))
        scan(cast, 30 * visit + 1, 100 + 50 * visit)
    one = fault()
    assert (one.state, one.cleared_hours) == ("historic", 100)
    row = one.appearances.get()
    assert (row.outcome, row.outcome_hours, row.since_hours) == ("held", 400, 100)
    scan(cast, 300, 520, [seen(COOLANT)])
    assert fault().appearances.first().outcome_hours == fault().appearances.last().gap_hours == 420


def test_back_on_the_sea_trial_of_an_unfinished_job_is_not_fixed_yet(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.1, 100, [fault()], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 1, 101.5, [seen(COOLANT)], job=job, phase="sea-trial")
    assert outcomes() == [("unfixed", False, False), ("open", False, False)]
    assert fault().returns == 0
    work(cast, 1.1, 101.5, [fault()], "Replaced the thermostat too.", job=job)
    clear(cast, 1.2, 101.5, job=job)
    scan(cast, 20, 118, [seen(COOLANT)], job=open_job(cast))
    assert outcomes() == [("unfixed", False, False), ("returned", True, False), ("open", False, True)]
    assert fault().returns == 1


@pytest.mark.parametrize("state", ["ready", "closed"])
def test_back_on_a_job_that_was_said_to_be_done_is_a_comeback(cast: Cast, state: str) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.1, 100, [fault()], job=job)
    clear(cast, 0.2, 100, job=job)
    append(
        NewEntry("job-moved", cast.vessel, cast.desk, "Done.", job_id=job.pk, happened_at=at(2)),
        detail=JobMove(from_state="in-work", to_state=state),
    )
    scan(cast, 5, 104, [seen(COOLANT)], job=job, phase="sea-trial")
    assert outcomes() == [("returned", True, False), ("open", False, True)]


def test_a_boat_that_arrives_again_had_been_away_though_its_job_was_open(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.1, 100, [fault()], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 30, 130, [seen(COOLANT)], job=job, phase="arrival")
    assert outcomes() == [("returned", True, False), ("open", False, True)]


def test_work_on_a_later_job_did_not_end_what_was_gone_before(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 10, 120, job=job)
    work(cast, 30, 160, [fault()], job=open_job(cast))
    assert outcomes() == [("holding", False, False)]
    assert fault().appearances.get().work is None


def test_work_written_down_after_the_sea_trial_is_the_repair(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    clear(cast, 0.2, 100, job=job)
    scan(cast, 1, 101.5, job=job, phase="sea-trial")
    work(cast, 1.5, 102, [fault()], job=job)
    assert outcomes() == [("holding", True, False)]
    assert fault().appearances.get().outcome_hours == Decimal("1.5")


def test_work_without_a_clear_holds_from_the_work(cast: Cast) -> None:
    job = open_job(cast)
    scan(cast, 0, 100, [seen(COOLANT)], job=job)
    work(cast, 0.5, 100, [fault()], job=job)
    scan(cast, 90, 140)
    assert outcomes() == [("holding", True, False)]
    scan(cast, 100, 145, [seen(COOLANT)])
    assert outcomes() == [("returned", True, False), ("open", False, True)]
    assert fault().appearances.last().gap_hours == 45


@pytest.mark.parametrize(("gap", "comeback"), [(364, True), (365, False)])
def test_without_hours_the_hold_is_in_days(cast: Cast, gap: int, comeback: bool) -> None:
    scan(cast, 0, None, [seen(COOLANT)])
    work(cast, 0, None, [fault()])
    clear(cast, 0, None, job=open_job(cast))
    scan(cast, gap, None, [seen(COOLANT)])
    assert fault().appearances.last().is_comeback is comeback


def test_the_same_form_twice_is_stored_once(cast: Cast) -> None:
    entry_id = uuid.uuid4()
    first = scan(cast, 0, 100, [seen(COOLANT)], entry_id=entry_id)
    again = scan(cast, 0, 100, [seen(COOLANT)], entry_id=entry_id)
    assert first == again
    assert (Scan.objects.count(), Sighting.objects.count(), LogEntry.objects.count()) == (1, 1, 1)
    cleared = [clear(cast, 1, 100, entry_id=uuid.UUID(int=1)) for _ in range(2)]
    done = [work(cast, 1, 100, [fault()], entry_id=uuid.UUID(int=2)) for _ in range(2)]
    assert (len(set(cleared)), len(set(done)), Clear.objects.count(), WorkDone.objects.count()) == (1, 1, 1, 1)


def test_an_id_used_for_something_else_is_refused(cast: Cast) -> None:
    entry_id = uuid.uuid4()
    scan(cast, 0, 100, [seen(COOLANT)], entry_id=entry_id)
    with pytest.raises(Refused, match="already used"):
        clear(cast, 1, 100, entry_id=entry_id)


def test_late_evidence_before_the_first_sighting(cast: Cast) -> None:
    scan(cast, 10, 110, [seen(COOLANT)])
    scan(cast, 5, 105)
    clear(cast, 4, 104)
    one = fault()
    assert (one.state, one.episodes, one.first_seen_at) == ("active", 1, at(10))
    scan(cast, 1, 101, [seen(COOLANT)])
    one = fault()
    assert (one.state, one.episodes, one.returns, one.first_seen_at) == ("returned", 2, 1, at(1))
    assert one.appearances.last().gap_hours == 6


def test_a_late_clear_between_two_sightings_makes_a_return(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 20, 120, [seen(COOLANT)])
    assert fault().state == "active"
    clear(cast, 1, 101)
    assert fault().state == "returned"


def test_a_partial_scan_proves_no_absence(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 1, 101, [seen(OIL)], complete=False)
    assert fault(COOLANT).state == "active"
    scan(cast, 2, 102, [seen(OIL)], complete=True)
    assert fault(COOLANT).state == "historic"


def test_units_do_not_speak_for_each_other(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 1, 90, [seen(COOLANT)], unit=cast.starboard_unit)
    clear(cast, 2, 91, unit=cast.starboard_unit)
    assert fault(COOLANT, cast.port_unit).state == "active"
    assert fault(COOLANT, cast.starboard_unit).state == "cleared"


def test_a_clear_of_some_leaves_the_others(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL)])
    clear(cast, 1, 101, [fault(OIL)])
    assert (fault(OIL).state, fault(COOLANT).state) == ("cleared", "active")


def test_evidence_taken_back_no_longer_counts(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    cleared = clear(cast, 1, 101, job=open_job(cast))
    take_back(cast, cleared.entry)
    assert fault().state == "active"
    take_back(cast, fault().sightings.get().scan.entry)
    one = fault()
    assert (one.state, one.episodes, one.is_open, one.last_seen_at) == ("none", 0, False, None)
    assert not one.appearances.exists()


def test_work_taken_back_makes_no_repair(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    done = work(cast, 1, 100, [fault()])
    clear(cast, 1, 101)
    assert fault().appearances.get().is_repair is True
    take_back(cast, done.entry)
    episode = fault().appearances.get()
    assert (episode.is_repair, episode.work) == (False, None)


def test_a_corrected_scan_counts_as_corrected(cast: Cast) -> None:
    wrong = scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 0, 100, [seen(OIL)], amends=wrong.entry)
    assert fault(COOLANT).state == "none"
    assert fault(OIL).state == "active"


def test_a_scan_corrected_to_another_unit_leaves_the_first(cast: Cast) -> None:
    wrong = scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 0, 100, [seen(COOLANT)], unit=cast.starboard_unit, amends=wrong.entry)
    assert fault(COOLANT, cast.port_unit).state == "none"
    assert fault(COOLANT, cast.starboard_unit).state == "active"


def test_a_plain_note_about_a_scan_leaves_it_counting(cast: Cast) -> None:
    made = scan(cast, 0, 100, [seen(COOLANT)])
    append(
        NewEntry(kind="note", vessel=cast.vessel, author=cast.tech, summary="Note.", text="Cold.", amends=made.entry)
    )
    assert fault().state == "active"


def test_a_code_listed_twice_is_one_sighting_with_the_higher_count(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT, "active", 2), seen(COOLANT, "active", 5), seen(COOLANT, "stored")])
    assert list(Sighting.objects.order_by("pk").values_list("status", "count")) == [("active", 5), ("stored", None)]
    assert fault().status_now == "active"


@pytest.mark.parametrize(
    "attempt",
    [
        lambda cast: log_scan(by=cast.desk, unit=cast.port_unit, phase="arrival", is_complete=True, codes=[]),
        lambda cast: clear_codes(by=cast.desk, unit=cast.port_unit),
        lambda cast: log_work(by=cast.desk, vessel=cast.vessel, faults=[fault()], text="x"),
    ],
    ids=["scan", "clear", "work"],
)
def test_the_front_desk_changes_no_findings(cast: Cast, attempt) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    before = LogEntry.objects.count()
    with pytest.raises(Refused, match="does not allow"):
        attempt(cast)
    assert LogEntry.objects.count() == before


def test_only_what_stands_can_be_corrected(cast: Cast) -> None:
    wrong = scan(cast, 0, 100, [seen(COOLANT)])
    take_back(cast, wrong.entry)
    with pytest.raises(Refused, match="already"):
        scan(cast, 0, 100, [seen(OIL)], amends=wrong.entry)
    cleared = clear(cast, 1, 100)
    with pytest.raises(Refused, match="same kind"):
        scan(cast, 0, 100, [seen(OIL)], amends=cleared.entry)


def test_a_partial_scan_without_codes_says_nothing(cast: Cast) -> None:
    with pytest.raises(Refused, match="needs at least one code") as refusal:
        scan(cast, 0, 100, [], complete=False)
    assert "is_complete" in refusal.value.fields
    assert not Fault.objects.exists()


def test_refusals_write_nothing(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    other = make_other_boat(cast)
    job = open_job(cast)
    job.vessel = other
    job.save()
    line = job.lines.get()
    before = (LogEntry.objects.count(), Fault.objects.count())
    cases = [
        ("another boat", lambda: scan(cast, 1, 100, [seen(LEAN)], job=job)),
        ("hours cannot be right", lambda: scan(cast, 1, -1, [seen(LEAN)])),
        ("future", lambda: log_scan(
            by=cast.tech, unit=cast.port_unit, phase="arrival", is_complete=True, codes=[seen(LEAN)],
            happened_at=timezone.now() + timedelta(days=1),
        )),
        ("when the scan was taken", lambda: scan(cast, 1, 1, [seen(LEAN)], phase="noon")),
        ("not possible", lambda: scan(cast, 1, 1, [CodeSeen(LEAN, seen(LEAN).status, 70_000)])),
        ("No code is chosen", lambda: clear(cast, 1, 1, [])),
        ("another unit", lambda: clear(cast, 1, 1, [fault()], unit=cast.starboard_unit)),
        ("what was done", lambda: work(cast, 1, 1, [], " ")),
        ("what was done", lambda: work(cast, 1, 1, [fault()], "  ")),
        ("another boat", lambda: work(cast, 1, 1, [fault()], job=job, line=line)),
    ]  # fmt: skip
    for sentence, attempt in cases:
        with pytest.raises(Refused, match=sentence):
            attempt()
    assert (LogEntry.objects.count(), Fault.objects.count()) == before


def test_hours_neither_run_backward_nor_outrun_the_clock(cast: Cast) -> None:
    scan(cast, 0, 100, [seen(COOLANT)])
    scan(cast, 9, 150)
    for hours, day, words in [(99, 5, "is less"), (151, 5, "is more"), (25_000, 12, "more than have passed")]:
        for attempt in (scan, clear):
            with pytest.raises(Refused) as refusal:
                attempt(cast, day, hours)
            assert words in refusal.value.fields["hours"]
    scan(cast, 5, 100)


def test_something_else_under_the_id_of_a_logged_entry_is_refused(cast: Cast) -> None:
    scan_id, work_id = uuid.uuid4(), uuid.uuid4()
    first = scan(cast, 0, 100, [seen(COOLANT)], entry_id=scan_id)
    assert scan(cast, 0, 100, [seen(COOLANT), seen(COOLANT)], entry_id=scan_id) == first
    done = work(cast, 1, 100, [fault()], entry_id=work_id)
    assert work(cast, 1, 100, [fault()], entry_id=work_id) == done
    for attempt in (
        lambda: scan(cast, 0, 100, [seen(COOLANT), seen(LEAN)], entry_id=scan_id),
        lambda: work(cast, 1, 100, [fault()], "Cleaned the cooler.", entry_id=work_id),
    ):
        with pytest.raises(Refused, match="with other content"):
            attempt()
    assert LogEntry.objects.count() == 2


def make_other_boat(cast: Cast) -> Vessel:
    return Vessel.objects.create(name="Third Time", owner=cast.customer)
