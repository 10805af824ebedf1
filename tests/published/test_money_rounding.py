"""Sums, discounts and taxes against published worked examples and published rules of rounding.

Sources:
- EN 16931-1 as the European Commission's CEF validation artefacts show it: the example invoices
  ``ubl-tc434-example1``, ``-example4`` and ``-example8`` and ``sample-discount-price`` of the public repository
  ConnectingEurope/eInvoicing-EN16931 (folder ``ubl/examples``). Quantities, prices, line amounts, VAT breakdown and
  totals stand there as figures. Rule BR-CO-17 (tax of a category = its base times its rate, rounded to two decimals) is
  cited from memory; the examples agree with it.
- Revised Code of Washington 82.08.054 (computation of tax due): carried to the third decimal place, and rounded up to
  the next cent whenever the third decimal place is greater than four; on an item or an invoice basis. The same words
  stand in the Streamlined Sales and Use Tax Agreement, section 324 (Rhode Island General Laws 44-18.1-25, North Dakota
  Century Code 57-39.4-25) and, with “four or less, round down”, in North Dakota Administrative Code 81-04.1-01-29.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workorders.reckoning import CapPer, ChargeKind, Discount, Item, Tax, reckon

D = Decimal
LOW, HIGH = ChargeKind.PART, ChargeKind.SUBLET
"""The examples have rates by line, here they go by kind: two kinds stand for two rates."""


def _lines(kind: ChargeKind, *lines: tuple[str, str]) -> list[Item]:
    return [Item(kind, D(quantity), D(price)) for quantity, price in lines]


def test_example_1_two_rates_and_goods_that_were_returned() -> None:
    low = _lines(
        LOW,
        *[("2", "9.95"), ("1", "9.85"), ("1", "8.29"), ("2", "7.23"), ("1", "35.00"), ("1", "35.00"), ("1", "10.65")],
        *[("1", "1.55"), ("3", "4.79"), ("1", "8.29"), ("2", "8.29"), ("1", "9.95"), ("2", "1.65"), ("1", "3.90")],
        *[("6", "17.02"), ("-6", "18.33")],
    )
    high = _lines(HIGH, ("1", "10.80"), ("2", "3.80"), ("2", "4.67"), ("1", "18.63"))
    found = reckon(
        [*low, *high],
        taxes=[Tax("6", "BTW", D(6), frozenset({LOW})), Tax("21", "BTW", D(21), frozenset({HIGH}))],
        currency="EUR",
    )
    printed = "19.90 9.85 8.29 14.46 35.00 35.00 10.65 1.55 14.37 8.29 16.58 9.95 3.30 3.90 102.12 -109.98"
    assert [str(one.net) for one in found.items] == [*printed.split(), "10.80", "7.60", "9.34", "18.63"]
    assert [(one.base, one.due) for one in found.taxes] == [(D("183.23"), D("10.99")), (D("46.37"), D("9.74"))]
    assert (found.net, found.tax, found.total) == (D("229.60"), D("20.73"), D("250.33"))


def test_example_4_two_rates() -> None:
    lines = [*_lines(HIGH, ("1000", "1.00"), ("100", "5.00")), *_lines(LOW, ("500", "5.00"))]
    due = [Tax("25", "Moms", D(25), frozenset({HIGH})), Tax("12", "Moms", D(12), frozenset({LOW}))]
    found = reckon(lines, taxes=due, currency="DKK")
    assert [(one.base, one.due) for one in found.taxes] == [
        (D("1500.00"), D("375.00")),
        (D("2500.00"), D("300.00")),
    ]
    assert (found.net, found.tax, found.total) == (D("4000.00"), D("675.00"), D("4675.00"))


def test_example_8_prices_with_five_decimals_and_prices_of_twelve() -> None:
    """Prices of twelve units (15.24 for 12 kW, 441.00 and 678.00 a year) stand here as prices of one."""
    lines = _lines(
        LOW,
        *[("16000", "0.00880"), ("16000", "0.00101"), ("132", "1.27"), ("58", "1.53"), ("1", "36.75")],
        *[("1", "56.50"), ("1", "83.34"), ("1", "190.31"), ("1", "64.21"), ("1", "64.46")],
    )
    found = reckon(lines, taxes=[Tax("21", "BTW", D(21))], currency="EUR")
    printed = "140.80 16.16 167.64 88.74 36.75 56.50 83.34 190.31 64.21 64.46"
    assert [str(one.net) for one in found.items] == printed.split()
    assert (found.net, found.tax, found.total) == (D("908.91"), D("190.87"), D("1099.78"))


@pytest.mark.parametrize("off", [None, Discount(amount=D("0.22"))])
def test_a_price_with_a_discount_comes_to_the_same_as_the_price_less_it(off: Discount | None) -> None:
    """The example takes 0.0022 off 0.1234 for each of 100; taken off the line it is 0.22."""
    price = "0.1212" if off is None else "0.1234"
    found = reckon([Item(LOW, D("100.000"), D(price), True, off)], taxes=[Tax("25", "PDV", D(25))], currency="EUR")
    assert (found.net, found.tax, found.total) == (D("12.12"), D("3.03"), D("15.15"))


@given(st.integers(0, 10**10), st.integers(0, 100_000))
def test_tax_is_rounded_as_the_statutes_say(cents: int, thousandths: int) -> None:
    """In whole numbers: base in cents times rate in thousandths of a percent, cut off behind the third decimal."""
    in_mills = cents * thousandths // 10_000  # the third decimal of a dollar is the last digit
    due = in_mills // 10 + (1 if in_mills % 10 > 4 else 0)
    tax = Tax("t", "Sales tax", D(thousandths) / 1000)
    found = reckon([Item(LOW, D(1), D(cents) / 100)], taxes=[tax])
    assert found.tax == D(due) / 100


def test_a_surtax_stops_at_5000_of_a_single_item() -> None:
    """Florida Department of Revenue, form DR-15, instructions to Line A: of a single item for $6,500, $1,500 is not
    subject to discretionary sales surtax. Technical Assistance Advisement 18A-018: the limit goes by line item, as a
    summary at salestaxinstitute.com tells it. State tax of 6 %: from memory."""
    state = Tax("s", "State", D(6), frozenset({LOW}))
    surtax = Tax("c", "Surtax", D(1), frozenset({LOW}), cap=D(5000), cap_per=CapPer.LINE)
    whole, county = reckon(_lines(LOW, ("1", "6500")), taxes=[state, surtax]).taxes
    assert (whole.due, county.uncapped, county.base, county.due) == (D(390), D(6500), D(5000), D(50))
    assert (county.uncapped or 0) - county.base == D(1500)
    of_three = reckon(_lines(LOW, ("1", "6500"), ("1", "1200"), ("3", "400")), taxes=[surtax]).taxes
    assert [(one.base, one.due) for one in of_three] == [(D(7400), D(74))]


def test_a_tax_on_a_tax() -> None:
    """Quebec, 2012: QST of 9.5 % of the price with GST of 5 % (from memory). It was made 9.975 % of the price alone in
    2013, so that the total stayed what it was: revenuquebec.ca, “Calculating the Taxes”, $100 come to $114.98."""
    gst = Tax("g", "GST", D(5), frozenset({LOW}))
    before = [gst, Tax("q", "QST", D("9.5"), frozenset({LOW}), on="g")]
    since = [gst, Tax("q", "QST", D("9.975"), frozenset({LOW}))]
    found = reckon(_lines(LOW, ("1", "100")), taxes=before, currency="CAD")
    assert [(one.base, one.due, one.on) for one in found.taxes] == [(D(100), D(5), ""), (D(105), D("9.98"), "GST")]
    assert found.total == reckon(_lines(LOW, ("1", "100")), taxes=since, currency="CAD").total == D("114.98")


def test_tax_of_an_invoice_is_worked_out_on_its_sum_and_not_line_by_line() -> None:
    """Both are the seller's choice by RCW 82.08.054; three lines of 0.08 at 6.25 % make 0.02, not three times 0.01."""
    found = reckon(_lines(LOW, *[("1", "0.08")] * 3), taxes=[Tax("t", "Sales tax", D("6.25"))])
    assert found.tax == D("0.02")
