"""Adding money up: what is shown adds up, and no cent is gained or lost by how it is written down."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from workorders.reckoning import (
    ALL_KINDS,
    ChargeKind,
    Discount,
    DiscountTooLarge,
    Item,
    Tax,
    discount_of,
    percent_fee,
    reckon,
    rounded,
    shared,
    step_of,
)

D = Decimal
CENT = D("0.01")
LABOR, PART, SUBLET, FEE = ChargeKind.LABOR, ChargeKind.PART, ChargeKind.SUBLET, ChargeKind.FEE


def item(kind: str, quantity: str, price: str, *, taxable: bool = True, off: Discount | None = None) -> Item:
    return Item(ChargeKind(kind), D(quantity), D(price), taxable, off)


discounts = st.one_of(
    st.none(),
    st.builds(Discount, percent=st.decimals(min_value=0, max_value=100, places=3)),
    st.builds(Discount, amount=st.just(D("0.01"))),
)
items = st.builds(
    Item,
    kind=st.sampled_from(list(ChargeKind)),
    quantity=st.decimals(min_value="0.01", max_value="9999", places=2),
    unit_price=st.decimals(min_value="1", max_value="99999", places=2),
    taxable=st.booleans(),
    discount=discounts,
)
taxes = st.lists(
    st.builds(
        Tax,
        key=st.uuids().map(str),
        name=st.just("Tax"),
        percent=st.decimals(min_value=0, max_value=100, places=3),
        kinds=st.frozensets(st.sampled_from(list(ChargeKind))),
    ),
    max_size=3,
)
wholes = st.one_of(st.none(), st.builds(Discount, percent=st.decimals(min_value=0, max_value=100, places=3)))
currencies = st.sampled_from(["USD", "EUR", "JPY", "KWD"])


def test_a_job_with_everything() -> None:
    """An engine job in a state that taxes parts, and a county that taxes fees as well; 5 % off for a club member.

    Worked by hand: the discount of 104.88 falls on 1200.00 labor, 597.60 parts, 250.00 sublet and 50.00 fees as 60.00,
    29.88, 12.50 and 2.50.
    """
    found = reckon(
        [
            item("labor", "8", "150.00"),
            item("part", "4", "166.00", off=Discount(percent=D(10))),
            item("sublet", "1", "250.00", taxable=False),
            item("fee", "1", "50.00"),
        ],
        taxes=[
            Tax("state", "State sales tax", D("6"), frozenset({PART})),
            Tax("county", "County surtax", D("0.5"), frozenset({PART, FEE})),
        ],
        discount=Discount(percent=D(5)),
    )
    assert [one.price for one in found.items] == [D("1200.00"), D("597.60"), D("250.00"), D("50.00")]
    assert [one.share for one in found.items] == [D("60.00"), D("29.88"), D("12.50"), D("2.50")]
    assert (found.subtotal, found.discount) == (D("2097.60"), D("104.88"))
    assert [one.discount for one in found.items] == [D(0), D("66.40"), D(0), D(0)]
    assert [(one.tax.key, one.base, one.due) for one in found.taxes] == [
        ("state", D("567.72"), D("34.06")),  # 34.0632
        ("county", D("615.22"), D("3.08")),  # 3.0761
    ]
    assert (found.net, found.tax, found.total) == (D("1992.72"), D("37.14"), D("2029.86"))


def test_who_is_exempt_from_one_tax_owes_the_other_and_both_are_told() -> None:
    both = [Tax("state", "State", D(6)), Tax("county", "County", D(1))]
    found = reckon([item("part", "1", "100.00")], taxes=both, exempt=frozenset({"state"}))
    assert [(one.base, one.due, one.is_exempt) for one in found.taxes] == [
        (D("100.00"), D("0.00"), True),
        (D("100.00"), D("1.00"), False),
    ]
    assert found.total == D("101.00")


def test_nothing_comes_to_nothing_in_the_currencys_own_writing() -> None:
    for currency, nothing in [("USD", "0.00"), ("JPY", "0"), ("KWD", "0.00")]:
        found = reckon([], taxes=[Tax("t", "T", D(7))], currency=currency)
        said = [found.subtotal, found.discount, found.net, found.tax, found.total, found.taxes[0].base]
        assert {str(one) for one in said} == {nothing}


def test_a_currency_without_cents_has_none_anywhere() -> None:
    found = reckon(
        [item("labor", "1.5", "333"), item("part", "0.5", "333", off=Discount(percent=D(10)))],
        taxes=[Tax("t", "T", D("7.5"))],
        currency="JPY",
        discount=Discount(amount=D(100)),
    )
    # 499.5 and 166.5 go up; 10 % of 167 is 16.7; 100 falls on 500 and 150 as 76.92 and 23.08; 7.5 % of 550 is 41.25.
    assert [str(one.net) for one in found.items] == ["423", "127"]
    assert (str(found.net), str(found.tax), str(found.total)) == ("550", "41", "591")


@pytest.mark.parametrize(
    ("price", "off", "expected"),
    [
        ("100.00", Discount(percent=D("33.333")), "33.33"),
        ("0.15", Discount(percent=D(10)), "0.02"),  # 0.015: the half goes up
        ("0.05", Discount(percent=D(10)), "0.01"),  # 0.005
        ("10.00", Discount(percent=D(100)), "10.00"),
        ("10.00", Discount(percent=D(0)), "0.00"),
        ("10.00", Discount(amount=D(10)), "10.00"),
        ("10.00", Discount(amount=D("0.005")), "0.01"),
        ("0.00", Discount(amount=D(0)), "0.00"),
        ("-20.00", Discount(percent=D(10)), "-2.00"),  # what is credited is credited at the price that was paid
    ],
)
def test_a_discount_is_rounded_once_half_up(price: str, off: Discount, expected: str) -> None:
    (one,) = reckon([item("part", "1", price, off=off)]).items
    assert str(one.discount) == expected


@pytest.mark.parametrize(
    ("percent", "amount", "expected"),
    [
        (None, None, None),
        (D(0), D(0), None),
        (D(10), None, Discount(percent=D(10))),
        (None, D("4.50"), Discount(amount=D("4.50"))),
        (D(0), D("4.50"), Discount(amount=D("4.50"))),
    ],
)
def test_a_discount_of_two_columns(percent: Decimal | None, amount: Decimal | None, expected: Discount | None) -> None:
    assert discount_of(percent, amount) == expected


def test_a_discount_larger_than_what_it_is_taken_from_is_no_discount() -> None:
    with pytest.raises(DiscountTooLarge) as told:
        reckon([item("part", "1", "10.00", off=Discount(amount=D("10.01")))])
    assert (told.value.discount, told.value.of) == (D("10.01"), D("10.00"))
    with pytest.raises(DiscountTooLarge):
        reckon([item("part", "1", "10.00")], discount=Discount(amount=D(11)))
    with pytest.raises(DiscountTooLarge):
        reckon([], discount=Discount(amount=D(1)))


@pytest.mark.parametrize(
    "wrong",
    [
        Discount,
        lambda: Discount(percent=D(1), amount=D(1)),
        lambda: Discount(percent=D("100.001")),
        lambda: Discount(percent=D("-0.001")),
        lambda: Discount(amount=D("-0.01")),
        lambda: Tax("t", "T", D("100.001")),
        lambda: Tax("t", "T", D("-0.001")),
        lambda: percent_fee([], percent=D(101), kinds=ALL_KINDS, currency="USD"),
        lambda: percent_fee([], percent=D(1), kinds=ALL_KINDS, currency="USD", cap=D("-0.01")),
        lambda: shared(D("-0.01"), [D(1)], CENT),
        lambda: shared(D("0.005"), [D(1)], CENT),
        lambda: shared(D(1), [D(2), D(-1)], CENT),
        lambda: shared(D(1), [D(0)], CENT),
        lambda: shared(D(1), [], CENT),
    ],
)
def test_what_cannot_be_is_refused(wrong: object) -> None:
    with pytest.raises(ValueError, match=r"[a-z]"):
        wrong()  # type: ignore[operator]


def test_a_credit_comes_to_what_was_charged() -> None:
    """Half up goes away from zero, so that a credit undoes its charge and its tax to the cent."""
    tax = [Tax("t", "T", D("6.25"))]
    charged = reckon([item("part", "0.25", "0.10"), item("part", "3", "0.04")], taxes=tax)
    credited = reckon([item("part", "-0.25", "0.10"), item("part", "-3", "0.04")], taxes=tax)
    assert (charged.net, charged.tax) == (D("0.15"), D("0.01"))
    assert (credited.net, credited.tax, credited.total) == (-charged.net, -charged.tax, -charged.total)


def test_an_item_that_is_credited_takes_no_share_of_a_discount() -> None:
    found = reckon([item("part", "1", "100.00"), item("part", "-1", "40.00")], discount=Discount(amount=D(30)))
    assert [one.share for one in found.items] == [D("30.00"), D("0.00")]
    assert found.net == D("30.00")


SUPPLIES = frozenset({LABOR, PART})


@pytest.mark.parametrize(
    ("charged", "percent", "cap", "expected"),
    [
        ([("labor", "2.5", "120.00"), ("part", "1", "80.00")], "8", None, "30.40"),
        ([("labor", "2.5", "120.00"), ("part", "1", "80.00")], "8", "25", "25.00"),
        ([("labor", "2.5", "120.00"), ("part", "1", "80.00")], "8", "30.40", "30.40"),
        ([("labor", "2.5", "120.00"), ("sublet", "1", "900.00"), ("fee", "1", "60.00")], "8", None, "24.00"),
        ([("sublet", "1", "900.00")], "8", "25", "0.00"),
        ([], "8", "25", "0.00"),
        ([("labor", "1", "100.00")], "0", "25", "0.00"),
        ([("labor", "1", "100.00")], "8", "0", "0.00"),
        ([("part", "-1", "100.00")], "8", "25", "0.00"),
        ([("part", "1", "0.06")], "8.333", None, "0.00"),  # 0.0049998
        ([("part", "1", "0.10")], "5", None, "0.01"),  # 0.005
    ],
)
def test_shop_supplies(charged: list[tuple[str, str, str]], percent: str, cap: str | None, expected: str) -> None:
    found = percent_fee(
        [item(*one) for one in charged],
        percent=D(percent),
        kinds=SUPPLIES,
        currency="USD",
        cap=None if cap is None else D(cap),
    )
    assert str(found) == expected


@pytest.mark.parametrize(
    ("total", "weights", "expected"),
    [
        ("0.01", ["1", "1", "1"], ["0.01", "0.00", "0.00"]),
        ("0.02", ["1", "1", "1"], ["0.01", "0.01", "0.00"]),
        ("100.00", ["1", "1", "1"], ["33.34", "33.33", "33.33"]),
        ("100.00", ["1", "2", "0"], ["33.33", "66.67", "0.00"]),
        ("10.00", ["0.10", "9.90"], ["0.10", "9.90"]),
        ("0.00", ["0", "0"], ["0.00", "0.00"]),
        ("0.00", [], []),
    ],
)
def test_sharing_out(total: str, weights: list[str], expected: list[str]) -> None:
    assert [str(one) for one in shared(D(total), [D(one) for one in weights], CENT)] == expected


@given(
    st.integers(0, 10**9),
    st.lists(st.decimals(min_value=0, max_value=10**6, places=2), min_size=1, max_size=20),
    currencies,
)
def test_shares_add_up_and_are_fair_to_a_step(steps: int, weights: list[Decimal], currency: str) -> None:
    assume(any(weights))
    step = step_of(currency)
    total = step * steps
    shares = shared(total, weights, step)
    assert sum(shares) == total
    whole = sum(Fraction(one) for one in weights)
    for share, weight in zip(shares, weights, strict=True):
        assert abs(Fraction(share) - Fraction(total) * Fraction(weight) / whole) < Fraction(step)


@given(st.lists(items, max_size=8), taxes, wholes, currencies)
def test_lines_discounts_and_taxes_always_close(
    lines: list[Item], due: list[Tax], whole: Discount | None, currency: str
) -> None:
    found = reckon(lines, taxes=due, discount=whole, currency=currency)
    for one in found.items:
        assert one.amount == rounded(one.item.quantity * one.item.unit_price, currency)
        assert 0 <= one.discount <= one.amount
        assert 0 <= one.share <= one.price
        assert one.net == one.amount - one.discount - one.share
    assert sum(found.by_kind.values()) == sum(one.price for one in found.items) == found.subtotal
    assert sum(one.share for one in found.items) == found.discount
    assert sum(one.net for one in found.items) == found.net == found.subtotal - found.discount
    assert found.total == found.net + sum(one.due for one in found.taxes)
    half = Fraction(step_of(currency)) / 2
    for told in found.taxes:
        assert told.base == sum(one.net for one in found.items if one.item.taxable and one.item.kind in told.tax.kinds)
        off = Fraction(told.due) - Fraction(told.base) * Fraction(told.tax.percent) / 100
        assert -half < off <= half
    for said in (found.subtotal, found.discount, found.net, found.tax, found.total):
        assert said == rounded(said, currency)
        assert said.as_tuple().exponent == step_of(currency).as_tuple().exponent


def sums(lines: list[Item], due: list[Tax], whole: Discount | None, exempt: frozenset[str]) -> list[Decimal]:
    found = reckon(lines, taxes=due, discount=whole, exempt=exempt)
    taxed = [figure for one in found.taxes for figure in (one.base, one.due)]
    return [*(found.by_kind[kind] for kind in ChargeKind), found.discount, *taxed, found.net, found.tax, found.total]


@given(st.lists(items, max_size=8), taxes, wholes, st.randoms())
def test_the_order_does_not_matter(lines: list[Item], due: list[Tax], whole: Discount | None, chance: object) -> None:
    mixed = list(lines)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    exempt = frozenset(one.key for one in due[:1])
    assert sums(mixed, due, whole, exempt) == sums(lines, due, whole, exempt)


whole_items = st.builds(
    Item,
    kind=st.sampled_from(list(ChargeKind)),
    quantity=st.integers(1, 50).map(Decimal),
    unit_price=st.decimals(min_value="0.01", max_value="9999", places=2),
    taxable=st.booleans(),
)


@given(st.lists(whole_items, min_size=1, max_size=6), taxes, wholes, st.data())
def test_splitting_and_joining_lines_moves_no_cent(
    lines: list[Item], due: list[Tax], whole: Discount | None, data: st.DataObject
) -> None:
    """One line of ten, or ten lines of one: every sum, every tax and the total stay what they were."""
    place = data.draw(st.integers(0, len(lines) - 1))
    one = lines[place]
    off = data.draw(st.integers(0, int(one.quantity * one.unit_price * 100)))
    first = data.draw(st.integers(0, int(one.quantity)))
    sizes = [size for size in (first, int(one.quantity) - first) if size]
    amounts = [size * one.unit_price for size in sizes]
    offs = shared(CENT * off, amounts, CENT)
    joined = [*lines]
    joined[place] = Item(one.kind, one.quantity, one.unit_price, one.taxable, Discount(amount=CENT * off))
    split = [other for at, other in enumerate(lines) if at != place] + [
        Item(one.kind, Decimal(size), one.unit_price, one.taxable, Discount(amount=own))
        for size, own in zip(sizes, offs, strict=True)
    ]
    assert sums(split, due, whole, frozenset()) == sums(joined, due, whole, frozenset())


@given(st.lists(items, max_size=6), st.decimals(min_value=0, max_value=100, places=3), st.integers(0, 10**6))
def test_a_percentage_fee_keeps_to_its_cap(lines: list[Item], percent: Decimal, cap: int) -> None:
    base = sum(one.price for one in reckon(lines).items if one.item.kind in SUPPLIES)
    free = percent_fee(lines, percent=percent, kinds=SUPPLIES, currency="USD")
    capped = percent_fee(lines, percent=percent, kinds=SUPPLIES, currency="USD", cap=CENT * cap)
    assert free == rounded(D(base) * percent / 100)
    assert capped == min(free, CENT * cap)
