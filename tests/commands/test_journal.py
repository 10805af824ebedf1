"""The journal: who did what, with what, provably, and without any secret."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from decimal import Decimal
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from commands.envelope import USED_ELSEWHERE
from commands.journal import problems
from commands.models import Command, CommandChain
from commands.refusals import Refused
from parts.actions import add_part, change_part
from staff.actions import add_person, change_person, choose_password, set_password
from staff.queries import shop_profile
from tests.cast import Cast, make_cast
from vessels.actions import add_customer, write_note
from vessels.log.chain import NewEntry, append
from vessels.models import Vessel
from web.tables import harmless
from workorders.actions import open_job, take_in

SECRET = "quiet-lantern-harbor-9"


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def rewrite(statement: str, *values: object) -> None:
    """Somebody who owns the tables writes what they like."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("ALTER TABLE commands_command DISABLE TRIGGER USER")
        cursor.execute(statement, values)
        cursor.execute("ALTER TABLE commands_command ENABLE TRIGGER USER")


@pytest.fixture
def told(cast: Cast) -> list[Command]:
    """Three acts on one boat, one without a hull."""
    for text in ("One.", "Two.", "Three."):
        write_note(by=cast.tech, vessel=cast.vessel, text=text)
    add_customer(by=cast.desk, name="Ada Finch")
    return list(Command.objects.order_by("chain", "position"))


def test_acts_are_chained_by_what_they_write_to(cast: Cast, told: list[Command]) -> None:
    assert [(act.chain, act.position) for act in told] == [
        (f"staff.person:{cast.desk.pk}", 1),
        *((f"vessels.vessel:{cast.vessel.pk}", position) for position in (1, 2, 3)),
    ]
    assert list(problems()) == []
    call_command("verify_log", stdout=io.StringIO())


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE commands_command SET device = 'x' WHERE id = %s", "is not what was written"),
        ("UPDATE commands_command SET actor_id = NULL WHERE id = %s", "is not what was written"),
        ("UPDATE commands_command SET told = '{\"role\": []}' WHERE id = %s", "is not what was written"),
        ("DELETE FROM commands_command WHERE id = %s", "act 2 is missing"),
    ],
)
def test_an_altered_or_removed_act_is_found(cast: Cast, told: list[Command], statement: str, said: str) -> None:
    rewrite(statement, told[2].pk)
    (found,) = problems()
    assert said in found
    with pytest.raises(CommandError, match="1 thing"):
        call_command("verify_log", stdout=io.StringIO())


@pytest.mark.parametrize("position", ["NULL", "0"])
def test_an_act_put_beside_the_chains_is_found(cast: Cast, told: list[Command], position: str) -> None:
    columns = "kind, device, received_at, digest, outcome, records, told, actor_id, chain, link"
    rewrite(
        f"INSERT INTO commands_command (id, position, {columns}) "
        f"SELECT gen_random_uuid(), {position}, {columns} FROM commands_command WHERE id = %s",
        told[2].pk,
    )
    (found,) = problems()
    assert "write_note" in found
    assert "stands in no chain" in found
    rewrite("UPDATE commands_command SET received_at = '2020-01-01' WHERE position IS NULL AND id <> %s", told[2].pk)
    said = io.StringIO()
    if position == "NULL":  # one of before there were chains accuses nobody, and is said to be held by no digest
        call_command("verify_log", stdout=said)
        assert "1 act of the journal is from before there were chains: no digest holds them." in said.getvalue()


def test_a_removed_last_act_and_a_removed_head_are_found(cast: Cast, told: list[Command]) -> None:
    rewrite("DELETE FROM commands_command WHERE id = %s", told[3].pk)
    CommandChain.objects.filter(pk=told[0].chain).delete()
    found = list(problems())
    assert len(found) == 2
    assert "its head is gone" in found[0]
    assert "ends at act 2, not at 3" in found[1]


def test_no_password_and_no_digest_of_one_is_kept(cast: Cast) -> None:
    person = add_person(by=cast.owner, username="ida", name="Ida Shoal", role="technician", password=SECRET)
    set_password(by=cast.owner, person=person, password=SECRET + "x")
    choose_password(by=person, password=SECRET + "y")
    others = Command.objects.filter(kind="set_password")
    set_password(by=cast.owner, person=person, password=SECRET + "z")
    assert len(set(others.values_list("digest", flat=True))) == 1, "the digest knows nothing of the password"
    kept = json.dumps(list(Command.objects.values()), default=str)
    for word in (SECRET, SECRET + "x", SECRET + "y", SECRET + "z"):
        assert word not in kept
        assert hashlib.sha256(word.encode()).hexdigest() not in kept


def test_it_says_what_changed_without_copying_words(cast: Cast) -> None:
    change_person(by=cast.owner, person=cast.tech, changes={"role": "manager", "email": "tomas@reef.example"})
    part = add_part(by=cast.owner, number="T-1", maker="Tidewright", description="Anode", unit_price=Decimal("12.50"))
    change_part(by=cast.owner, part=part, changes={"unit_price": Decimal(13), "description": "Zinc anode"})
    kept = {act.kind: act.told for act in Command.objects.all()}
    assert kept["change_person"] == {"role": ["technician", "manager"], "email": []}
    assert kept["change_part"] == {"unit_price": ["12.5", "13"], "description": []}
    act = Command.objects.get(kind="change_person")
    assert act.actor == cast.owner
    assert f"staff.person:{cast.tech.pk}" in act.records


def test_an_act_names_every_record_that_it_adds(cast: Cast) -> None:
    boat = {"name": "Ibis", "hin": "GBD99999A525"}
    job = take_in(
        by=cast.desk, customer={"name": "Cy"}, boat=boat, engines=[{"position": "single"}],
        concerns=[("Alarm", 0)], entry_id=uuid4(),
    )  # fmt: skip
    act = Command.objects.get(kind="take_in")
    vessel, engine = job.vessel, job.vessel.engines.get()
    assert act.outcome == f"workorders.job:{job.pk}"
    assert {f"workorders.job:{job.pk}", f"vessels.customer:{job.customer_id}", f"vessels.vessel:{vessel.pk}",
            f"vessels.engine:{engine.pk}"} <= set(act.records)  # fmt: skip
    assert len(act.records) == len(set(act.records))


def test_an_entry_from_before_the_journal_is_said_to_be_there(cast: Cast) -> None:
    """Nothing is known of what its form said, so it is neither taken for done nor for something else."""
    key = uuid4()
    append(NewEntry("note", cast.vessel, cast.tech, "Note", text="Bilge dry.", id=key))
    with pytest.raises(Refused) as refusal:
        write_note(by=cast.tech, vessel=cast.vessel, text="Bilge dry.", entry_id=key)
    assert refusal.value.sentence == (
        "An entry of this form is already in the log: “Note”. Look at it, and open a new form if something is missing."
    )
    for other in [{"by": cast.manager}, {"vessel": Vessel.objects.create(name="Ibis", owner=cast.customer)}]:
        with pytest.raises(Refused) as refusal:
            write_note(**{"by": cast.tech, "vessel": cast.vessel, "text": "Bilge dry.", "entry_id": key} | other)
        assert refusal.value.sentence == USED_ELSEWHERE
    assert Command.objects.count() == 0


class TestThePage:
    def test_only_the_owner_sees_it(self, client: Any, cast: Cast) -> None:
        for person, status in [(cast.owner, 200), (cast.manager, 403), (cast.tech, 403), (cast.desk, 403)]:
            client.force_login(person)
            assert client.get(reverse("staff:journal")).status_code == status
            assert client.get(reverse("staff:journal_csv")).status_code == status

    def test_it_filters(self, client: Any, cast: Cast, told: list[Command]) -> None:
        client.force_login(cast.owner)

        def shown(**asked: object) -> list[str]:
            return [row.act.kind for row in client.get(reverse("staff:journal"), asked).context["rows"]]

        assert shown() == ["add_customer", *["write_note"] * 3]
        assert shown(who=cast.desk.pk) == ["add_customer"]
        assert shown(kind="write_note", record=f"vessels.vessel:{cast.vessel.pk}") == ["write_note"] * 3
        assert shown(record="vessels.vessel:999999") == []
        assert shown(until="2001-01-01") == []
        assert shown(since="2001-01-01", kind="add_customer") == ["add_customer"]
        assert shown(since="2030-01-01") == []
        assert shown(since="nonsense", who="x", kind="y") == ["add_customer", *["write_note"] * 3]

    def test_days_in_the_wrong_order_are_told(self, client: Any, cast: Cast, told: list[Command]) -> None:
        client.force_login(cast.owner)
        page = client.get(reverse("staff:journal"), {"since": "2030-05-02", "until": "2030-05-01"})
        assert "“To” is before “From”, so neither day is used." in page.content.decode()
        assert len(page.context["rows"]) == 4
        same = client.get(reverse("staff:journal"), {"since": "2030-05-01", "until": "2030-05-01"})
        assert "neither day is used" not in same.content.decode()

    def test_acts_are_named_in_the_shops_words(self, client: Any, cast: Cast, told: list[Command]) -> None:
        client.force_login(cast.owner)
        page = client.get(reverse("staff:journal")).content.decode()
        assert "Note written" in page
        assert "Customer added" in page
        assert "write note" not in page.lower()
        table = b"".join(client.get(reverse("staff:journal_csv")).streaming_content).decode()  # type: ignore[attr-defined]
        assert "Note written" in table

    def test_device_and_its_time_are_kept(self, client: Any, cast: Cast) -> None:
        client.force_login(cast.owner)
        client.get("/")
        url = reverse("vessels:note", args=[cast.vessel.pk])
        sent = {"text": "Wet.", "entry_id": str(uuid4()), "sent_at": "2026-05-01T10:00:00.000Z"}
        assert client.post(url, sent).status_code == 302
        act = Command.objects.get(kind="write_note")
        assert act.at is not None
        assert act.at.isoformat() == "2026-05-01T10:00:00+00:00"
        assert act.received_at != act.at

    def test_the_table_holds_no_formula(self, client: Any, cast: Cast, told: list[Command]) -> None:
        cast.desk.name = "=HYPERLINK(1)"
        cast.desk.save()
        client.force_login(cast.owner)
        answer = client.get(reverse("staff:journal_csv"))
        table = list(csv.DictReader(io.StringIO(b"".join(answer.streaming_content).decode())))
        assert len(table) == 4
        assert table[0]["who"] == "'=HYPERLINK(1)"

    def test_the_table_has_the_shops_time_and_the_names_that_the_page_shows(self, client: Any, cast: Cast) -> None:
        note = write_note(by=cast.tech, vessel=cast.vessel, text="Bilge wet.")
        client.force_login(cast.owner)
        table = b"".join(client.get(reverse("staff:journal_csv")).streaming_content).decode()  # type: ignore[attr-defined]
        row = next(csv.DictReader(io.StringIO(table)))
        act, shop = Command.objects.get(kind="write_note"), ZoneInfo(shop_profile().time_zone)
        assert row["received"] == timezone.localtime(act.received_at, shop).isoformat(timespec="seconds")
        assert row["received"][-6:] in {"-05:00", "-04:00"}
        page = client.get(reverse("staff:journal")).context["rows"][0]
        assert row["records"] == "; ".join(name for _, name in page.records)
        assert cast.vessel.name in row["records"]
        assert ":" not in row["records"]
        assert row["result"] == "Log entry Note"
        assert f"vessels.logentry:{note.pk}" in row["record ids"].split()

    def test_what_corrects_and_what_voids_is_called_by_what_it_corrects(self, client: Any, cast: Cast) -> None:
        from findings.faults.actions import clear_codes, log_scan, log_work
        from findings.readings.actions import log_reading
        from findings.readings.models import Parameter
        from vessels.actions import amend_text, log_hours, retract

        scan = {"by": cast.tech, "unit": cast.port_unit, "phase": "arrival", "is_complete": True, "codes": []}
        first = log_scan(**scan)
        log_scan(**scan, amends=first.entry)
        oil = Parameter.objects.get_or_create(name="Oil pressure", defaults={"kind": "pressure"})[0]
        reading = {"by": cast.tech, "vessel": cast.vessel, "engine": cast.port, "parameter": oil, "unit": "psi"}
        read = log_reading(**reading, value=Decimal(40))
        log_reading(**reading, value=Decimal(41), amends=read.entry)
        work = log_work(by=cast.tech, vessel=cast.vessel, faults=[], text="Oil changed.")
        cleared = clear_codes(by=cast.tech, unit=cast.port_unit)
        note = write_note(by=cast.desk, vessel=cast.vessel, text="Wet.")
        hours = log_hours(by=cast.tech, engine=cast.port, shown=Decimal(100))
        for entry in (work.entry, cleared.entry, note, hours):
            amend_text(by=cast.desk, entry=entry, text="No.")
        retract(by=cast.tech, entry=cleared.entry, reason="Other boat.")
        client.force_login(cast.owner)
        said = [row.words for row in client.get(reverse("staff:journal")).context["rows"]]
        assert said[::-1] == [
            "Scan logged", "Scan corrected", "Reading logged", "Reading corrected", "Work logged",
            "Cleared codes logged", "Note written", "Hour meter reading logged", "Work corrected", "Clear corrected",
            "Note corrected", "Hour meter reading corrected", "Clear voided",
        ]  # fmt: skip
        table = b"".join(client.get(reverse("staff:journal_csv")).streaming_content).decode()  # type: ignore[attr-defined]
        assert [row["act"] for row in csv.DictReader(io.StringIO(table))] == said

    def test_acts_of_several_records_and_of_one_act_alone(self, client: Any, cast: Cast, told: list[Command]) -> None:
        client.force_login(cast.owner)

        def shown(record: str) -> list[str]:
            return [row.act.kind for row in client.get(reverse("staff:journal"), {"record": record}).context["rows"]]

        boat, person = f"vessels.vessel:{cast.vessel.pk}", "vessels.customer:999999"
        assert shown(f"{person} {boat}") == shown(boat) == ["write_note"] * 3
        assert shown(f"{person} {boat}@add_vessel") == []
        assert shown(f"{boat}@write_note") == ["write_note"] * 3


@pytest.mark.parametrize("cell", ["＝1+1", "\n=1", "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
def test_what_a_spreadsheet_would_work_out_is_a_text(cell: str) -> None:
    assert harmless(cell) == f"'{cell}"
    assert harmless(f"x{cell}") == f"x{cell}"


def test_the_page_calls_records_by_their_names_in_few_queries(
    cast: Cast, told: list[Command], client: Any, django_assert_max_num_queries: Any
) -> None:
    client.force_login(cast.owner)
    client.get(reverse("staff:journal"))
    with django_assert_max_num_queries(14):
        page = client.get(reverse("staff:journal")).content.decode()
    assert f">Vessel {cast.vessel.name}" in page
    assert ">Person " in page or ">Customer " in page
    assert "vessels.vessel:" not in page.replace(f"?record=vessels.vessel%3A{cast.vessel.pk}", "")


def test_a_record_that_is_gone_is_said_to_be(cast: Cast) -> None:
    from staff.journal import names_of

    assert names_of({"vessels.vessel:999999"}) == {"vessels.vessel:999999": "Vessel no. 999999, gone"}


def test_a_record_whose_name_says_what_it_is_is_not_called_twice(cast: Cast) -> None:
    from findings.reports.models import ReportDraft
    from staff.journal import names_of

    job = open_job(by=cast.desk, vessel=cast.vessel, concerns=["Overheats"], location="slip")
    draft = ReportDraft.objects.create(job=job, started_by=cast.tech)
    unit = cast.port_unit
    wanted = {f"reports.reportdraft:{draft.pk}", f"vessels.controlunit:{unit.pk}", f"vessels.vessel:{cast.vessel.pk}"}
    assert names_of(wanted) == {
        f"reports.reportdraft:{draft.pk}": f"Draft for Job {job.number}",
        f"vessels.controlunit:{unit.pk}": "Engine control unit (port)",
        f"vessels.vessel:{cast.vessel.pk}": f"Vessel {cast.vessel.name}",
    }
