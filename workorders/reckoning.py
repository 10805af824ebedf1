"""What charges, discounts and taxes come to: the one place that adds money up. Pure arithmetic in Decimal.

The amount of an item is its quantity times its price, rounded once, half up, to what the currency has in coins. A
discount of a percentage is rounded once as well. A discount of the whole is shared out by largest remainder, so that
the shares add up to it. Each tax is worked out once, on the sum of what it is due on, and rounded once; it may stop at
a sum, of each line or of the whole, or be due on another tax as well. Everything above that adds rounded amounts, so
that what is shown always adds up. Half up means away from zero, so that a credit comes to what was charged.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction

from babel.numbers import get_currency_precision

MOST_PLACES = 2
"""Prices are stored with two decimals, whatever the currency."""
HUNDRED = Decimal(100)


class ChargeKind(StrEnum):
    """What is charged for."""

    LABOR = "labor"
    PART = "part"
    SUBLET = "sublet"
    FEE = "fee"


ALL_KINDS = frozenset(ChargeKind)


class DiscountTooLarge(ValueError):  # noqa: N818 - named after what it tells the user
    """A discount is more than what it is taken from; ``discount`` and ``of`` are sums of money."""

    def __init__(self, discount: Decimal, of: Decimal) -> None:
        super().__init__(f"a discount of {discount} is more than the {of} that it is taken from")
        self.discount, self.of = discount, of


class CapPer(StrEnum):
    """Of what a tax is due on no more than its cap."""

    LINE = "line"
    DOCUMENT = "document"


@dataclass(frozen=True)
class Tax:
    """A tax: its percentage, and the kinds of charges that it is due on.

    ``cap`` is the largest sum that it is due on, of each line or of the whole; ``on`` is the key of another tax that it
    is due on as well, as far as that one is due on the same lines.

    Raises:
        ValueError: the percentage is not from 0 to 100, the cap is not above zero, or it has a cap and another tax in
            its base: what both together mean is not known.
    """

    key: str
    name: str
    percent: Decimal
    kinds: frozenset[ChargeKind] = ALL_KINDS
    cap: Decimal | None = None
    cap_per: CapPer = CapPer.DOCUMENT
    on: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no percentage, and no cap."""
        _check_percent(self.percent)
        if self.cap is not None and self.cap <= 0:
            raise ValueError(f"a tax on no more than {self.cap} is none")
        if self.cap is not None and self.on:
            raise ValueError("a tax has a cap, or another tax in its base, and not both")


@dataclass(frozen=True)
class Discount:
    """A discount: a percentage from 0 to 100, or a sum of money.

    Raises:
        ValueError: both are given or neither, or it is not a discount.
    """

    percent: Decimal | None = None
    amount: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse what is no discount."""
        if (self.percent is None) == (self.amount is None):
            raise ValueError("a discount is a percentage or a sum, and not both")
        if self.percent is not None:
            _check_percent(self.percent)
        if self.amount is not None and self.amount < 0:
            raise ValueError(f"a discount of {self.amount} is none")

    def within(self, sum_: Decimal) -> Discount:
        """The same, and no more than a sum: a discount in money on what may still grow or shrink."""
        return self if self.amount is None or self.amount <= sum_ else Discount(amount=max(sum_, Decimal(0)))

    def of(self, sum_: Decimal, currency: str) -> Decimal:
        """What it comes to on a sum, rounded once.

        Raises:
            DiscountTooLarge: it is more than the sum.
        """
        if self.percent is not None:
            return rounded(sum_ * self.percent / HUNDRED, currency)
        due = rounded(self.amount or Decimal(0), currency)
        if due and due > sum_:
            raise DiscountTooLarge(due, sum_)
        return due


def discount_of(percent: Decimal | None, amount: Decimal | None) -> Discount | None:
    """A discount as it stands in two columns, of which one is filled at most."""
    if percent:
        return Discount(percent=percent)
    return Discount(amount=amount) if amount else None


@dataclass(frozen=True)
class Item:
    """One priced line. ``taxable`` False takes it out of every tax, whatever its kind.

    ``is_core`` takes it out of a discount of the whole and of fees by percentage: a core charge is given back as it was
    charged.
    """

    kind: ChargeKind
    quantity: Decimal
    unit_price: Decimal
    taxable: bool = True
    discount: Discount | None = None
    is_core: bool = False


@dataclass(frozen=True)
class ReckonedItem:
    """What an item comes to: ``amount`` before discounts, its own ``discount``, its ``share`` of the whole's."""

    item: Item
    amount: Decimal
    discount: Decimal
    share: Decimal

    @property
    def price(self) -> Decimal:
        """The amount less its own discount: what stands at the end of its line."""
        return self.amount - self.discount

    @property
    def net(self) -> Decimal:
        """The amount less both discounts: what taxes are due on."""
        return self.price - self.share


@dataclass(frozen=True)
class TaxDue:
    """One tax: ``base`` is the sum that it is due on, or would be due on where the customer is exempt."""

    tax: Tax
    base: Decimal
    due: Decimal
    is_exempt: bool = False
    currency: str = "USD"
    on: str = ""
    """The name of the other tax that is in the base, where that one is due."""
    uncapped: Decimal | None = None
    """What the base would be without the cap, where that is another."""


@dataclass(frozen=True)
class Reckoning:
    """What everything comes to. ``by_kind`` is before the discount of the whole; ``taxes`` are in the order given."""

    items: tuple[ReckonedItem, ...]
    by_kind: dict[ChargeKind, Decimal]
    discount: Decimal
    taxes: tuple[TaxDue, ...]
    nothing: Decimal

    @property
    def subtotal(self) -> Decimal:
        """The prices of all items, before the discount of the whole and before taxes."""
        return sum(self.by_kind.values(), self.nothing)

    @property
    def discountable(self) -> Decimal:
        """What a discount of the whole is taken from."""
        return sum((one.price for one in self.items if not one.item.is_core), self.nothing)

    @property
    def net(self) -> Decimal:
        """Everything before taxes."""
        return self.subtotal - self.discount

    @property
    def tax(self) -> Decimal:
        """All taxes together."""
        return sum((one.due for one in self.taxes), self.nothing)

    @property
    def total(self) -> Decimal:
        """What the customer owes."""
        return self.net + self.tax


def step_of(currency: str) -> Decimal:
    """The smallest step of a currency that can be stored: 0.01 for USD, 1 for JPY."""
    return Decimal(1).scaleb(-min(get_currency_precision(currency), MOST_PLACES))


def rounded(value: Decimal, currency: str = "USD") -> Decimal:
    """A sum of money rounded half up to the currency's step."""
    return value.quantize(step_of(currency), rounding=ROUND_HALF_UP)


def reckon(
    items: Iterable[Item],
    *,
    taxes: Sequence[Tax] = (),
    exempt: frozenset[str] = frozenset(),
    currency: str = "USD",
    discount: Discount | None = None,
) -> Reckoning:
    """Add everything up. ``exempt`` holds the keys of the taxes that the customer does not owe.

    Splitting an item into items of the same kind changes no sum, as long as their amounts and discounts add up to its
    own and no tax has a cap for each line; nor does the order.

    Raises:
        DiscountTooLarge: a discount is more than what it is taken from.
        ValueError: taxes are due on each other in a circle.
    """
    priced = [_priced(item, currency) for item in items]
    nothing = rounded(Decimal(0), currency)
    discountable = sum((one.price for one in priced if not one.item.is_core), nothing)
    whole = discount.of(discountable, currency) if discount is not None else nothing
    reckoned = _with_shares(priced, whole, step_of(currency))
    by_kind = dict.fromkeys(ChargeKind, nothing)
    for one in reckoned:
        by_kind[one.item.kind] += one.price
    due = taxes_due(
        taxes,
        [(one.net, {tax.key for tax in taxes if one.item.taxable and one.item.kind in tax.kinds}) for one in reckoned],
        exempt=exempt,
        currency=currency,
    )
    return Reckoning(tuple(reckoned), by_kind, whole, due, nothing)


def percent_fee(
    items: Iterable[Item],
    *,
    percent: Decimal,
    kinds: frozenset[ChargeKind],
    currency: str,
    cap: Decimal | None = None,
) -> Decimal:
    """A fee that is a percentage of what some kinds of charges come to, and never more than ``cap``: shop supplies.

    It is worked out once, on prices less the items' own discounts, and is never negative.

    Raises:
        ValueError: the percentage is not from 0 to 100, or the cap is below zero.
    """
    _check_percent(percent)
    if cap is not None and cap < 0:
        raise ValueError(f"a cap of {cap} is below zero")
    base = sum((_priced(one, currency).price for one in items if one.kind in kinds and not one.is_core), Decimal(0))
    fee = rounded(max(base, Decimal(0)) * percent / HUNDRED, currency)
    return fee if cap is None else min(fee, rounded(cap, currency))


def shared(total: Decimal, weights: Sequence[Decimal], step: Decimal) -> list[Decimal]:
    """Share a sum out by weights, in whole steps, so that the shares add up to it: by largest remainder.

    Of equal remainders the first comes first. No share is more than its weight where the weights are whole steps and
    come to the total or more.

    Raises:
        ValueError: the total is below zero or no whole number of steps, a weight is below zero, or nothing has a
            weight.
    """
    steps = Fraction(total) / Fraction(step)
    if steps < 0 or steps.denominator != 1 or any(weight < 0 for weight in weights):
        raise ValueError(f"{total} cannot be shared out in steps of {step}")
    whole = sum((Fraction(weight) for weight in weights), Fraction(0))
    if not whole:
        if steps:
            raise ValueError(f"there is nothing to share {total} out to")
        return [step * 0 for _ in weights]
    exact = [steps * Fraction(weight) / whole for weight in weights]
    counts = [int(one) for one in exact]
    by_remainder = sorted(range(len(exact)), key=lambda place: (counts[place] - exact[place], place))
    for place in by_remainder[: int(steps) - sum(counts)]:
        counts[place] += 1
    return [step * count for count in counts]


def _check_percent(percent: Decimal) -> None:
    if not 0 <= percent <= HUNDRED:
        raise ValueError(f"{percent} is no percentage from 0 to 100")


def _priced(item: Item, currency: str) -> ReckonedItem:
    amount = rounded(item.quantity * item.unit_price, currency)
    nothing = rounded(Decimal(0), currency)
    own = item.discount.of(amount, currency) if item.discount is not None else nothing
    return ReckonedItem(item, amount, own, nothing)


def _with_shares(priced: Sequence[ReckonedItem], whole: Decimal, step: Decimal) -> list[ReckonedItem]:
    """Give each item its share: first by kind and by whether it is taxed, then within, so that no split moves a cent.

    What is credited, an item below zero, takes no share; nor does a core charge.
    """
    if not whole:
        return list(priced)
    groups: dict[tuple[str, bool], list[int]] = {}
    for place, one in enumerate(priced):
        groups.setdefault((one.item.kind.value, one.item.taxable), []).append(place)
    keys = sorted(groups)
    weights = [Decimal(0) if one.item.is_core else max(one.price, Decimal(0)) for one in priced]
    of_groups = shared(whole, [sum((weights[place] for place in groups[key]), Decimal(0)) for key in keys], step)
    shares = [step * 0] * len(priced)
    for key, of_group in zip(keys, of_groups, strict=True):
        places = groups[key]
        for place, share in zip(places, shared(of_group, [weights[one] for one in places], step), strict=True):
            shares[place] = share
    return [ReckonedItem(one.item, one.amount, one.discount, share) for one, share in zip(priced, shares, strict=True)]


Taxed = Sequence[tuple[Decimal, Collection[str]]]
"""Lines: what each comes to less all discounts, and the keys of the taxes that are due on it."""


def taxes_due(
    taxes: Sequence[Tax], lines: Taxed, *, exempt: Collection[str] = (), currency: str = "USD"
) -> tuple[TaxDue, ...]:
    """What each tax comes to on some lines, in the order given.

    A line below zero is capped as one above it, so that a credit undoes its charge.

    Raises:
        ValueError: taxes are due on each other in a circle.
    """
    by_key = {tax.key: tax for tax in taxes}
    _refuse_circle(by_key)
    return tuple(_due(tax, by_key, lines, exempt, currency) for tax in taxes)


def _refuse_circle(by_key: Mapping[str, Tax]) -> None:
    for tax in by_key.values():
        seen, on = {tax.key}, tax.on
        while on in by_key:
            if on in seen:
                raise ValueError(f"{tax.name} is due on itself")
            seen.add(on)
            on = by_key[on].on


def _due(tax: Tax, by_key: Mapping[str, Tax], lines: Taxed, exempt: Collection[str], currency: str) -> TaxDue:
    nothing = rounded(Decimal(0), currency)
    its = [(net, keys) for net, keys in lines if tax.key in keys]
    nets = [net for net, _ in its]
    whole = base = sum(nets, nothing)
    if tax.cap is not None:
        by_line = tax.cap_per is CapPer.LINE
        base = sum((_capped(net, tax.cap) for net in nets), nothing) if by_line else _capped(whole, tax.cap)
        base = rounded(base, currency)
    on = by_key.get(tax.on)
    under = _due(on, by_key, its, exempt, currency).due if on is not None else nothing
    base += under
    due = nothing if tax.key in exempt else rounded(base * tax.percent / HUNDRED, currency)
    uncapped = whole if tax.cap is not None and base != whole else None
    return TaxDue(
        tax, base, due, tax.key in exempt, currency=currency, on=on.name if on is not None and under else "",
        uncapped=uncapped,
    )  # fmt: skip


def _capped(sum_: Decimal, cap: Decimal) -> Decimal:
    return min(sum_, cap) if sum_ >= 0 else max(sum_, -cap)
