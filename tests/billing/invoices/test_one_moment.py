"""A page of money that is read while another act commits shows the act whole, or not at all."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, connections
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from lxml import html

import billing.invoices.views.jobs as job_views
import workorders.views.lines as line_views
from billing.estimates.actions import charge_estimate
from tests.billing.authorizations.test_answers import give
from tests.cast import Cast
from workorders.models import Job

D = Decimal


def elsewhere(act: Callable[[], object]) -> None:
    """Do something on a connection of its own, and have it committed when this returns."""
    failed: list[BaseException] = []

    def work() -> None:
        try:
            act()
        except BaseException as error:
            failed.append(error)
        finally:
            connections.close_all()

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    if failed:
        raise failed[0]


def text(page: Any) -> str:
    return " ".join(html.fromstring(page.content.decode()).text_content().split())


@pytest.mark.parametrize(
    ("name", "views", "before"),
    [("workorders:lines", line_views, "job_sum"), ("invoices:job", job_views, "job_money")],
)
def test_charges_never_stand_without_the_discount_of_their_act(
    committed_db: None, cast: Cast, job: Job, monkeypatch: pytest.MonkeyPatch, name: str, views: Any, before: str
) -> None:
    """Between reading the job and its charges the estimate is charged: $600.00, and 10 % off all of it."""
    given = give(cast, job, discount_percent=D(10))
    read, done = getattr(views, before), []

    def first_the_other(*args: Any, **kwargs: Any) -> Any:
        if not done:
            done.append(True)
            elsewhere(lambda: charge_estimate(by=cast.desk, estimate=given.estimate))
        return read(*args, **kwargs)

    monkeypatch.setattr(views, before, first_the_other)
    client = Client()
    client.force_login(cast.manager)
    address = reverse(name, args=[job.number])
    during, after = text(client.get(address)), text(client.get(address))
    assert done
    # $600.00 with 6 % on the pump is $609.00; less 10 % it is $548.10.
    assert "$609.00" not in during
    assert "$548.10" in after
    assert "$548.10" not in during


@pytest.mark.parametrize("name", ["workorders:lines", "invoices:job", "estimates:job", "authorizations:job"])
def test_a_page_of_one_moment_writes_nothing(money: Any, name: str) -> None:
    """A page that wrote would collide with who writes the same."""
    money.invoice("100")
    money.charge("50")
    client = Client()
    client.force_login(money.cast.manager)
    address = reverse(name, args=[money.job.number])
    client.get(address)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    written = [one["sql"] for one in queries.captured_queries if re.match("(INSERT|UPDATE|DELETE)", one["sql"].strip())]
    assert [sql for sql in written if "staff_session" not in sql and "staff_person" not in sql] == []
