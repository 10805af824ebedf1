"""What the pages of money ask of the database, at two sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from billing.invoices.queries.balances import held_payments
from billing.invoices.queries.lists import statement_of
from tests.asking import Asked, asked
from tests.workorders.counter import signed_in

if TYPE_CHECKING:
    from datetime import date

    from django.test import Client

    from tests.billing.invoices.conftest import Money
    from tests.cast import Cast


def cost(client: Client, address: str) -> Asked:
    client.get(address)
    with asked() as counted:
        assert client.get(address).status_code == 200
    return counted


def test_a_customers_money_asks_as_often_for_much_as_for_little(money: Money, cast: Cast) -> None:
    client = signed_in(cast.desk)
    addresses = [f"/customers/{money.job.customer_id}/money/", "/invoices/", "/invoices/aging/"]
    money.deposit("5")
    money.pay(money.invoice("50"), "20")
    few = [cost(client, address) for address in addresses]
    for _ in range(4):
        money.pay(money.invoice("50"), "20")
    many = [cost(client, address) for address in addresses]
    assert [one.queries for one in many] == [one.queries for one in few]
    assert max(one.queries for one in many) <= 9
    assert many[0].rows == few[0].rows + 4 * 2  # each invoice once, each payment once
    assert many[2].rows <= few[2].rows + 4  # one row of sums for each age, whatever is behind it


def test_a_statement_brings_what_is_held(money: Money) -> None:
    money.deposit("5")
    money.pay(money.invoice("50"), "70")
    today: date = money.job.opened_at.date()
    statement = statement_of(money.job.customer, "USD", today)
    assert list(statement.purses) == held_payments([money.job.customer], "USD")
    assert sum(purse.rest for purse in statement.purses) == statement.held.total
