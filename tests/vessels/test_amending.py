"""Corrections and entries voided: both stay, and only evidence that stands counts."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from commands.refusals import Refused
from staff.models import Person
from tests.cast import Cast
from vessels import actions
from vessels.log.registry import on_amended
from vessels.models import LogEntry
from vessels.queries import latest_hours


def test_a_correction_leaves_the_entry_standing(cast: Cast) -> None:
    reading = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    actions.amend_text(by=cast.desk, entry=reading, text="Read at the dock.")
    assert latest_hours(cast.port) == reading


def test_taken_back_evidence_no_longer_counts(cast: Cast) -> None:
    first = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    wrong = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1000))
    with pytest.raises(Refused, match="void it"):
        actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(110))
    actions.retract(by=cast.tech, entry=wrong, reason="Misread.")
    assert latest_hours(cast.port) == first
    assert actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(110)).engine_hours == 110
    assert LogEntry.objects.filter(pk=wrong.pk).exists()


def test_a_reading_can_be_replaced_by_a_right_one(cast: Cast) -> None:
    actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    wrong = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(1000))
    right = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(101), amends=wrong)
    assert right.happened_at == wrong.happened_at
    assert latest_hours(cast.port) == right
    with pytest.raises(Refused, match=f"already corrected by {cast.tech.name}, "):
        actions.retract(by=cast.tech, entry=wrong, reason="Again.")


def test_only_evidence_and_notes_are_taken_back(cast: Cast) -> None:
    boat = actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")
    added = boat.log.get()
    with pytest.raises(Refused, match="would not undo"):
        actions.retract(by=cast.manager, entry=added, reason="No.")
    note = actions.write_note(by=cast.desk, vessel=boat, text="x")
    taken = actions.retract(by=cast.desk, entry=note, reason="Wrong boat.")
    assert (taken.amends, taken.kind) == (note, "retraction")
    with pytest.raises(Refused, match=f"already voided by {cast.desk.name}, "):
        actions.retract(by=cast.desk, entry=note, reason="Again.")
    with pytest.raises(Refused, match="stays voided"):
        actions.retract(by=cast.manager, entry=taken, reason="Back again.")


def test_a_reason_is_asked_for(cast: Cast) -> None:
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="x")
    with pytest.raises(Refused) as refusal:
        actions.retract(by=cast.desk, entry=note, reason="  ")
    assert set(refusal.value.fields) == {"reason"}
    with pytest.raises(Refused) as refusal:
        actions.amend_text(by=cast.desk, entry=note, text="")
    assert set(refusal.value.fields) == {"text"}


def test_those_who_derive_are_told_in_the_same_transaction(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    heard: list[LogEntry] = []
    monkeypatch.setattr("vessels.log.registry._amendment_listeners", [])
    on_amended(heard.append)
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="x")
    assert not heard
    correction = actions.amend_text(by=cast.desk, entry=note, text="y")
    taken = actions.retract(by=cast.desk, entry=note, reason="z")
    assert heard == [correction, taken]


def test_front_desk_takes_back_what_it_may_and_is_kept_from_findings(cast: Cast, client: Client) -> None:
    from engineering.codes import recognize
    from engineering.codes.code import CodeStatus
    from findings.faults.actions import CodeSeen, log_scan

    scan = log_scan(
        by=cast.tech, unit=cast.port_unit, phase="arrival", is_complete=True,
        codes=[CodeSeen(code=recognize("SPN 110 FMI 0"), status=CodeStatus.ACTIVE, count=1)],
    )  # fmt: skip
    client.force_login(cast.desk)
    url = reverse("vessels:void", args=[scan.pk])
    assert client.get(url).status_code == 403
    assert client.post(url, {"reason": "no"}).status_code == 403
    assert (
        reverse("vessels:void", args=[scan.pk])
        not in client.get(reverse("vessels:entry", args=[scan.pk])).content.decode()
    )
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="x")
    answer = client.post(reverse("vessels:void", args=[note.pk]), {"reason": "Wrong boat."})
    assert answer.status_code == 302
    page = client.get(reverse("vessels:entry", args=[note.pk])).content.decode()
    assert "voided" in page
    assert "Wrong boat." in page


def test_both_ways_are_linked(cast: Cast, client: Client) -> None:
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="Bilge wet.")
    client.force_login(cast.desk)
    answer = client.post(reverse("vessels:amend", args=[note.pk]), {"text": "Bilge dry."})
    assert answer.url == reverse("vessels:entry", args=[note.pk])
    later = note.amendments.get()
    assert reverse("vessels:entry", args=[later.pk]) in client.get(answer.url).content.decode()
    assert (
        reverse("vessels:entry", args=[note.pk])
        in client.get(reverse("vessels:entry", args=[later.pk])).content.decode()
    )


@pytest.mark.parametrize("what", ["a note", "hours", "what a unit said"])
def test_the_front_desk_takes_back_its_own_and_nothing_of_a_technicians(cast: Cast, what: str) -> None:
    def written(by: Person) -> LogEntry:
        if what == "a note":
            return actions.write_note(by=by, vessel=cast.vessel, text="Impeller worn.")
        if what == "hours":
            return actions.log_hours(by=by, engine=cast.port, shown=Decimal(100))
        return actions.identify_unit(by=by, unit=cast.port_unit, software=by.username)

    entry = written(cast.tech)
    with pytest.raises(Refused, match="does not allow you"):
        actions.retract(by=cast.desk, entry=entry, reason="No.")
    actions.retract(by=cast.manager, entry=entry, reason="Other boat.")
    actions.retract(by=cast.desk, entry=written(cast.desk), reason="Other boat.")


def test_a_technician_leaves_the_front_desks_note_and_mends_its_hours(cast: Cast) -> None:
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="Owner wants no work over 500.")
    with pytest.raises(Refused, match="somebody else wrote"):
        actions.retract(by=cast.tech, entry=note, reason="No.")
    hours = actions.log_hours(by=cast.desk, engine=cast.port, shown=Decimal(1000))
    assert actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100), amends=hours).amends == hours


def test_the_front_desk_puts_no_hours_in_place_of_a_technicians(cast: Cast) -> None:
    hours = actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    with pytest.raises(Refused, match="does not allow you"):
        actions.log_hours(by=cast.desk, engine=cast.port, shown=Decimal(90), amends=hours)
    assert latest_hours(cast.port) == hours
