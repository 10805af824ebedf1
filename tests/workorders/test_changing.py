"""Intake, lines and charges through their actions."""

from __future__ import annotations

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from commands.models import Command
from commands.refusals import Conflict, Refused
from parts.models import Part
from staff.journal_words import changes_words
from tests.cast import Cast, keep_to_the_office
from vessels.models import LogEntry, Vessel
from workorders.actions import add_charge, add_line, change_intake, change_line, open_job, strike_charge
from workorders.models import Charge, Job, JobChange


def end(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=timezone.now())
    job.refresh_from_db()


def test_an_intake_is_changed_and_the_log_keeps_what_stood_there(cast: Cast, job: Job) -> None:
    change_intake(
        by=cast.desk,
        job=job,
        seen_version=1,
        changes={"promised_on": date(2027, 3, 1), "location": "yard", "technician": cast.tech, "spot": "B-14"},
    )
    told = JobChange.objects.get().changes
    assert told == {
        "Promised for": ["", "2027-03-01"],
        "Location": ["Slip", "Yard"],
        "Technician": ["", "Tomas Reef"],
    }
    assert job.version == 2


def test_nothing_changed_is_not_told(cast: Cast, job: Job) -> None:
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"spot": " B-14 "})
    assert not JobChange.objects.exists()
    assert job.version == 1


def test_two_people_at_one_field_of_the_intake(cast: Cast, job: Job) -> None:
    change_intake(by=cast.manager, job=job, seen_version=1, changes={"keys": "Hook 4"})
    with pytest.raises(Conflict) as conflict:
        change_intake(by=cast.desk, job=job, seen_version=1, changes={"keys": "Safe"}, seen={"keys": ""})
    assert (conflict.value.theirs, conflict.value.mine) == ({"keys": "Hook 4"}, {"keys": "Safe"})
    assert conflict.value.by == "Mina Sparrow"
    assert Job.objects.get(pk=job.pk).keys == "Hook 4"


def test_two_people_at_different_fields_do_not_meet(cast: Cast, job: Job) -> None:
    change_intake(by=cast.manager, job=job, seen_version=1, changes={"keys": "Hook 4"}, seen={"keys": ""})
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"spot": "C-2"}, seen={"spot": "B-14"})
    job.refresh_from_db()
    assert (job.keys, job.spot) == ("Hook 4", "C-2")


def test_an_intake_that_cannot_be_kept_is_refused_by_its_field(cast: Cast, job: Job) -> None:
    with pytest.raises(Refused) as refusal:
        change_intake(by=cast.desk, job=job, seen_version=1, changes={"location": "moon", "keys": "x" * 90})
    assert set(refusal.value.fields) == {"location", "keys"}


def test_the_number_of_a_job_is_not_part_of_its_intake(cast: Cast, job: Job) -> None:
    with pytest.raises(ValueError, match="number"):
        change_intake(by=cast.desk, job=job, seen_version=1, changes={"number": 7})


def test_a_technician_writes_cause_and_correction_and_no_concern(cast: Cast, job: Job) -> None:
    keep_to_the_office()
    line = job.lines.get()
    change_line(
        by=cast.tech, line=line, seen_version=1, changes={"cause": "Thermostat stuck", "correction": "New thermostat"}
    )
    assert (line.cause, line.correction, line.version) == ("Thermostat stuck", "New thermostat", 2)
    told = JobChange.objects.get()
    assert told.changes == {"Cause": ["", "Thermostat stuck"], "Correction": ["", "New thermostat"]}
    assert told.line == line
    assert told.entry.engine == cast.port
    with pytest.raises(Refused):
        change_line(by=cast.tech, line=line, seen_version=2, changes={"concern": "Something else"})


def test_the_front_desk_writes_the_concern_and_no_correction(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    change_line(by=cast.desk, line=line, seen_version=1, changes={"concern": "Loses rpm under load", "engine": None})
    assert line.engine is None
    with pytest.raises(Refused):
        change_line(by=cast.desk, line=line, seen_version=2, changes={"correction": "Fixed"})


def test_two_people_at_one_line(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    change_line(by=cast.manager, line=line, seen_version=1, changes={"cause": "Fuel"})
    change_line(by=cast.desk, line=line, seen_version=1, changes={"concern": "Hm"}, seen={"concern": line.concern})
    with pytest.raises(Conflict) as conflict:
        change_line(by=cast.tech, line=line, seen_version=1, changes={"cause": "Air"}, seen={"cause": ""})
    assert conflict.value.theirs == {"cause": "Fuel"}


def test_lines_are_numbered_on_and_sent_twice_added_once(cast: Cast, job: Job) -> None:
    entry_id = uuid.uuid4()
    lines = [add_line(by=cast.tech, job=job, concern="Belt is frayed", entry_id=entry_id) for _ in range(2)]
    assert lines[0] == lines[1]
    assert lines[0].position == 2
    assert job.lines.count() == 2


def test_an_id_used_for_something_else_is_refused(cast: Cast, job: Job) -> None:
    entry_id = uuid.uuid4()
    change_intake(by=cast.desk, job=job, seen_version=1, changes={"keys": "Hook"}, entry_id=entry_id)
    with pytest.raises(Refused, match="already used"):
        add_line(by=cast.desk, job=job, concern="One", entry_id=entry_id)


@pytest.mark.parametrize("text", ["", "   "])
def test_a_line_needs_a_concern(cast: Cast, job: Job, text: str) -> None:
    with pytest.raises(Refused):
        add_line(by=cast.desk, job=job, concern=text)
    with pytest.raises(Refused):
        change_line(by=cast.desk, line=job.lines.get(), seen_version=1, changes={"concern": text})


def test_a_closed_job_stays_as_it_is(cast: Cast, job: Job) -> None:
    charge = add_charge(by=cast.desk, job=job, kind="labor", quantity=Decimal("1"))
    end(job)
    line = job.lines.get()
    for attempt in (
        lambda: change_intake(by=cast.desk, job=job, seen_version=job.version, changes={"keys": "Hook"}),
        lambda: add_line(by=cast.desk, job=job, concern="One"),
        lambda: change_line(by=cast.tech, line=line, seen_version=1, changes={"cause": "x"}),
        lambda: add_charge(by=cast.desk, job=job, kind="labor"),
        lambda: strike_charge(by=cast.desk, charge=charge),
    ):
        with pytest.raises(Refused, match="Open it again"):
            attempt()


def test_labor_takes_the_shops_rate_and_what_the_job_keeps_of_taxes(cast: Cast, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(tax_percent=Decimal(6), tax_on_labor=False)
    charge = add_charge(by=cast.desk, job=job, kind="labor", quantity=Decimal("1.5"), line=job.lines.get())
    assert (charge.unit_price, charge.description, charge.taxable) == (Decimal("120.00"), "Labor", False)


def test_a_catalog_part_brings_its_words_and_price(cast: Cast, job: Job) -> None:
    part = Part.objects.create(number="NL-77", description="Thermostat", unit_price=Decimal("48.75"))
    charge = add_charge(by=cast.desk, job=job, kind="part", part=part, quantity=Decimal("2"))
    assert (charge.description, charge.unit_price, charge.taxable) == ("NL-77 Thermostat", Decimal("48.75"), True)
    with pytest.raises(Refused):
        add_charge(by=cast.desk, job=job, kind="fee", part=part, description="Fee", unit_price=Decimal("1"))


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"kind": "sublet", "description": "", "unit_price": Decimal("5")}, "description"),
        ({"kind": "fee", "description": "Shop supplies", "unit_price": None}, "unit_price"),
        ({"kind": "fee", "description": "x" * 161, "unit_price": Decimal("5")}, "description"),
        ({"kind": "labor", "quantity": Decimal("0")}, "quantity"),
        ({"kind": "labor", "quantity": Decimal("1.005")}, "quantity"),
        ({"kind": "labor", "unit_price": Decimal("-1")}, "unit_price"),
        ({"kind": "rum"}, "kind"),
    ],
)
def test_a_charge_that_makes_no_sense_is_refused_by_its_field(cast: Cast, job: Job, more: dict, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        add_charge(by=cast.desk, job=job, **more)
    assert list(refusal.value.fields) == [field]
    assert not Charge.objects.exists()


def test_a_charge_sent_twice_is_charged_once(cast: Cast, job: Job) -> None:
    entry_id = uuid.uuid4()
    charges = [add_charge(by=cast.desk, job=job, kind="labor", entry_id=entry_id) for _ in range(2)]
    assert charges[0] == charges[1]
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Two"])
    with pytest.raises(Refused, match="already logged with other content"):
        add_charge(by=cast.desk, job=other, kind="labor", entry_id=entry_id)


def test_the_journal_says_what_a_charge_did_to_the_total(cast: Cast, job: Job) -> None:
    """Tax is part of it, and it counts for nothing that a charge is sent twice."""
    Job.objects.filter(pk=job.pk).update(tax_percent=Decimal("7.5"), tax_on_labor=False)
    key = uuid.uuid4()
    one = {"by": cast.manager, "job": job, "kind": "part", "description": "Impeller", "entry_id": key}
    impeller = add_charge(**one, quantity=Decimal("3"), unit_price=Decimal("0.35"))
    add_charge(**one, quantity=Decimal("3"), unit_price=Decimal("0.35"))
    add_charge(by=cast.manager, job=job, kind="labor", quantity=Decimal("1.5"), unit_price=Decimal("120"))
    strike_charge(by=cast.manager, charge=impeller)
    kinds = ("add_charge", "strike_charge")
    told = [one.told for one in Command.objects.filter(kind__in=kinds).order_by("position", "received_at")]
    assert [one["job_total"] for one in told] == [["0.00", "1.13"], ["1.13", "181.13"], ["181.13", "180.00"]]
    assert changes_words(told[1]) == "total of the job, with tax: 1.13 → 181.13"


def test_a_charge_of_a_line_on_another_job_is_refused(cast: Cast, job: Job) -> None:
    other = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Two"])
    with pytest.raises(Refused, match="another job"):
        add_charge(by=cast.desk, job=job, kind="labor", line=other.lines.get())


def test_a_charge_taken_off_stays_with_who_and_when(cast: Cast, job: Job) -> None:
    charge = add_charge(by=cast.desk, job=job, kind="labor")
    strike_charge(by=cast.manager, charge=charge)
    first = charge.struck_at
    strike_charge(by=cast.desk, charge=charge)
    assert (charge.is_struck, charge.struck_by, charge.struck_at) == (True, cast.manager, first)
    assert Charge.objects.count() == 1


def test_a_technician_sets_no_prices(cast: Cast, job: Job) -> None:
    charge = add_charge(by=cast.desk, job=job, kind="labor")
    with pytest.raises(Refused, match="priced lines"):
        add_charge(by=cast.tech, job=job, kind="labor")
    with pytest.raises(Refused, match="priced lines"):
        strike_charge(by=cast.tech, charge=charge)


def test_a_line_on_an_engine_of_another_boat_is_refused(cast: Cast, job: Job) -> None:
    other = Vessel.objects.create(name="Teal", owner=cast.customer)
    engine = other.engines.create(position="single")
    with pytest.raises(Refused, match="another boat"):
        add_line(by=cast.desk, job=job, concern="One", engine=engine)
    assert not LogEntry.objects.filter(kind="job-changed").exists()


# Who made a correction.


def told_last() -> dict[str, list[str]]:
    return dict(JobChange.objects.order_by("-entry__position")[0].changes)


def test_who_made_the_correction_and_when_is_kept_and_logged(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    changes = {
        "correction": "New impeller.",
        "done_by": [cast.owner, cast.tech, cast.tech],
        "done_on": date(2026, 5, 4),
    }
    change_line(by=cast.manager, line=line, seen_version=1, changes=changes)
    assert set(line.done_by.all()) == {cast.tech, cast.owner}
    assert line.done_on == date(2026, 5, 4)
    assert told_last() == {
        "Correction": ["", "New impeller."],
        "Done by": ["", "Tomas Reef, Orla Brandt"],
        "Done on": ["", "2026-05-04"],
    }
    change_line(by=cast.tech, line=line, seen_version=2, changes={"done_by": [cast.owner]})
    assert told_last() == {"Done by": ["Tomas Reef, Orla Brandt", "Orla Brandt"]}
    change_line(by=cast.tech, line=line, seen_version=3, changes={"done_by": [cast.owner]})
    assert JobChange.objects.count() == 2
    assert line.version == 3


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"done_on": date(2026, 5, 4)}, "correction"),
        ({"correction": " ", "done_on": date(2026, 5, 4)}, "correction"),
        ({"correction": "New impeller.", "done_on": date(2126, 5, 4)}, "done_on"),
        ({"correction": "New impeller.", "done_on": date(206, 5, 4)}, "done_on"),
    ],
)
def test_what_cannot_have_been_done_is_refused(cast: Cast, job: Job, changes: dict[str, object], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        change_line(by=cast.tech, line=job.lines.get(), seen_version=1, changes=changes)
    assert field in refusal.value.fields
    assert not JobChange.objects.exists()


def test_nobody_made_a_correction_that_is_taken_out_again(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    change_line(
        by=cast.tech, line=line, seen_version=1, changes={"correction": "New impeller.", "done_by": [cast.tech]}
    )
    with pytest.raises(Refused, match="leave out who did it"):
        change_line(by=cast.tech, line=line, seen_version=2, changes={"correction": ""})
    change_line(by=cast.tech, line=line, seen_version=2, changes={"correction": "", "done_by": []})
    assert not line.done_by.exists()


def test_the_front_desk_does_not_say_who_did_it(cast: Cast, job: Job) -> None:
    with pytest.raises(Refused):
        change_line(by=cast.desk, line=job.lines.get(), seen_version=1, changes={"done_by": [cast.tech]})


def test_two_people_who_name_different_people(cast: Cast, job: Job) -> None:
    line = job.lines.get()
    other = type(line).objects.get(pk=line.pk)
    changes = {"correction": "New impeller.", "done_by": [cast.tech]}
    change_line(by=cast.tech, line=line, seen_version=1, changes=changes)
    seen = {"done_by": []}
    with pytest.raises(Conflict) as conflict:
        change_line(by=cast.manager, line=other, seen_version=1, changes={"done_by": [cast.owner]}, seen=seen)
    assert (conflict.value.theirs, conflict.value.mine) == ({"done_by": [cast.tech]}, {"done_by": [cast.owner]})


def test_a_promise_is_not_moved_years_ahead(cast: Cast, job: Job) -> None:
    last = timezone.localdate() + timedelta(days=732)
    with pytest.raises(Refused) as refusal:
        change_intake(
            by=cast.desk, job=job, seen_version=job.version, changes={"promised_on": last + timedelta(days=1)}
        )
    assert "Check the year" in refusal.value.fields["promised_on"]
    assert Job.objects.get(pk=job.pk).promised_on is None
    assert change_intake(by=cast.desk, job=job, seen_version=job.version, changes={"promised_on": last}) == job
    assert Job.objects.get(pk=job.pk).promised_on == last
