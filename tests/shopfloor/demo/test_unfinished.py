"""What is left to somebody in the demo, held against its own visits, promises and invoices. Nothing is played here."""

from __future__ import annotations

from shopfloor.demo.billing import INVOICED, billing_events
from shopfloor.demo.promising import AT_THE_COUNTER, Promise
from shopfloor.demo.unfinished import BEING_WRITTEN, DECLINED, ON_WATER, unfinished_events
from shopfloor.demo.visits import all_visits

VISITS = {(visit.boat, visit.days_ago): visit for visit in all_visits()}


def test_what_is_being_written_was_given_before_and_its_job_goes_on() -> None:
    assert isinstance(AT_THE_COUNTER[BEING_WRITTEN], Promise)
    assert VISITS[BEING_WRITTEN].ends == "authorized"


def test_the_job_that_gets_a_used_part_goes_on_and_no_sum_stops_its_charge() -> None:
    assert VISITS[ON_WATER].ends == "waiting-weather"
    assert ON_WATER not in AT_THE_COUNTER


def test_what_is_dropped_was_declined_before() -> None:
    boat, what = DECLINED
    ((_, said),) = [(whose, one) for whose, one in AT_THE_COUNTER.items() if whose[0] == boat]
    assert isinstance(said, Promise)
    assert [name for name, _, is_safety in said.no if not is_safety] == [what]
    (dropped,) = [ago for ago, act in unfinished_events() if getattr(act, "__name__", "") == "_declined_for_good"]
    (declined,) = [ago for whose, ago in AT_THE_COUNTER if whose == boat]
    assert dropped < declined


def test_boats_have_one_invoice_and_it_is_older_than_what_is_done_about_it() -> None:
    boats = [boat for boat, _, _ in INVOICED]
    assert len(boats) == len(set(boats))
    made = {boat: ago for boat, _, ago in INVOICED}
    assert made["saffron"] > 35
    assert made["skate"] > 8
    assert made["plover"] > 3


def test_all_of_it_is_done_before_the_last_day() -> None:
    assert min(ago for ago, _ in [*unfinished_events(), *billing_events()]) == 1
