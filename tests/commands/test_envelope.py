"""One act, one id, one content: a repetition is answered, another content is refused, doubles are done once."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import threading
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import DatabaseError, connection, transaction

import billing
import findings
import parts
import staff
import vessels
import workorders
from commands.content import digest_of
from commands.envelope import SENT_BEFORE, USED_ELSEWHERE, command, outcome_of
from commands.models import Command
from commands.refusals import Refused
from commands.registry import COMMANDS
from engineering.codes import CodeStatus
from findings.readings.actions import log_reading
from findings.readings.models import Parameter
from tests.cast import Cast, make_cast
from tests.findings.story import COOLANT, OIL, clear, fault, open_job, scan, seen, work
from vessels import actions
from vessels.models import Customer, LogEntry, Vessel
from workorders.actions import add_charge, add_line, change_intake, change_line, move_job, take_in
from workorders.actions import open_job as open_a_job
from workorders.models import Job


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


# ---- what a digest covers


def test_the_same_content_has_one_digest_however_it_is_spelled() -> None:
    first = {"text": "a\r\nb ", "value": Decimal("1.50"), "codes": [COOLANT], "set": {"x", "y"}, "status": "active"}
    again = {
        "set": {"y", "x"},
        "status": CodeStatus.ACTIVE,
        "codes": (COOLANT,),
        "value": Decimal("1.5"),
        "text": "a\nb",
    }
    assert digest_of("log_scan", first) == digest_of("log_scan", again)


@pytest.mark.parametrize(
    "other",
    [
        {"value": Decimal("1.51")}, {"value": None}, {"codes": [OIL]}, {"codes": [COOLANT, OIL]}, {"text": "b"},
        {"at": datetime(2026, 1, 1, tzinfo=UTC)}, {"day": date(2026, 1, 2)}, {"id": uuid4()}, {"flag": True},
    ],
)  # fmt: skip
def test_another_content_has_another_digest(other: dict[str, Any]) -> None:
    first = {"text": "a", "value": Decimal("1.50"), "codes": [COOLANT]}
    assert digest_of("log_scan", first) != digest_of("log_scan", first | other)
    assert digest_of("log_scan", first) != digest_of("clear_codes", first)


# ---- the envelope by itself


def test_an_act_is_done_once_and_answered_the_same(cast: Cast) -> None:
    done = []

    @command("test_it", worked_out=("seen",))
    def act(*, by: object, name: str, seen: int = 0, more: str = "", entry_id: UUID | None = None) -> Customer:
        done.append(name)
        return Customer.objects.create(name=name)

    key = uuid4()
    first = act(by=cast.desk, name="Ada", entry_id=key)
    assert act(by=cast.desk, name=" Ada", seen=7, more="", entry_id=key) == first
    for other in [{"name": "Bob"}, {"more": "x"}, {"by": cast.tech}]:
        with pytest.raises(Refused, match="with other content"):
            act(**{"by": cast.desk, "name": "Ada", "entry_id": key} | other)
    assert done == ["Ada"]
    assert act(by=cast.desk, name="Ada") != first
    assert Command.objects.count() == 2
    assert outcome_of(key, "test_it") == first
    assert outcome_of(key, "other") is None
    assert outcome_of(None, "test_it") is None


def test_an_act_that_was_refused_leaves_its_id_free(cast: Cast) -> None:
    key = uuid4()
    with pytest.raises(Refused, match="needs a name"):
        actions.add_customer(by=cast.desk, name=" ", entry_id=key)
    assert actions.add_customer(by=cast.desk, name="Ada", entry_id=key).name == "Ada"


def test_one_id_is_not_for_two_kinds_of_act(cast: Cast) -> None:
    key = uuid4()
    actions.add_customer(by=cast.desk, name="Ada", entry_id=key)
    with pytest.raises(Refused) as refusal:
        actions.write_note(by=cast.desk, vessel=cast.vessel, text="x", entry_id=key)
    assert refusal.value.sentence == USED_ELSEWHERE


def test_the_journal_only_grows(cast: Cast) -> None:
    actions.add_customer(by=cast.desk, name="Ada", entry_id=uuid4())
    for change in [
        "UPDATE commands_command SET digest = ''",
        "DELETE FROM commands_command",
        "TRUNCATE commands_command",
    ]:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
                cursor.execute(change)


# ---- every action that takes an id


def acts(cast: Cast) -> dict[str, tuple[Any, dict[str, Any], dict[str, Any]]]:
    """Every action with an id: what it is told, and what another sending of its id says instead."""
    scan(cast, 0, 100, [seen(COOLANT), seen(OIL)])
    job, one = open_job(cast), fault()
    line, oil = job.lines.get(), Parameter.objects.get(name="Oil pressure")
    note = actions.write_note(by=cast.desk, vessel=cast.vessel, text="Bilge wet.")
    boat = {"name": "Ibis", "hin": "GBD99999A525"}
    boat_of_another = Customer.objects.create(name="Ada Finch")
    desk, tech = {"by": cast.desk}, {"by": cast.tech}
    vessel = {"vessel": cast.vessel}
    return {
        "add_customer": (actions.add_customer, desk | {"name": "Ada"}, {"name": "Bob"}),
        "add_vessel": (actions.add_vessel, desk | {"owner": cast.customer, "name": "Tern"}, {"name": "Auk"}),
        "change_vessel": (
            actions.change_vessel, desk | vessel | {"seen_version": 1, "changes": {"color": "blue"}},
            {"changes": {"color": "red"}},
        ),
        "change_owner": (
            actions.change_owner, desk | vessel | {"new_owner": boat_of_another}, {"new_owner": cast.customer}
        ),
        "add_engine": (actions.add_engine, desk | vessel | {"position": "center"}, {"position": "generator"}),
        "change_engine": (
            actions.change_engine, desk | {"engine": cast.port, "seen_version": 1, "changes": {"serial": "A1"}},
            {"changes": {"serial": "A2"}},
        ),
        "add_unit": (actions.add_unit, desk | vessel | {"name": "Gauge"}, {"name": "Gauge 2"}),
        "identify_unit": (actions.identify_unit, desk | {"unit": cast.port_unit, "serial": "S1"}, {"serial": "S2"}),
        "change_unit": (
            actions.change_unit, desk | {"unit": cast.port_unit, "seen_version": 1, "changes": {"name": "Box"}},
            {"changes": {"name": "Box 2"}},
        ),
        "remove_unit": (actions.remove_unit, desk | {"unit": cast.starboard_unit}, {"text": "Burnt."}),
        "remove_engine": (actions.remove_engine, desk | {"engine": cast.starboard}, {"text": "Sold."}),
        "log_reading": (
            log_reading, tech | vessel | {"engine": cast.port, "parameter": oil, "value": Decimal(40), "unit": "psi"},
            {"value": Decimal(41)},
        ),
        "log_hours": (actions.log_hours, desk | {"engine": cast.port, "shown": Decimal(101)}, {"shown": Decimal(102)}),
        "replace_meter": (
            actions.replace_meter, desk | {"engine": cast.starboard, "old_shown": Decimal(9)}, {"old_shown": Decimal(8)}
        ),
        "write_note": (actions.write_note, desk | vessel | {"text": "Bilge dry."}, {"text": "Bilge full."}),
        "amend_text": (actions.amend_text, desk | {"entry": note, "text": "Dry."}, {"text": "Damp."}),
        "retract": (actions.retract, desk | {"entry": note, "reason": "Wrong boat."}, {"reason": "Wrong day."}),
        "log_scan": (scan, {"cast": cast, "day": 1, "hours": 101, "codes": [seen(OIL)]}, {"codes": [seen(COOLANT)]}),
        "clear_codes": (clear, {"cast": cast, "day": 1, "hours": 101, "faults": [one]}, {"faults": None}),
        "log_work": (work, {"cast": cast, "day": 1, "hours": 101, "faults": [one]}, {"text": "Replaced the pump."}),
        "open_job": (open_a_job, desk | vessel | {"concerns": ["Alarm"]}, {"concerns": ["Smoke"]}),
        "take_in": (
            take_in, desk | {"customer": {"name": "Cy"}, "boat": boat, "concerns": [("Alarm", None)]},
            {"boat": boat | {"name": "Heron"}},
        ),
        "move_job": (
            move_job, tech | {"job": job, "to": "sea-trial", "seen_version": 1}, {"to": "ready", "reason": "x"}
        ),
        "change_intake": (
            change_intake, desk | {"job": job, "seen_version": 1, "changes": {"spot": "B-1"}},
            {"changes": {"spot": "B-2"}},
        ),
        "add_line": (add_line, desk | {"job": job, "concern": "Leaks"}, {"concern": "Smokes"}),
        "change_line": (
            change_line, tech | {"line": line, "seen_version": 1, "changes": {"cause": "Sender"}},
            {"changes": {"cause": "Wire"}},
        ),
        "add_charge": (
            add_charge, desk | {"job": job, "kind": "fee", "description": "Haul out", "unit_price": Decimal(80)},
            {"unit_price": Decimal(90)},
        ),
    }  # fmt: skip


def every_action() -> Iterator[tuple[str, Any]]:
    """Every public function of the modules of actions that is told who does it, or that is an act by itself."""
    for package in (staff, parts, vessels, workorders, findings, billing):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if ".actions" not in found.name and found.name != "findings.canlogs.importing":
                continue
            module = importlib.import_module(found.name)
            for name, act in inspect.getmembers(module, inspect.isfunction):
                if act.__module__ == module.__name__ and not name.startswith("_"):
                    yield f"{module.__name__}.{name}", act


# What these write is a part of the act that calls them.
PARTS = {
    "vessels.actions.details.log_details_change",
    "workorders.actions.change_log.tell_change",
    "billing.authorizations.actions.deferring.defer",
    "billing.authorizations.actions.deferring.drop_all_of",
    "billing.authorizations.actions.deferring.note_what_was_charged",
    "billing.authorizations.actions.deferring.undo_steps_of",
    "billing.estimates.actions.charging.charge_change",
    "billing.estimates.actions.following.follow",
}


def test_every_action_stands_under_the_envelope() -> None:
    told_who = {name: act for name, act in every_action() if "by" in inspect.signature(act).parameters}
    bare = {name for name, act in told_who.items() if not hasattr(act, "envelope")}
    assert bare == PARTS
    for name, act in told_who.items():
        if name not in PARTS:
            assert "entry_id" in inspect.signature(act).parameters, f"{name} takes no id"
            assert act.envelope.kind == act.__name__
    assert {act.envelope.kind for name, act in told_who.items() if name not in PARTS} | {"create_owner"} == {
        kind for kind in COMMANDS if kind not in {"test_it"}
    }


def test_an_action_asks_nothing_that_the_envelope_has_asked() -> None:
    for envelope in COMMANDS.values():
        said = inspect.getsource(inspect.unwrap(envelope.action))
        assert "require(" not in said, envelope.kind
        assert "lock_log(" not in said, envelope.kind


def everything() -> tuple[int, ...]:
    return tuple(model.objects.count() for model in (LogEntry, Vessel, Customer, Job, Command))


def test_every_action_answers_a_repetition_and_refuses_another_content(cast: Cast) -> None:
    for name, (act, told, otherwise) in acts(cast).items():
        key = uuid4()
        with transaction.atomic():
            first = act(**told, entry_id=key)
            known = everything()
            assert act(**told, entry_id=key) == first, name
            with pytest.raises(Refused) as refusal, transaction.atomic():
                act(**told | otherwise, entry_id=key)
            assert refusal.value.sentence == SENT_BEFORE, name
            assert everything() == known, name
            assert Command.objects.get(pk=key).kind == name
            transaction.set_rollback(True)
        for record in told.values():
            if hasattr(record, "refresh_from_db"):
                record.refresh_from_db()


@pytest.mark.django_db(transaction=True)
def test_doubles_that_arrive_at_once_are_done_once() -> None:
    cast, key = make_cast(), uuid4()
    boat = {"name": "Ibis", "hin": "GBD99999A525"}
    start, said = threading.Barrier(4), []

    def send(text: str) -> None:
        start.wait()
        try:
            job = take_in(
                by=cast.desk, customer={"name": "Cy"}, boat=boat, concerns=[(text, None)], entry_id=key
            )  # fmt: skip
            said.append(job.number)
        except Refused as refusal:
            said.append(refusal.sentence)
        finally:
            connection.close()

    senders = [threading.Thread(target=send, args=["Alarm"]) for _ in range(4)]
    for one in senders:
        one.start()
    for one in senders:
        one.join()
    assert len(set(said)) == 1
    assert said[0] == Job.objects.get().number
    assert Customer.objects.filter(name="Cy").count() == 1
