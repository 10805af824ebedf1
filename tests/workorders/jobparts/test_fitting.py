"""Parts that were fitted, as a careful parts manager and a surveyor judge them."""

from __future__ import annotations

import json
import uuid
from datetime import timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import DatabaseError, transaction
from django.utils import timezone

from commands.models import Command
from commands.questions import asking
from commands.refusals import Refused
from commands.replay import queued, replay
from tests.cast import Cast
from vessels.actions import add_engine, add_vessel, log_hours, remove_engine, retract, write_note
from vessels.log.entries import shown_entries, single_entry
from vessels.log.evidence import is_effective
from vessels.log.verify import broken_link
from vessels.models import LogEntry, Vessel
from workorders.actions import add_line, open_job
from workorders.jobparts.actions import fit_part
from workorders.jobparts.models import PartFitted
from workorders.models import Job


def refused(act) -> Refused:
    with pytest.raises(Refused) as refusal:
        act()
    return refusal.value


def test_a_catalog_part_is_logged_with_all_that_was_said(cast, job, fit, impeller):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410))
    made = fit(
        serial=" RW  4411 ",
        engine_hours=Decimal("412.5"),
        old_serial="RW 2090",
        old_fate="core",
        text="Vanes were set.",
    )
    entry = made.entry
    assert (made.number, made.maker, made.description) == ("TW-150", "Tidewright", "Raw water impeller")
    assert (made.serial, made.old_serial, made.old_fate) == ("RW 4411", "RW 2090", "core")
    assert (entry.kind, entry.engine, entry.job) == ("part-fitted", cast.port, job)
    assert entry.engine_hours == Decimal("412.5")
    assert entry.summary == "Fitted 1 × TW-150 Raw water impeller (Tidewright), new, serial RW 4411"
    assert entry.text == "Vanes were set."


def test_a_part_that_no_catalog_has_is_logged_as_it_was_typed(fit):
    made = fit(part=None, number=" ZX-9 ", maker="Quillon", description="Belt", quantity=Decimal("2"), condition="used")
    assert str(made) == "2 × ZX-9 Belt (Quillon)"
    assert made.entry.summary == "Fitted 2 × ZX-9 Belt (Quillon), used"


def test_the_catalog_may_change_and_the_entry_does_not(fit, impeller):
    made = fit()
    type(impeller).objects.filter(pk=impeller.pk).update(number="TW-151", description="Kit")
    made.refresh_from_db()
    assert made.words == "TW-150 Raw water impeller (Tidewright)"


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"quantity": Decimal(0)}, "quantity"),
        ({"quantity": Decimal(-1)}, "quantity"),
        ({"quantity": Decimal(10000)}, "quantity"),
        ({"quantity": Decimal("0.001")}, "quantity"),
        ({"quantity": Decimal(4), "serial": "RW 4411"}, "serial"),
        ({"quantity": Decimal("0.5"), "serial": "RW 4411"}, "serial"),
        ({"condition": ""}, "condition"),
        ({"condition": "mint"}, "condition"),
        ({"old_fate": "eaten"}, "old_fate"),
        ({"part": None}, "number"),
        ({"part": None, "number": "  ", "description": " "}, "number"),
        ({"number": "TW-999"}, "number"),
        ({"part": None, "number": "N" * 41}, "number"),
        ({"part": None, "description": "D" * 161}, "description"),
        ({"serial": "S" * 61}, "serial"),
        ({"engine_hours": Decimal(-1)}, "hours"),
        ({"engine": None, "engine_hours": Decimal(412)}, "hours"),
    ],
)
def test_what_cannot_be_is_told_by_its_field_and_nothing_is_logged(fit, told, field):
    assert field in refused(lambda: fit(**told)).fields
    assert not PartFitted.objects.exists()


def test_the_most_and_the_least(fit):
    assert fit(quantity=Decimal(9999)).quantity == 9999
    assert fit(quantity=Decimal("0.25")).quantity_words == "0.25"


def test_a_line_of_another_job_is_refused(cast, job, fit):
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge pump"])
    assert "line" in refused(lambda: fit(line=other.lines.get())).fields


def test_an_engine_or_a_line_of_another_boat_is_refused(cast, fit):
    boat = add_vessel(by=cast.desk, owner=cast.customer, name="Tern")
    engine = add_engine(by=cast.desk, vessel=boat, position="single")
    assert "engine" in refused(lambda: fit(engine=engine)).fields
    line = open_job(by=cast.desk, vessel=boat, concerns=["Leak"]).lines.get()
    assert "line" in refused(lambda: fit(line=line)).fields
    assert not PartFitted.objects.exists()


def test_hours_that_run_backward_or_outrun_the_clock_are_refused(cast, fit):
    log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410))
    assert "is less" in refused(lambda: fit(engine_hours=Decimal(409))).fields["hours"]
    assert "more than have passed" in refused(lambda: fit(engine_hours=Decimal(4120))).fields["hours"]
    fit(engine_hours=Decimal(411))
    again = refused(lambda: log_hours(by=cast.tech, engine=cast.port, shown=Decimal("410.5")))
    assert "411 h" in again.sentence  # what was logged at hours counts as any other


def test_an_engine_that_was_removed_before_is_refused_and_one_that_was_there_then_is_not(cast, fit):
    remove_engine(by=cast.desk, engine=cast.port, happened_at=timezone.now() - timedelta(days=3))
    cast.port.refresh_from_db()
    assert "removed" in refused(fit).fields["engine"]
    assert fit(happened_at=timezone.now() - timedelta(days=5)).entry.engine == cast.port


def test_a_line_about_one_engine_and_a_part_for_the_other_is_asked_about_once(cast, job, fit):
    with asking(list):
        told = refused(lambda: fit(engine=cast.starboard))
    assert "Line 1 is about" in told.fields["engine"]
    with asking(lambda: [f"engine {cast.starboard.pk} for line {job.lines.get().pk}"]):
        assert fit(engine=cast.starboard).entry.engine == cast.starboard


def test_a_serial_number_that_the_log_has_is_asked_about_once(cast, fit):
    fit(serial="RW-4411")
    with asking(list):
        told = refused(lambda: fit(serial="rw 4411"))
    assert "Second Wind" in told.fields["serial"]
    with asking(list):
        fit(serial="RW-4412")  # another piece
    assert fit(serial="RW 4411").pk  # nobody waits for an answer: nothing is lost


def test_it_is_logged_late_and_sent_twice_and_stands_where_it_happened(cast, job, fit):
    entry_id, then = uuid.uuid4(), timezone.now() - timedelta(days=2)
    made = [fit(entry_id=entry_id, happened_at=then) for _ in range(2)]
    assert made[0].pk == made[1].pk == entry_id
    assert PartFitted.objects.count() == 1
    assert (made[0].entry.happened_at, made[0].entry.is_late) == (then, True)


def test_the_future_is_refused(fit):
    assert "happened_at" in refused(lambda: fit(happened_at=timezone.now() + timedelta(hours=2))).fields


def test_what_a_tablet_sends_after_the_job_was_closed_is_kept(job, fit):
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=timezone.now())
    job.refresh_from_db()
    assert fit(happened_at=timezone.now() - timedelta(hours=3)).entry.job == job


def test_it_is_replayed_from_a_queue(cast, job, impeller):
    then = timezone.now() - timedelta(hours=5)
    act = queued(
        "fit_part", by=cast.tech, at=then, entry_id=uuid.uuid4(), device="bay 2", job=job, quantity=Decimal(2),
        condition="rebuilt", part=impeller, engine=cast.port, line=job.lines.get(), old_fate="scrapped",
    )  # fmt: skip
    made = [replay(json.dumps(act), by=cast.tech) for _ in range(2)]
    assert made[0] == made[1]
    assert (made[0].entry.happened_at, made[0].quantity, made[0].condition) == (then, Decimal(2), "rebuilt")
    assert Command.objects.filter(kind="fit_part").count() == 1


def test_the_front_desk_does_not_log_what_was_fitted_and_a_manager_does(cast, fit):
    assert "does not allow" in refused(lambda: fit(by=cast.desk)).sentence
    assert fit(by=cast.manager).pk


class TestCorrecting:
    def test_the_correction_counts_and_both_are_seen(self, cast, job, fit, impeller):
        wrong = fit(quantity=Decimal(2), engine_hours=Decimal(412))
        right = fit(quantity=Decimal(1), serial="RW 4411", engine_hours=Decimal(411), amends=wrong.entry)
        assert right.first_id == wrong.pk
        assert right.entry.happened_at == wrong.entry.happened_at  # of when it was fitted
        assert not is_effective(wrong.entry)
        old = shown_entries(single_entry(wrong.pk), most=1)[0]
        assert (old.is_replaced, old.counts) == (True, False)
        again = fit(quantity=Decimal(3), amends=right.entry)
        assert again.first_id == wrong.pk  # one chain is one part

    def test_it_is_corrected_once(self, fit):
        wrong = fit()
        fit(quantity=Decimal(2), amends=wrong.entry)
        assert "already corrected by " in refused(lambda: fit(amends=wrong.entry)).sentence

    def test_not_what_is_of_another_kind_or_job(self, cast, job, fit):
        note = write_note(by=cast.tech, vessel=cast.vessel, text="Wet.", job_id=job.pk)
        assert "same kind" in refused(lambda: fit(amends=note)).sentence
        wrong = fit()
        other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Bilge pump"])
        told = refused(lambda: fit(job=other, line=None, amends=wrong.entry))
        assert "another job" in told.sentence

    def test_hours_are_held_against_all_but_what_is_corrected(self, cast, fit):
        log_hours(by=cast.tech, engine=cast.port, shown=Decimal(410))
        wrong = fit(engine_hours=Decimal(425))
        assert fit(engine_hours=Decimal("412.5"), amends=wrong.entry).entry.engine_hours == Decimal("412.5")

    def test_a_number_that_the_catalog_has_changed_since_stays(self, fit, impeller):
        wrong = fit()
        type(impeller).objects.filter(pk=impeller.pk).update(number="TW-151")
        impeller.refresh_from_db()
        assert fit(number=wrong.number, text="New.", amends=wrong.entry).number == "TW-150"

    def test_it_takes_who_may_correct_findings(self, cast, fit):
        wrong = fit()
        assert "does not allow" in refused(lambda: fit(by=cast.desk, amends=wrong.entry)).sentence

    def test_it_is_voided_like_any_finding(self, cast, fit):
        wrong = fit(engine_hours=Decimal(425))
        retract(by=cast.tech, entry=wrong.entry, reason="Other boat.")
        assert not is_effective(wrong.entry)
        fit(engine_hours=Decimal(412))  # its hours count no more either


def test_the_log_is_proven_with_them_and_they_cannot_be_changed(cast, fit):
    made = fit(serial="RW 4411")
    fit(quantity=Decimal(2), amends=made.entry)
    assert broken_link(Vessel.objects.get(pk=cast.vessel.pk)) is None
    out = StringIO()
    call_command("verify_log", stdout=out)
    assert "every digest agrees" in out.getvalue()
    for change in ({"serial": "RW 4412"}, {"quantity": 3}):
        with pytest.raises(DatabaseError), transaction.atomic():
            PartFitted.objects.filter(pk=made.pk).update(**change)


def test_the_log_shows_it_and_finds_it_by_number_and_serial(cast, client, fit):
    client.force_login(cast.tech)
    made = fit(serial="RW 4411", old_serial="RW 2090", old_fate="customer")
    for path in (f"/vessels/{cast.vessel.pk}/log/", f"/jobs/{made.entry.job.number}/log/"):
        page = client.get(path).content.decode()
        assert "Fitted 1 × TW-150 Raw water impeller" in page
        assert "Old part: serial RW 2090, kept for the customer." in page
        assert "For line 1." in page
    for text, there in (("TW-150", True), ("rw 4411", True), ("TW-151", False)):
        page = client.get(f"/vessels/{cast.vessel.pk}/log/", {"text": text}).content.decode()
        assert ("Fitted 1 ×" in page) is there
    assert LogEntry.objects.filter(kind="part-fitted").count() == 1


def test_two_lines_are_two_choices(cast, job, fit):
    add_line(by=cast.tech, job=job, concern="Hose is soft")
    assert fit(line=None).line is None
    assert fit(line=job.lines.get(position=2)).line.position == 2


def test_fitted_on_the_boat_itself(cast: Cast, job: Job) -> None:
    made = fit_part(by=cast.tech, job=job, quantity=Decimal(1), condition="new", description="Bilge hose")
    assert (made.entry.engine, str(made)) == (None, "1 × Bilge hose")
