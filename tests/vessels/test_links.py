"""The chain link by link: what a digest covers, what a break is called, and what a walk in pieces finds."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from commands.refusals import Refused
from tests.cast import Cast
from tests.findings.story import COOLANT, OIL, scan, seen
from tests.vessels.test_triggers import as_superuser, sql
from vessels import actions
from vessels.log import registry, verify
from vessels.log.chain import NewEntry, append, entry_body, following_id, lock_log, recorded, row_facts
from vessels.log.entries import of_vessel, read_entries
from vessels.log.registry import LogKind, all_kinds, kind_of, on_amended, register
from vessels.log.verify import BrokenLink, broken_link
from vessels.models import HourReading, LogEntry, Vessel
from vessels.queries import job_choices
from web.icons import icon
from workorders.actions import open_job


@pytest.fixture
def lived(cast: Cast) -> Cast:
    """Five entries, one with a detail."""
    for word in ["first", "second"]:
        actions.write_note(by=cast.tech, vessel=cast.vessel, text=word)
    actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
    for word in ["fourth", "fifth"]:
        actions.write_note(by=cast.tech, vessel=cast.vessel, text=word)
    return cast


def said(cast: Cast) -> tuple[int, int | None, str]:
    link = broken_link(cast.vessel)
    assert link is not None
    assert link.vessel == cast.vessel
    return link.position, link.entry.position if link.entry else None, link.sentence


@pytest.mark.parametrize("chunk", [1, 2, 3, 4, 5, 6])
def test_a_walk_in_pieces_reads_every_entry(lived: Cast, monkeypatch: pytest.MonkeyPatch, chunk: int) -> None:
    monkeypatch.setattr(verify, "CHUNK", chunk)
    assert broken_link(lived.vessel) is None
    with as_superuser():
        sql("UPDATE vessels_hourreading SET shown = 99")
    assert said(lived) == (3, 3, "entry 3 is not what was written")
    with as_superuser():
        sql("UPDATE vessels_hourreading SET shown = 100")
        sql("UPDATE vessels_logentry SET text = 'x' WHERE position = 5")
    assert said(lived) == (5, 5, "entry 5 is not what was written")


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("DELETE FROM vessels_logentry WHERE position = 1", (1, None, "entry 1 is missing")),
        ("DELETE FROM vessels_logentry WHERE position = 4", (4, None, "entry 4 is missing")),
        ("DELETE FROM vessels_logentry WHERE position = 5", (5, None, "the log ends at entry 4, not at 5")),
        ("DELETE FROM vessels_logentry", (1, None, "the log ends at entry 0, not at 5")),
        ("UPDATE vessels_vessel SET log_position = 3", (4, None, "the log ends at entry 5, not at 3")),
        ("UPDATE vessels_vessel SET log_position = 9", (6, None, "the log ends at entry 5, not at 9")),
        (
            "UPDATE vessels_vessel SET log_digest = repeat('0', 64)",
            (5, None, "the last digest is not the one that the vessel keeps"),
        ),
    ],
)
def test_a_break_is_called_by_its_name(lived: Cast, statement: str, says: tuple[int, None, str]) -> None:
    with as_superuser():
        sql(statement)
    assert said(lived) == says


def test_a_boat_without_a_log_is_whole(cast: Cast) -> None:
    assert broken_link(cast.vessel) is None


def test_what_was_only_being_written_during_the_walk_is_no_break(lived: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    """A break is looked at again with the boat's turn in hand before it is believed."""
    walk, walked = verify._walk, []

    def first_in_the_middle_of_a_write(vessel: Vessel, since: int) -> BrokenLink | None:
        walked.append(vessel)
        return BrokenLink(vessel, 6, None, "half of it") if len(walked) == 1 else walk(vessel, since)

    monkeypatch.setattr(verify, "_walk", first_in_the_middle_of_a_write)
    assert broken_link(lived.vessel) is None
    assert len(walked) == 2
    assert broken_link(lived.vessel) is None
    assert len(walked) == 3


def test_ten_minutes_ahead_is_a_clock_and_eleven_the_future(cast: Cast) -> None:
    def note(minutes: float) -> LogEntry:
        happened = timezone.now() + timedelta(minutes=minutes)
        return append(NewEntry("note", cast.vessel, cast.tech, "Note", happened_at=happened, text="  Dry.\n"))

    assert note(9.9).text == "Dry."
    with pytest.raises(Refused, match="Check date and time") as refusal:
        note(10.1)
    assert refusal.value.fields == {"happened_at": "Enter a time in the past."}


def test_who_adds_an_entry_holds_the_boat_as_it_stands_after_it(cast: Cast) -> None:
    entry = append(NewEntry("note", cast.vessel, cast.tech, "Note", text="Dry."))
    assert (cast.vessel.log_position, cast.vessel.log_digest) == (1, entry.digest)
    stored = Vessel.objects.get(pk=cast.vessel.pk)
    assert (stored.log_position, stored.log_digest) == (1, entry.digest)
    assert entry.happened_at <= entry.recorded_at


def test_a_sending_is_found_by_its_id_its_kind_and_its_boat(lived: Cast) -> None:
    known = LogEntry.objects.get(position=2)
    assert recorded(known.pk, kind="note") == known
    assert recorded(uuid.uuid4(), kind="note") is None
    assert recorded(None, kind="note") is None
    assert lock_log(lived.vessel, entry_id=known.pk, kind="note") == known
    other = actions.add_vessel(by=lived.desk, owner=lived.customer, name="Ibis")
    for ask in (
        lambda: recorded(known.pk, kind="hours"),
        lambda: lock_log(other, entry_id=known.pk, kind="note"),
    ):
        with pytest.raises(Refused, match="already used for something else"):
            ask()


def test_an_entry_that_names_what_is_of_another_boat_is_not_taken(lived: Cast) -> None:
    other = actions.add_vessel(by=lived.desk, owner=lived.customer, name="Ibis")
    engine = actions.add_engine(by=lived.desk, vessel=other, position="single")
    job = open_job(by=lived.desk, vessel=other, concerns=[("Overheats", None)], location="slip")
    note = actions.write_note(by=lived.tech, vessel=other, text="Bilge dry.")
    before = LogEntry.objects.count()
    for strange, said in [
        ({"engine": engine}, "engine is in another boat"),
        ({"job_id": job.pk}, f"Job {job.number} is for another boat"),
        ({"amends": note}, "same kind on the same boat"),
    ]:
        with pytest.raises(Refused, match=said):
            append(NewEntry("note", lived.vessel, lived.tech, "Note", text="Dry.", **strange))
    assert LogEntry.objects.count() == before
    assert broken_link(lived.vessel) is None


def test_the_second_entry_of_a_form_has_an_id_that_repeats(cast: Cast) -> None:
    key = uuid.uuid4()
    assert following_id(key, "hours") == following_id(key, "hours") != following_id(key, "boat")
    assert following_id(None, "hours") is None


def test_an_empty_column_is_left_out_of_the_digest_and_a_zero_is_not(lived: Cast) -> None:
    facts = row_facts(LogEntry.objects.get(position=1))
    assert {"engine_id", "amends_id", "engine_hours", "job_id", "digest"}.isdisjoint(facts)
    assert {"id", "vessel_id", "author_id", "kind", "position", "summary", "text"} <= set(facts)
    assert row_facts(HourReading(shown=Decimal(0)))["shown"] == 0


def test_the_rows_of_a_detail_are_covered_in_the_order_of_their_keys(lived: Cast) -> None:
    entry = LogEntry.objects.get(kind="hours")
    detail = HourReading.objects.get(pk=entry.pk)
    units = [lived.port_unit, lived.starboard_unit]
    both = entry_body(entry, detail, units)
    assert entry_body(entry, detail, reversed(units)) == both
    assert entry_body(entry, detail, units[:1]) != both
    assert entry_body(entry, detail, [lived.port, *units]) == entry_body(entry, detail, [*units, lived.port])


def test_a_detail_of_another_kind_is_not_taken(cast: Cast) -> None:
    with pytest.raises(ValueError, match="needs a detail"):
        append(
            NewEntry("note", cast.vessel, cast.tech, "Note"),
            detail=HourReading(meter=cast.port.meters.get(), shown=Decimal(1)),
        )
    assert not LogEntry.objects.exists()


def test_a_kind_that_is_gone_shows_under_its_own_name() -> None:
    kind = kind_of("oil-sample-taken")
    assert (kind.slug, kind.label, kind.detail_model()) == ("oil-sample-taken", "Oil sample taken", None)
    assert kind_of("hours").detail_model() is HourReading


def test_an_entry_of_a_kind_that_is_gone_still_shows_on_its_boat(cast: Cast, client: Client) -> None:
    entry = append(NewEntry("oil-sample-taken", cast.vessel, cast.tech, "Oil sample sent"))
    client.force_login(cast.tech)
    page = client.get(reverse("vessels:log", args=[cast.vessel.pk]))
    assert page.status_code == 200
    assert f'<span class="entry-kind">{icon("log")} Oil sample taken</span>' in page.content.decode()
    assert f'id="entry-{entry.pk}"' in page.content.decode()
    assert broken_link(cast.vessel) is None


def test_where_no_floor_keeps_jobs_the_log_names_none(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=[("Overheats", None)], location="slip")
    assert [entry.job_number for entry in read_entries(of_vessel(cast.vessel), most=9)] == [job.number]
    monkeypatch.setattr(registry, "_jobs", [])
    assert [entry.job_number for entry in read_entries(of_vessel(cast.vessel), most=9)] == [None]
    assert job_choices(cast.vessel) == []


def test_a_kind_is_known_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_kinds", {})
    register(LogKind("b", "Second"), LogKind("a", "Third"), LogKind("c", "First"))
    register(LogKind("a", "Third"))
    assert [kind.label for kind in all_kinds()] == ["First", "Second", "Third"]
    with pytest.raises(ValueError, match="two kinds"):
        register(LogKind("a", "Another"))


def test_who_listens_twice_is_told_once(cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registry, "_amendment_listeners", [])
    heard: list[LogEntry] = []
    listener = heard.append
    on_amended(listener)
    on_amended(listener)
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="x")
    correction = actions.amend_text(by=cast.desk, entry=note, text="y")
    assert heard == [correction]


def test_a_code_changed_in_a_scan_is_found(cast: Cast) -> None:
    """The codes of a scan are rows of their own; whoever changes one has changed what was logged."""
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL, "stored")])
    assert broken_link(cast.vessel) is None
    with as_superuser():
        assert sql("UPDATE faults_sighting SET status = 'stored' WHERE code = %s", COOLANT.text) == 1
    assert said(cast) == (1, 1, "entry 1 is not what was written")
    with as_superuser():
        assert sql("UPDATE faults_sighting SET status = 'active' WHERE code = %s", COOLANT.text) == 1
        assert sql("DELETE FROM faults_sighting WHERE code = %s", OIL.text) == 1
    assert said(cast) == (1, 1, "entry 1 is not what was written")
