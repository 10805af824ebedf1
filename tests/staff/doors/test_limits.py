"""Counters: exact under many at once, evicted by nobody, and no lock against the person themselves."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection, connections
from django.utils import timezone

from staff.doors.limits import GuessLimit, Limit, came_in_from, remember_address, sweep
from staff.doors.models import Counter, KnownAddress
from tests.cast import make_cast

FIVE = Limit("test", 5, 300)
GUESSES = GuessLimit("test-guesses", 5, 300, most_elsewhere=8, seconds_elsewhere=900)


def let_pass(seconds):
    for counter in Counter.objects.all():
        counter.until -= timedelta(seconds=seconds)
        counter.save()


@pytest.mark.django_db
def test_so_many_and_no_more_until_the_window_is_over():
    assert [FIVE.take("a") for _ in range(7)] == [True] * 5 + [False] * 2
    assert FIVE.take("b")
    let_pass(299)
    assert not FIVE.take("a")
    let_pass(2)
    assert FIVE.take("a")


@pytest.mark.django_db
def test_more_tries_neither_shorten_nor_lengthen_the_window():
    FIVE.take("a")
    before = Counter.objects.get().until
    for _ in range(20):
        FIVE.take("a")
    assert Counter.objects.get().until == before


@pytest.mark.django_db
def test_other_keys_evict_nothing():
    for _ in range(6):
        FIVE.take("a")
    for number in range(500):
        FIVE.take(f"other {number}")
    assert not FIVE.take("a")


@pytest.mark.django_db
def test_what_was_right_is_given_back_and_what_was_wrong_stays():
    for _ in range(4):
        FIVE.take("a")
    for _ in range(10):
        assert FIVE.take("a")
        FIVE.give_back("a")
    assert FIVE.take("a")
    assert not FIVE.take("a")


@pytest.mark.django_db
def test_keys_do_not_run_into_each_other_and_tell_nothing():
    assert FIVE.key("a", "bc") != FIVE.key("ab", "c")
    assert FIVE.key("a") != Limit("other", 5, 300).key("a")
    FIVE.take("orla")
    assert "orla" not in Counter.objects.get().key


@pytest.mark.django_db(transaction=True)
def test_of_forty_at_once_exactly_five_get_through():
    def one(_):
        try:
            return FIVE.take("a")
        finally:
            connections.close_all()

    with ThreadPoolExecutor(8) as pool:
        through = list(pool.map(one, range(40)))
    assert sum(through) == 5
    assert Counter.objects.get().hits == 40


@pytest.mark.django_db
def test_wrong_guesses_from_elsewhere_leave_the_person_in_where_they_came_in_before():
    person = make_cast().owner
    remember_address(person, "192.0.2.1")
    for number in range(60):
        GUESSES.attempt("orla", f"203.0.113.{number}", person)
    assert GUESSES.attempt("orla", "198.51.100.5", person) is None, "a new address waits"
    assert GUESSES.attempt("orla", "192.0.2.1", person) is not None


@pytest.mark.django_db
def test_guesses_at_one_address_are_few_also_where_the_person_came_in_before():
    person = make_cast().owner
    remember_address(person, "192.0.2.1")
    assert [bool(GUESSES.attempt("orla", "192.0.2.1", person)) for _ in range(6)] == [True] * 5 + [False]


@pytest.mark.django_db
def test_many_addresses_together_get_no_more_guesses_than_the_person_has():
    tried = [GUESSES.attempt("orla", f"203.0.113.{number}", None) for number in range(30)]
    assert sum(1 for attempt in tried if attempt) == 8


@pytest.mark.django_db
def test_what_is_old_is_swept_out():
    person = make_cast().owner
    remember_address(person, "192.0.2.1")
    FIVE.take("a")
    FIVE.take("b")
    Counter.objects.filter(key=FIVE.key("a")).update(until=timezone.now() - timedelta(days=1))
    KnownAddress.objects.update(last_used=timezone.now() - timedelta(days=200))
    assert not came_in_from(person, "192.0.2.1")
    sweep()
    assert [counter.key for counter in Counter.objects.all()] == [FIVE.key("b")]
    assert not KnownAddress.objects.exists()


@pytest.mark.django_db
def test_counting_sweeps_by_itself(monkeypatch):
    FIVE.take("a")
    Counter.objects.update(until=timezone.now() - timedelta(days=1))
    monkeypatch.setattr("staff.doors.limits.secrets.randbelow", lambda most: 0)
    FIVE.take("b")
    assert Counter.objects.count() == 1
    assert connection.in_atomic_block
