"""What a job comes to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from babel import Locale
from babel.numbers import format_currency
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workorders.money import ChargeKind, amount, currency_sign, money_words, rounded, step_of
from workorders.queries import sums
from workorders.queries.sums import job_sum, sums_of_jobs
from workorders.reckoning import Tax
from workorders.taxes.queries import TaxRules


@dataclass(frozen=True)
class Item:
    kind: str
    quantity: Decimal
    unit_price: Decimal
    taxable: bool = True
    discount: None = None
    is_core: bool = False


@dataclass(frozen=True)
class Totals:
    """What a job with one tax on everything that is taxed comes to, each sum by its name."""

    labor: Decimal
    parts: Decimal
    sublet: Decimal
    fees: Decimal
    subtotal: Decimal
    taxed: Decimal
    tax_percent: Decimal
    tax: Decimal
    total: Decimal


def totals(charges: list[Item], *, tax_percent: Decimal, currency: str = "USD") -> Totals:
    found = TaxRules((Tax("t", "Tax", tax_percent),)).reckon(charges, currency=currency)
    (due,) = found.taxes
    by_kind = [found.by_kind[kind] for kind in ChargeKind]
    return Totals(*by_kind, found.subtotal, due.base, due.tax.percent, due.due, found.total)


def labor(hours: str, rate: str, *, taxable: bool = False) -> Item:
    return Item("labor", Decimal(hours), Decimal(rate), taxable)


def part(quantity: str, price: str, *, taxable: bool = True) -> Item:
    return Item("part", Decimal(quantity), Decimal(price), taxable)


items = st.builds(
    Item,
    kind=st.sampled_from([kind.value for kind in ChargeKind]),
    quantity=st.decimals(min_value="0.01", max_value="9999", places=2),
    unit_price=st.decimals(min_value="0", max_value="99999", places=2),
    taxable=st.booleans(),
)
percents = st.decimals(min_value=0, max_value=100, places=3)


@pytest.mark.parametrize(
    ("quantity", "price", "expected"),
    [
        ("1", "19.99", "19.99"),
        ("1.5", "125.00", "187.50"),
        ("0.25", "0.10", "0.03"),  # 0.025: the half goes up
        ("0.35", "0.10", "0.04"),  # 0.035: up as well, where half-even would give 0.04 too
        ("0.45", "0.10", "0.05"),  # 0.045: half-even would give 0.04
        ("3", "0.33", "0.99"),
    ],
)
def test_an_amount_is_rounded_half_up(quantity: str, price: str, expected: str) -> None:
    assert amount(part(quantity, price)) == Decimal(expected)


def test_a_whole_job() -> None:
    found = totals(
        [
            labor("2.5", "120.00"),
            part("2", "48.75"),
            part("1", "12.05", taxable=False),
            Item("fee", Decimal(1), Decimal("9.95")),
        ],
        tax_percent=Decimal("6.25"),
    )
    assert (found.labor, found.parts, found.fees, found.sublet) == (
        Decimal("300.00"),
        Decimal("109.55"),
        Decimal("9.95"),
        Decimal("0.00"),
    )
    assert found.subtotal == Decimal("419.50")
    assert found.taxed == Decimal("107.45")
    assert found.tax == Decimal("6.72")  # 6.715625
    assert found.total == Decimal("426.22")


def test_tax_is_rounded_once_and_not_for_each_line() -> None:
    three = [part("1", "0.08")] * 3  # 6.25 % of 0.08 is 0.005: three times rounded up would be 0.03
    assert totals(three, tax_percent=Decimal("6.25")).tax == Decimal("0.02")  # 0.015


def test_nothing_charged_comes_to_nothing() -> None:
    assert totals([], tax_percent=Decimal("7")).total == Decimal("0.00")


@given(st.lists(items, max_size=12), percents)
def test_subtotal_is_the_sum_of_the_amounts_shown(charges: list[Item], percent: Decimal) -> None:
    found = totals(charges, tax_percent=percent)
    assert found.subtotal == sum((amount(one) for one in charges), Decimal(0))
    assert found.total == found.subtotal + found.tax


@given(st.lists(items, max_size=12), percents)
def test_tax_is_within_half_a_cent_of_the_exact_one(charges: list[Item], percent: Decimal) -> None:
    found = totals(charges, tax_percent=percent)
    exact = Fraction(found.taxed) * Fraction(percent) / 100
    assert abs(Fraction(found.tax) - exact) <= Fraction(1, 200)
    assert 0 <= found.tax <= found.taxed


@given(st.lists(items, max_size=12), percents, st.randoms())
def test_order_does_not_matter(charges: list[Item], percent: Decimal, chance: object) -> None:
    mixed = list(charges)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    assert totals(mixed, tax_percent=percent) == totals(charges, tax_percent=percent)


@given(items)
def test_an_amount_is_within_half_a_cent_and_a_half_goes_up(charge: Item) -> None:
    exact = Fraction(charge.quantity) * Fraction(charge.unit_price)
    off = Fraction(amount(charge)) - exact
    assert -Fraction(1, 200) < off <= Fraction(1, 200)


@given(st.decimals(min_value=0, max_value=10**7, places=4))
def test_rounding_is_what_decimal_calls_half_up(value: Decimal) -> None:
    assert rounded(value) == value.quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


@pytest.mark.parametrize(("currency", "step"), [("USD", "0.01"), ("JPY", "1"), ("KWD", "0.01")])
def test_a_currency_has_its_own_step(currency: str, step: str) -> None:
    assert step_of(currency) == Decimal(step)


def test_a_currency_without_cents_is_rounded_to_whole_units() -> None:
    assert amount(part("1.5", "333"), "JPY") == Decimal(500)


def test_a_whole_job_in_a_currency_without_cents_has_none_anywhere() -> None:
    charges = [labor("1.5", "333", taxable=True), part("0.5", "333"), Item("sublet", Decimal(3), Decimal("0.5"))]
    found = totals(charges, tax_percent=Decimal("7.5"), currency="JPY")
    said = (found.labor, found.parts, found.sublet, found.fees, found.taxed, found.tax, found.subtotal, found.total)
    # 499.5, 166.5 and 1.5 are each rounded up; the tax on 669 is 50.175.
    assert [str(one) for one in said] == ["500", "167", "2", "0", "669", "50", "669", "719"]
    assert found.tax_percent == Decimal("7.5")


def test_nothing_charged_is_written_as_the_currency_writes_it() -> None:
    for currency, nothing in [("USD", "0.00"), ("JPY", "0"), ("KWD", "0.00")]:
        found = totals([], tax_percent=Decimal(0), currency=currency)
        assert {str(found.subtotal), str(found.taxed), str(found.tax), str(found.total)} == {nothing}


def test_the_sign_beside_a_price_is_the_currencys() -> None:
    signs = {"USD": "$", "EUR": "€", "CAD": "CA$", "GBP": "£", "JPY": "¥", "QQQ": "QQQ"}
    assert {currency: currency_sign(currency) for currency in signs} == signs


@pytest.mark.parametrize(
    ("currency", "expected"),
    [("USD", "$1,940.00"), ("EUR", "€1,940.00"), ("CAD", "CA$1,940.00"), ("JPY", "¥1,940")],
)
def test_money_is_written_in_the_shops_currency(currency: str, expected: str) -> None:
    assert money_words(Decimal("1940"), currency) == expected


@pytest.mark.parametrize("currency", ["USD", "EUR", "CAD", "JPY", "CHF", "QQQ"])
def test_no_line_ends_inside_a_sum(currency: str) -> None:
    """After a minus a line may end before the sign of a currency (UAX 14, PR ÷ PR), and at any plain space."""
    said = money_words(Decimal("-1940"), currency)
    assert said.startswith("−\u2060")
    assert " " not in said


def test_a_currency_that_is_not_known_shows_by_its_letters() -> None:
    assert "QQQ" in money_words(Decimal("5"), "QQQ")
    assert currency_sign("USD") == "$"


@given(
    currency=st.sampled_from(sorted(Locale("en", "US").currencies)) | st.just("QQQ"),
    value=st.decimals(min_value=-(10**12), max_value=10**12, allow_nan=False, places=None)
    | st.decimals(min_value=-(10**12), max_value=10**12, places=2)
    | st.sampled_from([Decimal("-0.00"), Decimal("1E+3"), Decimal("0.005"), Decimal("-0.005"), Decimal("999999.995")]),
)
def test_money_is_written_as_the_library_writes_it(currency: str, value: Decimal) -> None:
    assert money_words(value, currency) == format_currency(value, currency, locale="en_US").replace("-", "−\u2060")


@pytest.mark.parametrize("value", [0, 5, -1234, 12.5])
def test_a_number_that_is_no_decimal_is_written_as_the_library_writes_it(value: float) -> None:
    for currency in ("USD", "JPY", "KWD"):
        assert money_words(value, currency) == format_currency(value, currency, locale="en_US").replace("-", "−\u2060")  # type: ignore[arg-type]


priced = st.builds(
    dict,
    kind=st.sampled_from([kind.value for kind in ChargeKind]),
    quantity=st.decimals(min_value="0.01", max_value="9999", places=2),
    unit_price=st.decimals(min_value="0", max_value="99999", places=2),
    taxable=st.booleans(),
    discount_percent=st.none() | st.decimals(min_value="0", max_value="100", places=2),
    struck=st.sampled_from([False, False, False, True]),
)


@pytest.mark.django_db
@pytest.mark.parametrize("currency", ["USD", "JPY"])
@given(charges=st.lists(priced, max_size=8), whole=st.none() | st.decimals(min_value="0.01", max_value="100", places=2))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_list_of_jobs_says_the_same_sum_as_the_job(job, cast, currency, charges, whole):
    job.charges.all().delete()
    job.discount_percent = whole
    tax = TaxRules((Tax("t", "Tax", Decimal("6.875"), frozenset({ChargeKind.PART, ChargeKind.FEE})),))
    for number, one in enumerate(charges):
        voided = {"struck_at": timezone.now(), "struck_by": cast.desk} if one["struck"] else {}
        # Every third discount is one in money, no more than the charge comes to.
        given_ = {name: value for name, value in one.items() if name != "struck"}
        if number % 3 == 2 and given_["discount_percent"] is not None:
            worth = rounded(given_["quantity"] * given_["unit_price"], currency)
            given_ |= {"discount_percent": None, "discount_amount": rounded(worth / 3, currency)}
        job.charges.create(description=f"Charge {number}", added_by=cast.desk, **given_, **voided)
    with pytest.MonkeyPatch.context() as patch:
        rules = replace(tax, discount=job.discount)
        patch.setattr(sums, "taxes_of_jobs", lambda *_, **__: {job.pk: rules})
        assert sums_of_jobs([job], currency=currency) == {job.pk: job_sum(job, currency=currency).totals.total}
