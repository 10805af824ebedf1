"""No request, however odd, is answered with an error of the program's own.

``GARBOARD_FUZZ=seed:count`` repeats a run, or makes it longer.
"""

from __future__ import annotations

import json
import os
import threading
from urllib.parse import quote

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from commands.refusals import Refused
from findings.bench.catalog import all_tools
from findings.faults.listed import read_list
from findings.readings.actions import add_parameter
from findings.readings.models import Parameter
from staff.policy import Role
from tests.cast import make_cast
from tests.shopfloor.fuzzing import FILTERED_LIKE, QUIET, Fuzzer
from tests.shopfloor.scene import Scene
from tests.shopfloor.stage_of_everything import full_stage
from tests.shopfloor.test_permissions import ROUTES
from web.typed import moment_of, uuid_of, whole_number

SEED, COUNT = (int(part) for part in os.environ.get("GARBOARD_FUZZ", "20261127:300").split(":"))


@pytest.mark.django_db
@pytest.mark.slow
@pytest.mark.timeout(7200)
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # a file that a client never reads
def test_no_fuzzed_request_breaks_the_program() -> None:
    fuzzer = Fuzzer(full_stage(), SEED)
    broken, statuses = {}, set()
    for number in range(COUNT):
        asked = fuzzer.request()
        answer = fuzzer.send(asked)
        statuses.add(answer.status_code)
        is_ill = asked.path == "/health/" and answer.status_code == 503  # no worker beats in a test
        if answer.status_code >= 500 and not is_ill:
            where = getattr(answer, "exc_info", None)
            reason = f"{where[0].__name__}: {str(where[1])[:200]}" if where else "no traceback"
            broken.setdefault(reason, f"request {number} of seed {SEED}: {answer.status_code} for {asked}")
    assert not broken, "\n".join(f"{reason}\n    {told}" for reason, told in broken.items())
    assert {200, 302, 404, 422} <= statuses, "the requests reach what they should"


def test_every_address_is_tried_with_all_that_can_be_typed_there(db: None) -> None:
    fuzzer = Fuzzer(full_stage(), SEED)
    assert {row.name for row in fuzzer.rows} == set(ROUTES) - QUIET
    assert {"account_logout"} == QUIET, "what is left out is named here with its reason beside it"
    tools = {row.arguments(fuzzer.scene)[1] for row in fuzzer.rows if row.name == "findings:bench_tool"}
    assert tools == set(all_tools())
    filtered = {*FILTERED_LIKE, "staff:journal", "findings:instrument_change", "vessels:meter-replace"}
    typed = {row.name: fuzzer.page_of(row) for row in fuzzer.rows if row.name in filtered}
    assert typed.keys() == filtered
    assert [name for name, page in typed.items() if not (page.values or page.offered)] == []


# --- what was found once, by name ---


@pytest.fixture
def scene(db: None) -> Scene:
    return Scene(make_cast())


def owner_of(scene: Scene) -> Client:
    client = Client()
    client.force_login(scene.cast.person(Role.OWNER))
    return client


@pytest.mark.parametrize("nothing", ["\x00", "1032-1\x00", "\ufffd", "x" * 3000])
def test_a_number_that_no_report_has_is_not_ours(db: None, nothing: str) -> None:
    for path in (f"/verify/{quote(nothing)}/ABCD/", f"/verify/1032-1/{quote(nothing)}/"):
        assert Client().get(path).status_code in {200, 404}


@pytest.mark.parametrize("nothing", ["\x00", "1-1\x00"])
def test_a_report_with_a_nul_in_its_number_is_not_there(scene: Scene, nothing: str) -> None:
    for way in ("", "pdf/", "withdraw/"):
        assert owner_of(scene).get(f"/reports/{quote(nothing)}/{way}").status_code == 404


def test_a_nul_in_a_search_is_left_out(scene: Scene) -> None:
    client = owner_of(scene)
    part = scene.part
    path = reverse("workorders:charge_add", args=[scene.job.number])
    assert part.description in client.get(path, {"q": f"{part.number}\x00"}).content.decode()
    assert client.get(reverse("search"), {"q": "Second\x00 Wind"}).status_code == 200


@pytest.mark.parametrize("deep", ["[" * 100_000, '{"a":' * 20_000, "[" * 900 + "]" * 900])
def test_a_list_of_codes_that_is_nested_without_end_is_damaged(deep: str) -> None:
    with pytest.raises(Refused, match="damaged"):
        read_list(deep)


@pytest.mark.parametrize("odd", ["²", "٣", "9" * 30, "-1", "1.0", " 1"])
def test_an_engine_that_is_no_number_is_no_engine(scene: Scene, odd: str) -> None:
    path = reverse("findings:parameter_history", args=[scene.cast.vessel.pk, scene.parameter.pk])
    assert owner_of(scene).get(path, {"engine": odd}).status_code in {200, 404}


@pytest.mark.parametrize(
    ("text", "number"),
    [
        *(("0", 0), ("17", 17), ("007", 7), ("9" * 18, int("9" * 18))),
        *((odd, None) for odd in ("", "²", "٣", "-1", "1.0", "9" * 19)),
    ],
)
def test_a_whole_number_is_told_from_what_looks_like_one(text: str, number: int | None) -> None:
    assert whole_number(text) == number


@pytest.mark.parametrize("text", ["0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "2026-13-01T00:00", "x", ""])
def test_a_moment_that_no_calendar_holds_is_none(text: str) -> None:
    assert moment_of(text) is None
    assert uuid_of(text) is None


@pytest.mark.parametrize("text", ["0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "0001-01-01", "1899-12-31T00:00"])
def test_a_moment_at_the_edge_of_the_calendar_is_told_beside_its_field(scene: Scene, text: str) -> None:
    client = owner_of(scene)
    for name, subject in (
        ("vessels:unit-remove", scene.cast.port_unit.pk),
        ("findings:job_readings", scene.job.number),
    ):
        answer = client.post(reverse(name, args=[subject]), {"happened_at": text, "phase": "arrival"})
        assert answer.status_code == 422
        assert "Enter a date from 1900 to 2999" in answer.content.decode()


@pytest.mark.parametrize(("text", "said"), [("Fine 🙂", "Papers cannot show “🙂”."), ("a\x07b", "(U+0007)")])
def test_a_sign_that_no_paper_shows_is_told_once_beside_its_field(scene: Scene, text: str, said: str) -> None:
    client = owner_of(scene)
    for name, subject, field in (
        ("vessels:note", scene.cast.vessel.pk, "text"),
        ("vessels:customer-change", scene.cast.customer.pk, "notes"),
        ("workorders:intake", scene.job.number, "spot"),
        ("workorders:line", scene.job.number, "cause"),
        ("reports:job", scene.draft.job.number, "summary"),
    ):
        arguments = [subject, 1] if name == "workorders:line" else [subject]
        answer = client.post(reverse(name, args=arguments), {field: text})
        assert answer.status_code == 422, name
        page = answer.content.decode()
        assert page.count(said) == 2, name  # in the summary, and beside the field
        assert 'aria-invalid="true"' in page


@pytest.mark.parametrize("text", ["a\0b", "\0"])
def test_a_part_is_looked_for_whatever_was_typed(scene: Scene, text: str) -> None:
    address = reverse("workorders:charge_add", args=[scene.job.number])
    assert owner_of(scene).post(address, {"step": "find", "find": text, "text": text}).status_code in {200, 422}


@pytest.mark.django_db(transaction=True)
def test_eight_people_name_one_new_parameter_at_once() -> None:
    cast = make_cast()
    begin, found, failed = threading.Barrier(8), [], []

    def name_it() -> None:
        try:
            begin.wait(60)
            found.append(add_parameter(by=cast.tech, name="Raw water pressure", kind="pressure").pk)
        except Exception as problem:
            failed.append(problem)
        finally:
            connection.close()

    people = [threading.Thread(target=name_it) for _ in range(8)]
    for one in people:
        one.start()
    for one in people:
        one.join(60)
    assert failed == []
    assert set(found) == {Parameter.objects.get(name="Raw water pressure").pk}


def test_what_the_json_of_a_list_may_not_hold() -> None:
    for row in (
        ["maker", "\ud800", "active", None],
        ["maker", "a\x00b", "active", None],
        ["spn", "110-0", "active", 10**20],
    ):
        with pytest.raises(Refused):
            read_list(json.dumps([row]))
