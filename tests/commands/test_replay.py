"""Acts that were queued without a connection: done as their forms are, kept while they may still come to be."""

from __future__ import annotations

import json
import os
import random
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any
from unittest import mock
from uuid import UUID, uuid4, uuid5

import pytest
from django.db import transaction
from django.utils import timezone
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from commands.content import named
from commands.envelope import SENT_BEFORE
from commands.models import Command
from commands.refusals import Conflict, NotYet, Refused
from commands.replay import WRITTEN_BY_ANOTHER, queued, replay
from findings.faults.models import Episode, Fault
from findings.faults.replaying import stale_faults
from findings.readings.models import Parameter, Reading
from tests.cast import Cast, make_cast
from tests.findings.story import COOLANT, OIL, at, seen
from vessels.log.evidence import effective
from vessels.log.registry import kind_of
from vessels.log.verify import broken_link
from vessels.models import LogEntry
from workorders.labor.models import Stretch
from workorders.models import Charge, Job, JobLine

WRITTEN = datetime(2026, 3, 14, 9, 30, tzinfo=UTC)
Act = dict[str, Any]


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def note(cast: Cast, **other: Any) -> Act:
    told = {"by": cast.tech, "at": WRITTEN, "entry_id": uuid4(), "device": "bay 2", "vessel": cast.vessel}
    return queued("write_note", **{**told, "text": "Bilge dry.", **other})


# ---- one act


def test_it_is_done_as_by_its_form_when_it_was_written(cast: Cast) -> None:
    act = json.dumps(note(cast))
    entry = replay(act, by=cast.tech)
    assert (entry.text, entry.author, entry.happened_at) == ("Bilge dry.", cast.tech, WRITTEN)
    assert entry.recorded_at > WRITTEN
    kept = Command.objects.get(pk=entry.pk)
    assert (kept.kind, kept.device, kept.at, kept.actor) == ("write_note", "bay 2", WRITTEN, cast.tech)
    assert kept.received_at > WRITTEN
    assert replay(act, by=cast.tech) == entry
    assert LogEntry.objects.count() == 1


def test_a_time_that_is_said_stands(cast: Cast) -> None:
    entry = replay(note(cast, happened_at=WRITTEN - timedelta(days=1)), by=cast.tech)
    assert entry.happened_at == WRITTEN - timedelta(days=1)


def test_a_correction_and_a_voiding_are_of_when_they_were_written(cast: Cast) -> None:
    entry = replay(note(cast), by=cast.tech)
    told = {"by": cast.tech, "at": WRITTEN + timedelta(hours=2), "entry": entry}
    for kind, words in (("amend_text", {"text": "Wet."}), ("retract", {"reason": "Wrong boat."})):
        later = replay(queued(kind, **told, **words, entry_id=uuid4()), by=cast.tech)
        assert later.happened_at == WRITTEN + timedelta(hours=2)


def test_a_corrected_hour_reading_keeps_its_time(cast: Cast) -> None:
    told = {"by": cast.desk, "at": WRITTEN, "engine": cast.port}
    first = replay(queued("log_hours", **told, entry_id=uuid4(), shown=Decimal(100)), by=cast.desk)
    told["at"] = WRITTEN + timedelta(days=3)
    again = replay(queued("log_hours", **told, entry_id=uuid4(), shown=Decimal(101), amends=first), by=cast.desk)
    assert again.happened_at == WRITTEN


def test_the_same_id_with_other_words_is_refused(cast: Cast) -> None:
    act = note(cast)
    replay(act, by=cast.tech)
    act["arguments"]["text"] = "Bilge wet."
    with pytest.raises(Refused) as refusal:
        replay(act, by=cast.tech)
    assert refusal.value.sentence == SENT_BEFORE


def test_who_sends_it_wrote_it_and_may_still_do_it(cast: Cast) -> None:
    act = note(cast)
    with pytest.raises(Refused) as refusal:
        replay(act, by=cast.manager)
    assert refusal.value.sentence == WRITTEN_BY_ANOTHER
    cast.tech.is_active = False
    with pytest.raises(Refused, match="does not allow"):
        replay(act, by=cast.tech)
    assert LogEntry.objects.count() == 0


def test_what_is_not_here_yet_may_come_again(cast: Cast) -> None:
    first = note(cast)
    correction = {**note(cast), "act": "amend_text",
                  "arguments": {"entry": f"vessels.logentry:{first['id']}", "text": "Wet."}}  # fmt: skip
    by_act = {**note(cast), "act": "amend_text", "arguments": {"entry": f"act:{first['id']}", "text": "Damp."}}
    for act, name in ((correction, "vessels.logentry:"), (by_act, "act:")):
        with pytest.raises(NotYet) as refusal:
            replay(act, by=cast.tech)
        assert refusal.value.sentence.startswith(f"{name}{first['id']} is not ")
        assert "send it again" in refusal.value.sentence
    entry = replay(first, by=cast.tech)
    assert replay(correction, by=cast.tech).amends == entry
    assert replay(by_act, by=cast.tech).amends == entry


def test_what_came_of_an_act_is_of_its_kind(cast: Cast) -> None:
    first = note(cast)
    replay(first, by=cast.tech)
    act = {**note(cast), "act": "add_line", "arguments": {"job": f"act:{first['id']}", "concern": "Leaks"}}
    with pytest.raises(Refused, match="came no job: it was “write_note”"):
        replay(act, by=cast.tech)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("{", "This is no queued act: it is not JSON."),
        ("[]", "This is no queued act: it is no object."),
        ("[" * 100_000, "This is no queued act: it is not JSON."),
        (" " * 1_000_001, "This is no queued act: it is longer than 1,000,000 signs."),
        ({"id": None}, "This is no queued act: “id” has to be a UUID."),
        ({"at": "2026-03-14T09:30:00"}, "This is no queued act: “at” has to be a time with its offset such as "
         "\"2026-03-14T09:30:00-04:00\"."),
        ({"act": "sink_boat"}, "There is no act “sink_boat”."),
        ({"arguments": None}, "write_note: what it takes has to be an object."),
        ({"extra": 1}, "This is no queued act: “extra” has to be left out: there is no such field."),
    ],
)  # fmt: skip
def test_what_is_no_queued_act_is_told(cast: Cast, said: Any, sentence: str) -> None:
    with pytest.raises(Refused) as refusal:
        replay(note(cast) | said if isinstance(said, dict) else said, by=cast.tech)
    assert refusal.value.sentence == sentence
    assert not isinstance(refusal.value, NotYet)


# ---- a whole job, by two people, in any order

ORDERS = int(os.environ.get("GARBOARD_EXAMPLES", "30")) // 4
IDS = UUID("6f6c7a52-0000-4000-8000-000000000000")
# What its writer knew, and so waited for, beyond the records that it names.
AFTER = {
    "in work": ["authorized"],
    "waiting": ["in work"],
    "cause": ["line"],
    "correction": ["cause"],
    "void scan": ["wrong scan"],
    "hours corrected": ["clock on", "over", "clock off"],
    "hours voided": ["hours noted"],
}

HOURS = {"clock on": "28", "over": "29", "elsewhere": "58", "back again": "29", "hours corrected": "25"}
"""Minutes that each of these comes to: pressed off, or gone on with elsewhere, whichever was first."""


def key(name: str) -> UUID:
    return uuid5(IDS, name)


def acts_of_a_job(cast: Cast, status: str) -> dict[str, Act]:
    """Everything that two people do about one job, as their tablets queue it."""
    oil = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})[0]
    job, floor = f"act:{key('open')}", {"unit": named(cast.port_unit), "job": f"act:{key('open')}"}
    port = named(cast.port)

    def codes(*listed: Any) -> list[Act]:
        return [
            {"code": {"system": one.code.system.value, "text": one.code.text}, "status": one.status.value}
            for one in listed
        ]

    def scan(phase: str, hours: str, *listed: Any) -> Act:
        return {**floor, "phase": phase, "is_complete": True, "codes": codes(*listed), "engine_hours": hours}

    reading = {"vessel": named(cast.vessel), "engine": port, "parameter": named(oil), "unit": "psi", "job": job}
    written: list[tuple[str, str, float, Any, Act]] = [
        ("open", "open_job", 1, cast.manager, {"vessel": named(cast.vessel), "concerns": ["Alarm", ["Smoke", port]]}),
        ("hours", "log_hours", 1, cast.manager, {"engine": port, "shown": "100", "job_id": job}),
        ("scan", "log_scan", 2, cast.tech, scan("arrival", "101", seen(COOLANT), seen(OIL, "stored"))),
        ("wrong scan", "log_scan", 2.5, cast.tech, scan("arrival", "101.5", seen(OIL))),
        ("void scan", "retract", 2.6, cast.tech, {"entry": f"vessels.logentry:{key('wrong scan')}", "reason": "No."}),
        ("clear", "clear_codes", 3, cast.manager, {**floor, "engine_hours": "102"}),
        ("work", "log_work", 3.5, cast.tech,
         {"vessel": named(cast.vessel), "faults": [], "engine": port, "text": "Changed the pump.", "job": job}),
        ("after", "log_scan", 4, cast.tech, scan("after-repair", "103", *([seen(COOLANT, status)] if status else []))),
        ("reading", "log_reading", 4, cast.manager, {**reading, "value": "40"}),
        ("corrected", "log_reading", 4.5, cast.tech,
         {**reading, "value": "41", "amends": f"vessels.logentry:{key('reading')}", "happened_at": at(4).isoformat()}),
        ("note", "write_note", 5, cast.manager, {"vessel": named(cast.vessel), "text": "Bilge wet.", "job_id": job}),
        ("amended", "amend_text", 5.5, cast.tech, {"entry": f"act:{key('note')}", "text": "Damp."}),
        ("line", "add_line", 5, cast.tech, {"job": job, "concern": "Belt squeals"}),
        ("line of hers", "add_line", 5.2, cast.manager, {"job": job, "concern": "Fuel smell", "engine": port}),
        ("cause", "change_line", 6, cast.tech,
         {"line": f"act:{key('line')}", "seen_version": 1, "changes": {"cause": "Worn"}, "seen": {"cause": ""}}),
        ("correction", "change_line", 7, cast.tech,
         {"line": f"act:{key('line')}", "seen_version": 2, "seen": {"correction": "", "done_by": []},
          "changes": {"correction": "New belt", "done_by": [named(cast.tech)]}}),
        ("spot", "change_intake", 6, cast.manager,
         {"job": job, "seen_version": 1, "changes": {"spot": "B-1"}, "seen": {"spot": ""}}),
        ("fee", "add_charge", 6, cast.manager,
         {"job": job, "kind": "fee", "description": "Haul-out", "unit_price": "80.00"}),
        ("authorized", "move_job", 1.5, cast.manager,
         {"job": job, "to": "authorized", "seen_version": 1, "seen_state": "estimate", "reason": "By phone."}),
        ("in work", "move_job", 2, cast.tech,
         {"job": job, "to": "in-work", "seen_version": 2, "seen_state": "authorized"}),
        ("clock on", "start_clock", 6, cast.tech, {"line": f"act:{key('line')}"}),
        ("over", "take_over", 6.02, cast.manager, {"stretch": f"workorders.stretch:{key('clock on')}"}),
        ("clock off", "stop_clock", 6.03, cast.tech, {"stretch": f"workorders.stretch:{key('clock on')}"}),
        ("pause", "pause_clock", 6.05, cast.manager,
         {"stretch": f"workorders.stretch:{key('over')}", "reason": "Lunch"}),
        ("elsewhere", "start_clock", 6.04, cast.manager, {"line": f"act:{key('line of hers')}"}),
        ("back again", "start_clock", 6.08, cast.manager, {"line": f"act:{key('line')}"}),
        ("off at last", "stop_clock", 6.1, cast.manager, {"stretch": f"workorders.stretch:{key('back again')}"}),
        ("hours noted", "note_hours", 7, cast.tech,
         {"line": f"act:{key('line')}", "day": at(6).date().isoformat(), "minutes": 45}),
        ("hours voided", "void_hours", 7.1, cast.tech,
         {"stretch": f"workorders.stretch:{key('hours noted')}", "reason": "Another boat."}),
        ("hours corrected", "correct_hours", 7.2, cast.tech,
         {"stretch": f"workorders.stretch:{key('clock on')}", "line": f"act:{key('line of hers')}",
          "day": at(6).date().isoformat(), "minutes": 25, "reason": "Wrong line."}),
        ("waiting", "move_job", 8, cast.tech,
         {"job": job, "to": "waiting-parts", "seen_version": 3, "seen_state": "in-work", "reason": "A belt."}),
    ]  # fmt: skip
    return {
        name: {"id": str(key(name)), "act": kind, "actor": named(by), "at": at(day).isoformat(), "arguments": said}
        for name, kind, day, by, said in written
    }


def arrive(cast: Cast, acts: dict[str, Act], order: Sequence[str]) -> None:
    """The acts arrive in this order; what may come again is sent again, as often as it takes, and none is refused."""
    people, left, done = {named(one): one for one in (cast.tech, cast.manager)}, list(order), set()
    for _ in range(len(acts) + 1):
        kept = []
        for name in left:
            if not done.issuperset(AFTER.get(name, [])):
                kept.append(name)
                continue
            try:
                with mock.patch.object(timezone, "now", return_value=at(12)):
                    replay(json.dumps(acts[name]), by=people[acts[name]["actor"]])
                done.add(name)
            except NotYet:
                kept.append(name)
        left = kept
        if not left:
            return
    raise AssertionError(f"never done: {left}")


def spelled(row: Any, without: Sequence[str] = ()) -> dict[str, Any]:
    """A row by its columns, with what a database numbers by itself in other words."""
    found = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if value is None or field.name in without or field.primary_key:
            continue
        if field.is_relation and field.related_model in {Fault, Job, JobLine}:
            other = getattr(row, field.name)
            value = other.concern if isinstance(other, JobLine) else str(getattr(other, "code", "the job"))
        found[field.name] = of_the_job(value) if isinstance(value, dict) else str(value)
    return found


def of_the_job(history: dict[str, Any]) -> dict[str, Any]:
    """A fault's history; the visit on which it ended begins with the job's key."""
    visit = history.get("rest", {}).get("visit")
    if visit:
        history["rest"]["visit"] = visit.replace(f"{Job.objects.get().pk}.", "the job.")
    return history


def entries() -> Iterator[tuple[str, Any]]:
    """Each entry by its id: all that its digest covers but its place in the chain and when it arrived."""
    for entry in LogEntry.objects.all():
        kind = kind_of(entry.kind)
        # The number of a line is given in the order of arrival, and the sentence about it has it.
        numbered = ["summary"] if entry.kind == "job-changed" else []
        facts = spelled(entry, ["position", "digest", "recorded_at", "job", *numbered])
        model = kind.detail_model()
        detail = model._default_manager.get(pk=entry.pk) if model else None
        rows = [row for name in kind.children for row in getattr(detail, name).all()]
        # A scan's rows are in the order in which it listed them.
        yield (
            str(entry.pk),
            [
                facts,
                detail and spelled(detail, ["subject"]),
                [spelled(row, ["scan", "clear", "work"]) for row in rows],
                entry.job_id is not None,
            ],
        )


def state(cast: Cast) -> dict[str, Any]:
    """What the shop knows after everything has arrived."""
    assert broken_link(type(cast.vessel).objects.get(pk=cast.vessel.pk)) is None
    job = Job.objects.get()
    return {
        "log": dict(entries()),
        "faults": {one.code: spelled(one) for one in Fault.objects.exclude(state="none")},
        "episodes": [spelled(one) for one in Episode.objects.order_by("fault__code", "number")],
        "readings": sorted(
            str(reading.value_si)
            for reading in Reading.objects.filter(entry__in=effective(LogEntry.objects.filter(kind="reading")))
        ),
        "job": spelled(job, ["number", "changed_by"]),
        "lines": {
            line.concern: [spelled(line, ["job", "position"]), sorted(map(str, line.done_by.all()))]
            for line in JobLine.objects.all()
        },
        "hours": {
            str(one.pk): [
                spelled(one, ["recorded_at"]),
                hasattr(one, "voided"),
                sorted((end.kind, str(end.at), end.reason) for end in one.ends.all()),
            ]
            for one in Stretch.objects.all()
        },
        "charges": [spelled(one, ["added_at", "job"]) for one in Charge.objects.all()],
        "journal": {str(act.pk): (act.kind, act.actor_id, act.at) for act in Command.objects.all()},
    }


def differences(first: Any, second: Any, where: str = "") -> Iterator[str]:
    """Where two states differ, each place by itself."""
    if isinstance(first, dict) and isinstance(second, dict):
        for name in sorted({*first, *second}):
            yield from differences(first.get(name), second.get(name), f"{where}.{name}")
    elif isinstance(first, list) and isinstance(second, list) and len(first) == len(second):
        for place, (one, other) in enumerate(zip(first, second, strict=True)):
            yield from differences(one, other, f"{where}[{place}]")
    elif first != second:
        yield f"{where}: {first} or {second}"


def told(cast: Cast, acts: dict[str, Act], order: Sequence[str]) -> dict[str, Any]:
    """The state that an order leads to; nothing of it stays."""
    with transaction.atomic():
        arrive(cast, acts, order)
        found = state(cast)
        transaction.set_rollback(True)
    return found


def test_any_order_doubled_and_interleaved_ends_in_one_state(cast: Cast) -> None:
    known: dict[str, dict[str, Any]] = {}

    # Each order does a job of twenty acts; a shorter one that fails would say no more than the places that differ.
    @settings(max_examples=ORDERS, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(st.integers(0, 2**32), st.sampled_from(["active", "stored", ""]), st.integers(0, 12))
    def in_any_order(seed: int, status: str, doubles: int) -> None:
        chance, acts = random.Random(seed), acts_of_a_job(cast, status)
        order = [*acts, *chance.choices(list(acts), k=doubles)]
        chance.shuffle(order)
        if status not in known:
            known[status] = told(cast, acts, list(acts))
        assert list(differences(known[status], told(cast, acts, order))) == []

    in_any_order()


def test_the_state_tells_what_differs(cast: Cast) -> None:
    acts = acts_of_a_job(cast, "active")
    known = told(cast, acts, list(acts))
    in_no_log = [
        name for name, act in acts.items() if act["act"].endswith(("_charge", "_clock", "_hours", "take_over"))
    ]
    assert len(known["log"]) == len(acts) - len(in_no_log) + 1  # hours of an engine are
    assert len(known["faults"]) == len(known["lines"]) / 2 == 2
    minutes = {one: known["hours"][str(key(one))][0].get("minutes") for one in HOURS}
    assert minutes == HOURS
    assert len(known["readings"]) == len(known["charges"]) == 1
    for name, words in {"correction": "New belt", "spot": "B-1", "fee": "Haul-out", "amended": "Damp.",
        "pause": "Lunch", "hours corrected": "Wrong line."}.items():  # fmt: skip
        assert words in str(known)
        fewer = {one: act for one, act in acts.items() if one != name}
        assert told(cast, fewer, list(fewer)) != known, name


def test_a_finding_is_of_the_visit_that_was_open_when_it_was_made(cast: Cast) -> None:
    """A scan from after a job was said to be done is of another visit, also where it arrives before that is said."""
    acts = acts_of_a_job(cast, "active")
    move = {"job": f"act:{key('open')}", "to": "ready", "seen_version": 3, "seen_state": "in-work", "reason": "Fits."}
    acts["ready"] = {**acts["in work"], "id": str(uuid4()), "at": at(3.9).isoformat(), "arguments": move}
    begun = ["open", "authorized", "in work", "scan", "clear"]
    returns = []
    for order in ([*begun, "ready", "after"], [*begun, "after", "ready"]):
        with transaction.atomic():
            arrive(cast, acts, order)
            one = Fault.objects.get(code=COOLANT.text)
            assert stale_faults(one.unit_id) == []
            returns.append((one.state, one.returns, one.history, [row.outcome for row in one.appearances.all()]))
            transaction.set_rollback(True)
    assert returns[0][:2] == ("returned", 1)
    told_in_order, told_late = ({**one[2], "rest": {**one[2]["rest"], "visit": None}} for one in returns)
    assert returns[0][3] == returns[1][3] == ["returned", "open"]
    assert str(told_in_order["episodes"][0]["closed_at"]) == str(told_late["episodes"][0]["closed_at"])


def test_two_who_correct_one_entry_are_told_apart(cast: Cast) -> None:
    """What is not promised: of two corrections of one entry the first to arrive stands, and the other is refused."""
    acts = acts_of_a_job(cast, "")
    rival = {**acts["corrected"], "id": str(uuid4()), "actor": named(cast.manager)}
    for order in (["open", "reading", "corrected"], ["open", "reading", "rival"]):
        with transaction.atomic():
            arrive(cast, {**acts, "rival": rival}, order)
            other = rival if "corrected" in order else acts["corrected"]
            by = cast.manager if other is rival else cast.tech
            with pytest.raises(Refused, match="already corrected by "):
                replay(other, by=by)
            transaction.set_rollback(True)


def test_a_move_from_a_state_that_is_gone_is_a_conflict(cast: Cast) -> None:
    acts = acts_of_a_job(cast, "")
    arrive(cast, acts, ["open"])
    with pytest.raises(Conflict):
        replay(acts["in work"], by=cast.tech)
    arrive(cast, acts, ["authorized"])
    assert replay(acts["in work"], by=cast.tech).state == "in-work"
