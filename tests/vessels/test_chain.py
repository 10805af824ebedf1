"""Adding to the log: once each, in turn, late but never early."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.utils import timezone

from commands.refusals import Refused
from tests.cast import Cast, make_cast
from vessels import actions
from vessels.log.chain import NewEntry, append, lock_log
from vessels.log.verify import broken_link
from vessels.models import ControlUnit, Engine, HourReading, LogEntry, Vessel


def sendings(cast: Cast) -> dict[str, Callable[[uuid.UUID], Any]]:
    """Every logging action of this floor, as one form would send it."""
    by, boat, engine, unit = cast.tech, cast.vessel, cast.port, cast.port_unit
    note = actions.write_note(by=by, vessel=boat, text="to be corrected")
    buyer = actions.add_customer(by=by, name="Edda Ruiz")
    return {
        "note": lambda key: actions.write_note(by=by, vessel=boat, text="Bilge dry.", entry_id=key),
        "hours": lambda key: actions.log_hours(by=by, engine=engine, shown=Decimal(12), entry_id=key),
        "meter": lambda key: actions.replace_meter(by=by, engine=engine, old_shown=Decimal(20), entry_id=key),
        "owner": lambda key: actions.change_owner(by=by, vessel=boat, new_owner=buyer, entry_id=key),
        "unit": lambda key: actions.add_unit(by=by, vessel=boat, name="Gateway", serial="G1", entry_id=key),
        "identity": lambda key: actions.identify_unit(by=by, unit=unit, software="3", entry_id=key),
        "unit out": lambda key: actions.remove_unit(by=by, unit=unit, entry_id=key),
        "engine": lambda key: actions.add_engine(
            by=by, vessel=boat, position="generator", meter_shown=Decimal(5), entry_id=key
        ),
        "engine out": lambda key: actions.remove_engine(by=by, engine=engine, entry_id=key),
        "vessel": lambda key: actions.add_vessel(by=by, owner=cast.customer, name="Ibis", entry_id=key),
        "vessel changed": lambda key: actions.change_vessel(
            by=by, vessel=boat, seen_version=1, changes={"color": "red"}, entry_id=key
        ),
        "engine changed": lambda key: actions.change_engine(
            by=by, engine=engine, seen_version=1, changes={"year": 2020}, entry_id=key
        ),
        "unit changed": lambda key: actions.change_unit(
            by=by, unit=unit, seen_version=1, changes={"name": "Main"}, entry_id=key
        ),
        "correction": lambda key: actions.amend_text(by=by, entry=note, text="Nearly.", entry_id=key),
        "retraction": lambda key: actions.retract(by=by, entry=note, reason="No.", entry_id=key),
    }


@pytest.mark.parametrize(
    "what",
    ["note", "hours", "meter", "owner", "unit", "identity", "unit out", "engine", "engine out", "vessel",
     "vessel changed", "engine changed", "unit changed", "correction", "retraction"],
)  # fmt: skip
def test_sent_twice_is_stored_once_and_answered_the_same(cast: Cast, what: str) -> None:
    send, key = sendings(cast)[what], uuid.uuid4()
    first = send(key)
    counts = [model.objects.count() for model in (LogEntry, Vessel, Engine, ControlUnit)]
    again = send(key)
    assert again == first
    assert [model.objects.count() for model in (LogEntry, Vessel, Engine, ControlUnit)] == counts
    assert LogEntry.objects.filter(pk=key).count() == 1
    assert broken_link(cast.vessel) is None


def test_an_id_is_not_used_for_something_else(cast: Cast) -> None:
    key = uuid.uuid4()
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="Bilge dry.", entry_id=key)
    with pytest.raises(Refused, match="already used for something else"):
        actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(5), entry_id=key)
    other = actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")
    with pytest.raises(Refused, match="with other content"):
        actions.write_note(by=cast.tech, vessel=other, text="Bilge wet.", entry_id=key)
    assert LogEntry.objects.filter(kind="note").count() == 1
    assert not HourReading.objects.exists()


def together(count: int, act: Callable[[int], Any]) -> list[Any]:
    """Run an action from several threads, each with a connection of its own; what was refused comes back as itself."""

    def one(index: int) -> Any:
        try:
            return act(index)
        except Refused as refusal:
            return refusal
        finally:
            connection.close()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(one, range(count)))


@pytest.mark.django_db(transaction=True)
def test_the_same_sending_from_eight_places_at_once_is_stored_once() -> None:
    cast, key = make_cast(), uuid.uuid4()
    answers = together(
        8, lambda _: actions.write_note(by=cast.tech, vessel=cast.vessel, text="Bilge dry.", entry_id=key).pk
    )
    assert answers == [key] * 8
    assert LogEntry.objects.count() == 1
    assert broken_link(cast.vessel) is None


@pytest.mark.django_db(transaction=True)
def test_a_boat_added_from_eight_places_at_once_is_added_once() -> None:
    cast, key = make_cast(), uuid.uuid4()
    answers = together(8, lambda _: actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis", entry_id=key).pk)
    assert len(set(answers)) == 1
    assert Vessel.objects.filter(name="Ibis").count() == 1


@pytest.mark.django_db(transaction=True)
def test_one_hin_typed_at_two_counters_at_once_makes_one_boat() -> None:
    cast = make_cast()
    answers = together(
        4, lambda _: actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis", hin="GBD54321B626").pk
    )
    refused = [answer for answer in answers if isinstance(answer, Refused)]
    assert len(refused) == 3
    assert all("already on record" in refusal.fields["hin"] for refusal in refused)
    assert Vessel.objects.filter(hin="GBD54321B626").count() == 1


@pytest.mark.django_db(transaction=True)
def test_writers_take_turns_and_the_chain_stays_whole() -> None:
    cast = make_cast()
    together(8, lambda index: actions.write_note(by=cast.tech, vessel=cast.vessel, text=f"Note {index}"))
    assert list(cast.vessel.log.order_by("position").values_list("position", flat=True)) == list(range(1, 9))
    assert broken_link(cast.vessel) is None


@pytest.mark.django_db(transaction=True)
def test_one_id_on_two_boats_at_once_is_refused_for_one() -> None:
    cast, key = make_cast(), uuid.uuid4()
    other = actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")
    boats = [cast.vessel, other]
    answers = together(
        2, lambda index: actions.write_note(by=cast.tech, vessel=boats[index], text="Bilge dry.", entry_id=key)
    )
    assert sorted(type(answer).__name__ for answer in answers) == ["LogEntry", "Refused"]
    assert LogEntry.objects.filter(pk=key).count() == 1
    assert [broken_link(boat) for boat in boats] == [None, None]


def test_a_stale_object_does_not_break_the_chain(cast: Cast) -> None:
    """Somebody else logs while this process holds the boat; saving it must not bring the old end of the chain back."""
    stale = Vessel.objects.get(pk=cast.vessel.pk)
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="Bilge dry.")
    stale.color = "red"
    stale.save()
    actions.write_note(by=cast.tech, vessel=stale, text="Bilge wet.")
    assert broken_link(cast.vessel) is None


def test_late_entries_are_welcome_and_the_future_is_not(cast: Cast) -> None:
    ago = timezone.now() - timedelta(hours=3)
    late = actions.write_note(by=cast.tech, vessel=cast.vessel, text="This morning.", happened_at=ago)
    assert late.is_late
    assert not actions.write_note(by=cast.tech, vessel=cast.vessel, text="Now.").is_late
    assert list(cast.vessel.log.order_by("position").values_list("position", flat=True)) == [1, 2]
    with pytest.raises(Refused, match="future") as refusal:
        actions.write_note(
            by=cast.tech, vessel=cast.vessel, text="Tomorrow.", happened_at=timezone.now() + timedelta(hours=1)
        )
    assert "happened_at" in refusal.value.fields
    assert cast.vessel.log.count() == 2


def test_a_clock_that_is_a_little_fast_is_forgiven(cast: Cast) -> None:
    soon = timezone.now() + timedelta(minutes=5)
    assert not actions.write_note(by=cast.tech, vessel=cast.vessel, text="Soon.", happened_at=soon).is_late


def test_the_digest_speaks_of_what_is_stored(cast: Cast) -> None:
    """A figure with more places than the column holds is rounded before it is sealed."""
    actions.write_note(by=cast.tech, vessel=cast.vessel, text="x", engine_hours=Decimal("12.34567"))
    assert cast.vessel.log.get().engine_hours == Decimal("12.3")
    assert broken_link(cast.vessel) is None


def test_an_entry_needs_the_detail_of_its_kind(cast: Cast) -> None:
    with pytest.raises(ValueError, match="needs a detail"):
        append(NewEntry(kind="hours", vessel=cast.vessel, author=cast.tech, summary="?"))


def test_begin_without_an_id_finds_nothing(cast: Cast) -> None:
    assert lock_log(cast.vessel, entry_id=None, kind="note") is None


@pytest.mark.parametrize(("read", "kept"), [("812.25", "812.3"), ("812.24", "812.2"), ("812.35", "812.4")])
def test_half_a_tenth_of_an_hour_is_rounded_up_in_the_entry_and_in_its_detail(cast: Cast, read: str, kept: str) -> None:
    """The digest speaks of what the columns hold, and a half goes up, not to the even tenth."""
    meter = cast.port.meters.get()
    new = NewEntry("hours", cast.vessel, cast.tech, "Meter read.", engine=cast.port, engine_hours=Decimal(read))
    entry = append(new, detail=HourReading(meter=meter, shown=Decimal(read)))
    assert LogEntry.objects.get(pk=entry.pk).engine_hours == Decimal(kept)
    assert HourReading.objects.get(pk=entry.pk).shown == Decimal(kept)
    assert broken_link(cast.vessel) is None
