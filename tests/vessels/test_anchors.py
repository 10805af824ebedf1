"""One head over all chains: what whoever may write anything to the database cannot put right again."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.db.utils import DatabaseError

from commands.journal import body_of
from commands.models import GENESIS as JOURNAL_GENESIS
from commands.models import Command, CommandChain
from engineering.canonical import chain_digest
from tests.cast import Cast
from vessels import actions
from vessels.log import anchor
from vessels.log.anchor import append_to_file, current_head
from vessels.log.chain import GENESIS, entry_body
from vessels.log.verify import details_of
from vessels.models import LogAnchor, LogEntry, Vessel


@pytest.fixture
def boats(cast: Cast) -> list[Vessel]:
    """Two boats with three notes each, of the same day."""
    boats = [cast.vessel, actions.add_vessel(by=cast.desk, owner=cast.customer, name="Ibis")]
    for boat in boats:
        for word in ["dry", "wet", "pumped"]:
            actions.write_note(by=cast.tech, vessel=boat, text=f"Bilge {word}.")
    return boats


@pytest.fixture
def kept(boats: list[Vessel], tmp_path: Path) -> Path:
    """The file outside."""
    path = tmp_path / "outside" / "heads.jsonl"
    assert append_to_file(path) == 1
    return path


def verify(*arguments: Any) -> str:
    said = io.StringIO()
    try:
        call_command("verify_log", *map(str, arguments), stdout=said)
    except CommandError as error:
        said.write(f"ERROR {error}")
    return said.getvalue()


def as_superuser(sql: str, *values: Any) -> None:
    """Whatever the owner of the database may do, with the triggers out of the way."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(sql, values)
        cursor.execute("SET session_replication_role = origin")


def remove_the_last_entry(boat: Vessel) -> None:
    boat.refresh_from_db()
    before = LogEntry.objects.get(vessel=boat, position=boat.log_position - 1)
    as_superuser("DELETE FROM vessels_logentry WHERE vessel_id = %s AND position = %s", boat.pk, boat.log_position)
    as_superuser(
        "UPDATE vessels_vessel SET log_position = %s, log_digest = %s WHERE id = %s",
        before.position, before.digest, boat.pk,
    )  # fmt: skip


def hash_anew(boat: Vessel) -> None:
    first = LogEntry.objects.filter(vessel=boat).order_by("position")[0]
    as_superuser("UPDATE vessels_logentry SET summary = 'Something else.' WHERE id = %s", first.pk)
    previous = GENESIS
    entries = list(LogEntry.objects.filter(vessel=boat).order_by("position"))
    details = details_of(entries)
    for entry in entries:
        detail, rows = details.get(entry.pk, (None, []))
        previous = chain_digest(previous, entry_body(entry, detail, rows))
        as_superuser("UPDATE vessels_logentry SET digest = %s WHERE id = %s", previous, entry.pk)
    as_superuser("UPDATE vessels_vessel SET log_digest = %s WHERE id = %s", previous, boat.pk)


def remove_the_boat(boat: Vessel) -> None:
    for table, column in [("vessels_logentry", "vessel_id"), ("vessels_ownership", "vessel_id"),
                          ("vessels_vessel", "id")]:  # fmt: skip
        as_superuser(f"DELETE FROM {table} WHERE {column} = %s", boat.pk)


def anchor_anew() -> None:
    """Make the anchors in the database fit the tampered chains again."""
    as_superuser("DELETE FROM vessels_loganchor")
    as_superuser("UPDATE vessels_vessel SET anchored_position = 0")
    as_superuser("UPDATE commands_commandchain SET anchored_position = 0")
    current_head()


TAMPERINGS: list[tuple[Callable[[Vessel], None], str, str]] = [
    (remove_the_last_entry, "entry 3 is gone", "the last entry removed, its head put back"),
    (hash_anew, "entry 3 was rewritten", "the chain hashed anew"),
    (remove_the_boat, "is gone, with its log", "the vessel removed"),
]


@pytest.mark.parametrize(("tamper", "says", "what"), TAMPERINGS, ids=[one[2] for one in TAMPERINGS])
@pytest.mark.parametrize("anchors_too", [False, True])
def test_a_tampering_that_the_chains_alone_do_not_show_is_found(
    boats: list[Vessel], kept: Path, tamper: Callable[[Vessel], None], says: str, what: str, anchors_too: bool
) -> None:
    good = verify("--against", kept)
    assert "every digest agrees" in good, good
    tamper(boats[0])
    if anchors_too:
        anchor_anew()
        assert "every digest agrees" in verify(), "without a head from outside it cannot be known"
        assert "could have put another log" in verify()
    said = verify("--against", kept)
    assert f"WRONG vessel {boats[0].pk}" in said
    assert says in said
    assert "ERROR" in said
    if anchors_too:
        assert "anchor 1 in the database is another one" in said


def remove_the_last_act(chain: str) -> None:
    """Take the last act of a chain of the journal away, and put its head back."""
    head = CommandChain.objects.get(pk=chain)
    before = Command.objects.get(chain=chain, position=head.position - 1)
    as_superuser("DELETE FROM commands_command WHERE chain = %s AND position = %s", chain, head.position)
    CommandChain.objects.filter(pk=chain).update(position=before.position, digest=before.link)


def rewrite_the_first_act(chain: str) -> None:
    """Put somebody else's name to an act, and link the chain anew."""
    previous = JOURNAL_GENESIS
    for act in Command.objects.filter(chain=chain).order_by("position"):
        act.device = "another"
        previous = chain_digest(previous, body_of(act))
        as_superuser("UPDATE commands_command SET device = 'another', link = %s WHERE id = %s", previous, act.pk)
    CommandChain.objects.filter(pk=chain).update(digest=previous)


@pytest.mark.parametrize(
    ("tamper", "says"),
    [(remove_the_last_act, "act 3 is gone"), (rewrite_the_first_act, "act 3 was rewritten")],
)
@pytest.mark.parametrize("anchors_too", [False, True])
def test_a_tampering_with_the_journal_is_found(
    boats: list[Vessel], kept: Path, tamper: Callable[[str], None], says: str, anchors_too: bool
) -> None:
    chain = f"vessels.vessel:{boats[0].pk}"
    good = verify("--against", kept)
    assert "every digest agrees" in good, good
    assert "of the journal" not in good.split("Not covered")[1]
    tamper(chain)
    if anchors_too:
        anchor_anew()
        assert "every digest agrees" in verify(), "without a head from outside it cannot be known"
    said = verify("--against", kept)
    assert f"WRONG journal of {chain}: {says} ({kept.name}, anchor 1" in said, said
    assert ("anchor 1 in the database is another one" in said) is anchors_too


def test_an_act_without_a_hull_is_anchored_and_what_is_newer_is_said(cast: Cast, boats: list[Vessel]) -> None:
    current_head()
    first = LogAnchor.objects.get()
    assert [[chain, position] for chain, position, _ in first.journal] == [
        [f"staff.person:{cast.desk.pk}", 1], *[[f"vessels.vessel:{boat.pk}", 3] for boat in boats],
    ]  # fmt: skip
    actions.add_customer(by=cast.desk, name="Ada Finch")
    assert "1 act of the journal is newer than the last anchor" in verify()
    current_head()
    second = LogAnchor.objects.get(number=2)
    assert (second.changed, [chain for chain, *_ in second.journal]) == ([], [f"staff.person:{cast.desk.pk}"])
    assert "of the journal is newer" not in verify()


def test_an_anchor_from_before_the_journal_was_anchored_stays_valid(boats: list[Vessel], tmp_path: Path) -> None:
    current_head()
    old = LogAnchor.objects.get()
    old.journal = None
    old.head = chain_digest(GENESIS, anchor.body_of(old))
    as_superuser("UPDATE vessels_loganchor SET journal = NULL, head = %s", old.head)
    assert b"journal" not in anchor.body_of(old)
    path = tmp_path / "heads.jsonl"
    assert append_to_file(path) == 1
    as_superuser("UPDATE commands_commandchain SET anchored_position = 0")  # as the migration made them
    said = verify("--against", path)
    assert "every digest agrees" in said, said
    assert "Anchors up to 1 are from before the journal was anchored" in said
    assert "In heads.jsonl the anchors up to 1 say nothing of the journal." in said
    assert append_to_file(path) == 1
    chain = f"vessels.vessel:{boats[0].pk}"
    remove_the_last_act(chain)
    assert f"WRONG journal of {chain}: act 3 is gone (heads.jsonl, anchor 2" in verify("--against", path)


def test_the_head_on_a_report_alone_tells_that_the_log_was_written_anew(boats: list[Vessel]) -> None:
    head = current_head()
    assert "every digest agrees" in verify("--head", head.number, head.head)
    hash_anew(boats[0])
    anchor_anew()
    assert "another one than in the head from the report" in verify("--head", head.number, head.head)
    assert "does not have any more" in verify("--head", 7, head.head)
    assert "takes the number" in verify("--head", "seven", head.head)


def test_a_head_in_a_description_of_a_backup_is_read(boats: list[Vessel], tmp_path: Path) -> None:
    head = current_head()
    path = tmp_path / "backup.json"
    path.write_text(json.dumps({"number": head.number, "head": head.head, "tables": {"x": 1}}, indent=2))
    assert "every digest agrees" in verify("--against", path)
    path.write_text(json.dumps({"number": head.number, "head": "0" * 64}))
    assert "another one than in backup.json" in verify("--against", path)
    path.write_text("nothing of ours")
    assert "holds no head of the log" in verify("--against", path)
    assert "can't be read" in verify("--against", tmp_path / "away")


def test_an_anchor_is_made_only_when_a_chain_has_grown_and_pins_only_those(cast: Cast, boats: list[Vessel]) -> None:
    first = current_head()
    assert current_head() == first
    assert (first.number, first.vessels, first.entries) == (1, 2, 7)  # with the entry that added the second boat
    actions.write_note(by=cast.tech, vessel=boats[1], text="Bilge dry.")
    assert "1 entry is newer than the last anchor" in verify()
    second = current_head()
    boats[1].refresh_from_db()
    assert LogAnchor.objects.get(number=2).changed == [[boats[1].pk, boats[1].log_position, boats[1].log_digest]]
    assert second.head != first.head
    assert (boats[1].anchored_position, second.entries) == (boats[1].log_position, 8)


def test_a_boat_read_before_and_saved_after_keeps_what_was_anchored(boats: list[Vessel]) -> None:
    stale = Vessel.objects.get(pk=boats[0].pk)
    current_head()
    stale.color = "red"
    stale.save()
    assert Vessel.objects.get(pk=stale.pk).anchored_position == 3


def test_the_file_outside_grows_by_what_it_lacks_and_is_whole_by_itself(cast: Cast, kept: Path) -> None:
    assert append_to_file(kept) == 0
    for word in ["one", "two"]:
        actions.write_note(by=cast.tech, vessel=cast.vessel, text=word)
        current_head()
    with kept.open("a") as file:
        file.write('{"number": 2, "he')  # cut off by a full disk
    assert append_to_file(kept) == 2
    assert "every digest agrees" in verify("--against", kept)
    lines = kept.read_text().splitlines()
    altered = [line.replace('"entries":8', '"entries":9') for line in lines]
    assert altered != lines
    kept.write_text("\n".join(altered))
    assert "is not what was written after the one before" in verify("--against", kept)
    assert kept.parent.stat().st_mode & 0o777 == 0o700


def test_a_file_that_begins_with_a_later_anchor_accuses_nobody(cast: Cast, kept: Path) -> None:
    """Whoever was given the place outside in the second year has no first line."""
    for word in ["one", "two"]:
        actions.write_note(by=cast.tech, vessel=cast.vessel, text=word)
        current_head()
    assert append_to_file(kept) == 2
    later = kept.read_text().splitlines(keepends=True)[1:]
    kept.write_text("".join(later))
    said = verify("--against", kept)
    assert "every digest agrees" in said, said
    kept.write_text(later[0] + later[1].replace('"entries":9', '"entries":8'))
    assert "the line of anchor 3 is not what was written after the one before" in verify("--against", kept)


def test_one_vessel_is_accused_once_and_its_neighbor_not(boats: list[Vessel], kept: Path) -> None:
    """Of each chain the first difference is told, with where it was pinned."""
    for boat in boats:
        hash_anew(boat)
    said = [line for line in verify("--against", kept).splitlines() if line.startswith("WRONG vessel")]
    where = f"heads.jsonl, anchor 1 of {LogAnchor.objects.get().taken_at:%Y-%m-%d}"
    assert [line for line in said if "heads.jsonl" in line] == [
        f"WRONG vessel {boats[0].pk}: entry 3 was rewritten ({where})",
        f"WRONG vessel {boats[1].pk}: entry 4 was rewritten ({where})",
    ]


@pytest.mark.parametrize("sql", ["UPDATE vessels_loganchor SET entries = 0", "DELETE FROM vessels_loganchor",
                                 "TRUNCATE vessels_loganchor"])  # fmt: skip
def test_anchors_are_append_only(boats: list[Vessel], sql: str) -> None:
    current_head()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)


def test_an_anchor_taken_out_or_changed_is_named(cast: Cast, boats: list[Vessel]) -> None:
    current_head()
    actions.write_note(by=cast.tech, vessel=boats[0], text="Bilge dry.")
    current_head()
    as_superuser("UPDATE vessels_loganchor SET vessels = 3 WHERE number = 2")
    assert "anchor 2 of" in verify()
    as_superuser("DELETE FROM vessels_loganchor WHERE number = 1")
    assert "anchor 1 is missing" in verify()


@pytest.mark.parametrize("column", ["changed", "journal"])
@pytest.mark.parametrize("value", ["[9]", "{}", '[["x", "y", 3]]', '"x"'])
def test_an_anchor_of_another_shape_is_named_and_stops_nothing(boats: list[Vessel], column: str, value: str) -> None:
    current_head()
    as_superuser(f"UPDATE vessels_loganchor SET {column} = %s", value)
    assert "is not what was written" in verify()


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("UPDATE vessels_vessel SET anchored_position = log_position", "is said to be anchored up to entry 4"),
        ("UPDATE commands_commandchain SET anchored_position = position", "is said to be anchored up to act 4"),
    ],
)
def test_a_chain_that_is_said_to_be_anchored_and_is_not_is_named(
    cast: Cast, boats: list[Vessel], sql: str, said: str
) -> None:
    """Else its new entries would be in no anchor from then on, and nobody would be told."""
    current_head()
    assert "every digest agrees" in verify()
    actions.write_note(by=cast.tech, vessel=boats[0], text="Bilge dry.")
    as_superuser(sql)
    assert f"{said}, and the anchors go up to 3" in verify()


@pytest.mark.parametrize(
    "line", ['{"number": "x", "head": "y"}', '{"number": 1, "head": 5}', "[]", "5", '"number head"']
)
def test_a_line_of_another_shape_is_passed_over(boats: list[Vessel], kept: Path, line: str) -> None:
    with kept.open("a") as file:
        file.write(f"{line}\n")
    assert "every digest agrees" in verify("--against", kept)
    actions.write_note(by=boats[0].log.first().author, vessel=boats[0], text="Bilge dry.")
    assert append_to_file(kept) == 1


def test_what_is_not_covered_is_said(boats: list[Vessel]) -> None:
    said = verify()
    for word in ["lines and charges", "customers", "spec cards", "unit", "understood of a CAN log"]:
        assert word in said.split("Not covered", 1)[1]
