"""Numbers of documents: one after the other in each series, whoever asks at once, and whatever dies on the way."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest
from django.db import connection, transaction

from billing.documents.models import NumberSeries
from billing.documents.numbers import Series, next_number

PAPERS, OTHERS = Series("papers", "P-"), Series("others", "", before_first=0)
AT_ONCE = 16
KEPT: list[object] = []


def given(series: Series = PAPERS) -> str:
    with transaction.atomic():
        return next_number(series)


@pytest.mark.django_db
def test_each_series_counts_for_itself_and_begins_where_it_says():
    assert [given(), given(OTHERS), given(), given(OTHERS)] == ["P-1001", "1", "P-1002", "2"]


@pytest.mark.django_db
def test_what_stands_before_a_number_and_where_it_goes_on_is_the_shops():
    given()
    NumberSeries.objects.filter(pk="papers").update(prefix="2027/", last=6)
    assert given() == "2027/7"


@pytest.mark.django_db
def test_a_document_that_is_not_made_gives_its_number_back():
    given()
    with transaction.atomic():
        assert next_number(PAPERS) == "P-1002"
        transaction.set_rollback(True)
    assert given() == "P-1002"


@pytest.mark.usefixtures("committed_db")
def test_no_number_is_given_outside_of_a_transaction():
    with pytest.raises(RuntimeError, match="inside the transaction"):
        next_number(PAPERS)


@pytest.mark.usefixtures("committed_db")
def test_sixteen_at_once_get_sixteen_numbers_without_a_gap():
    begin, numbers = threading.Barrier(AT_ONCE), []

    def take_one() -> None:
        try:
            begin.wait(60)
            numbers.append(given())
        finally:
            connection.close()

    people = [threading.Thread(target=take_one) for _ in range(AT_ONCE)]
    for one in people:
        one.start()
    for one in people:
        one.join(60)
    assert sorted(numbers) == [f"P-{1001 + place}" for place in range(AT_ONCE)]


@pytest.mark.usefixtures("committed_db")
def test_a_process_that_is_killed_with_a_number_in_its_hand_leaves_no_gap():
    given()
    told, tell = os.pipe()
    child = os.fork()
    if child == 0:
        KEPT.append(connection.connection)  # the parent's: never closed from here
        connection.connection = None
        with transaction.atomic():
            os.write(tell, next_number(PAPERS).encode())
            time.sleep(60)
        os._exit(1)
    assert os.read(told, 20) == b"P-1002"
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    assert given() == "P-1002"
    assert given() == "P-1003"
