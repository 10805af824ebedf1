"""What is promised in the demo, held against its own boats, customers and parts. Nothing is played here."""

from __future__ import annotations

import io
import json

import pytest
from PIL import Image

from billing.authorizations.models import Authorization
from billing.authorizations.strokes import strokes_of, svg_of
from shopfloor.demo.fleet import BOATS, CLIENTS
from shopfloor.demo.promising import ASKED_AGAIN, AT_THE_COUNTER, SIGNATURE, Promise, Word, signed_sheet
from shopfloor.demo.shop import PARTS
from shopfloor.demo.visits import all_visits

EVERY = [*AT_THE_COUNTER.items(), *ASKED_AGAIN.items()]
VISITS = {(visit.boat, visit.days_ago): visit for visit in all_visits()}


@pytest.mark.parametrize(("whose", "said"), EVERY)
def test_a_promise_is_of_a_visit_and_names_what_is_on_it(whose: tuple[str, int], said: Promise | Word) -> None:
    visit = VISITS[whose]
    owner = next(boat.owner for boat in BOATS if boat.key == visit.boat)
    phones = {number for _, number in next(client.phones for client in CLIENTS if client.key == owner)}
    assert said.reached == "" or said.reached in phones
    if isinstance(said, Word):
        return
    options = {name for name, _ in said.options}
    lines = {words for _, words, _, _, option in said.lines if not option}
    assert {option for *_, option in said.lines} - {""} == options  # an option without a line is never given
    assert {name for name, _, _ in said.no} | set(said.taken) <= lines | options
    assert {what for what, *_ in said.lines} <= {number for number, *_ in PARTS} | {"labor", "sublet", "fee"}
    assert all(words or what not in {"labor", "sublet", "fee"} for what, words, *_ in said.lines)


def test_work_that_was_begun_was_answered_for_and_what_waits_is_open() -> None:
    for whose, said in AT_THE_COUNTER.items():
        waits = VISITS[whose].ends == "estimate"
        assert isinstance(said, Word) or bool(said.how) is not waits, whose
    given = {said.how for said in AT_THE_COUNTER.values() if isinstance(said, Promise) and said.how}
    assert given == {Authorization.DRAWN, Authorization.PHONE, Authorization.MESSAGE, Authorization.PAPER}


def test_the_signature_is_one_and_the_sheet_is_a_picture_that_is_drawn_the_same_every_time() -> None:
    assert svg_of(strokes_of(json.dumps(SIGNATURE))).count(b"<polyline") == 3
    made = signed_sheet("Estimate 1042, version 1", "Delphine Ames")
    assert made == signed_sheet("Estimate 1042, version 1", "Delphine Ames")
    assert Image.open(io.BytesIO(made)).size == (900, 1200)
