"""What an estimate comes to: the work, each option on top of it, and what is asked beforehand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import combinations, islice
from uuid import UUID, uuid5

from billing.estimates.models import PERCENT_KINDS, Estimate, EstimateLine, EstimateOption
from workorders.money import money_words
from workorders.reckoning import (
    HUNDRED,
    ChargeKind,
    Discount,
    DiscountTooLarge,
    Item,
    ReckonedItem,
    Reckoning,
    discount_of,
    percent_fee,
    reckon,
    rounded,
)
from workorders.taxes.queries import TaxRules

ONE = Decimal(1)


@dataclass(frozen=True)
class OptionFigures:
    """What an option adds to the work, and what both come to, tax included."""

    adds: Decimal
    total: Decimal


@dataclass(frozen=True)
class Figures:
    """All figures of an estimate. ``lines`` are by key; a line without a price has none and counts as nothing."""

    base: Reckoning
    lines: Mapping[UUID, ReckonedItem]
    options: Mapping[UUID, OptionFigures]
    contingency: Decimal | None
    problem: str = ""
    unpriced: tuple[str, ...] = field(default=())


def figures(
    estimate: Estimate,
    lines: Sequence[EstimateLine],
    options: Sequence[EstimateOption],
    *,
    rules: TaxRules,
    currency: str,
) -> Figures:
    """Work an estimate out. A discount larger than what it is taken from is told as a ``problem``, and left out."""
    own = [line for line in lines if line.option_id is None]
    whole = discount_of(estimate.discount_percent, estimate.discount_amount)
    problem = ""
    try:
        base, by_key = _reckoned(own, [], whole, rules, currency)
    except DiscountTooLarge as error:
        problem = (
            f"A discount of {money_words(error.discount, currency)} is more than the "
            f"{money_words(error.of, currency)} that it is taken from."
        )
        whole, own = None, [_without_discount(line) for line in own]
        base, by_key = _reckoned(own, [], whole, rules, currency)
    found: dict[UUID, OptionFigures] = {}
    for option in options:
        of_option = [line for line in lines if line.option_id == option.pk]
        try:
            total, with_option = _reckoned(own, of_option, whole, rules, currency)
        except DiscountTooLarge as error:
            problem = (
                f"“{option}”: a discount of {money_words(error.discount, currency)} is more than the "
                f"{money_words(error.of, currency)} that it is taken from."
            )
            of_option = [_without_discount(line) for line in of_option]
            total, with_option = _reckoned(own, of_option, None, rules, currency)
        keys = {line.key for line in of_option} | {return_key(line.key) for line in of_option}
        by_key |= {key: one for key, one in with_option.items() if key in keys}
        found[option.key] = OptionFigures(total.total - base.total, total.total)
    percent = estimate.contingency_percent
    return Figures(
        base=base,
        lines=by_key,
        options=found,
        contingency=rounded(base.total * percent / 100, currency) if percent else None,
        problem=problem,
        unpriced=tuple(line.description for line in lines if not line.is_priced),
    )


@dataclass(frozen=True)
class ChoiceSum:
    """What a choice of lines comes to, and each of its lines by key.

    Their prices less ``whole.discount`` plus ``whole.tax`` are ``whole.total``. A core charge that is given back has a
    line of its own (``return_key``).
    """

    whole: Reckoning
    lines: Mapping[UUID, ReckonedItem]


def choice_of(estimate: Estimate, lines: Iterable[EstimateLine], *, rules: TaxRules, currency: str) -> ChoiceSum:
    """Some of an estimate's lines worked out together: those of the work and of options that were chosen.

    Raises:
        DiscountTooLarge: a discount is more than what is left to take it from.
    """
    whole = discount_of(estimate.discount_percent, estimate.discount_amount)
    return ChoiceSum(*_reckoned(lines, [], whole, rules, currency))


def sum_of_choice(estimate: Estimate, lines: Iterable[EstimateLine], *, rules: TaxRules, currency: str) -> Decimal:
    """What some of an estimate's lines come to together with tax.

    Raises:
        DiscountTooLarge: a discount is more than what is left to take it from.
    """
    return choice_of(estimate, lines, rules=rules, currency=currency).whole.total


def dearest_choice(
    estimate: Estimate,
    lines: Sequence[EstimateLine],
    options: Sequence[EstimateOption],
    *,
    rules: TaxRules,
    currency: str,
) -> Decimal:
    """What the work comes to with the dearest choice of options, tax included: of alternatives one is taken at most.

    An option is taken where it makes the choice dearer, and of alternatives the one that makes it dearest, each beside
    all others that are taken.

    Raises:
        DiscountTooLarge: a discount is more than what is left to take it from.
    """
    groups: dict[object, list[int | None]] = {}
    for option in options:
        groups.setdefault(option.alternatives or option.pk, [None]).append(option.pk)
    taken: dict[object, int | None] = dict.fromkeys(groups)

    def sum_with(choice: Mapping[object, int | None]) -> Decimal:
        chosen = {None, *choice.values()}
        return sum_of_choice(
            estimate, [one for one in lines if one.option_id in chosen], rules=rules, currency=currency
        )

    for _ in range(2):  # what an option adds may depend on the others: a fee that reaches its cap
        for group, ways in groups.items():
            taken[group] = max(ways, key=lambda one, group=group: sum_with(taken | {group: one}))  # type: ignore[misc]
    return sum_with(taken)


MOST_PAIRS = 12
"""So many choices of two options are worked out."""


def pairs_of(options: Sequence[EstimateOption]) -> list[tuple[EstimateOption, EstimateOption]]:
    """Every two options that can be taken together, ``MOST_PAIRS`` of them at most."""
    found = (
        (one, other)
        for one, other in combinations(options, 2)
        if not one.alternatives or one.alternatives != other.alternatives
    )
    return list(islice(found, MOST_PAIRS))


def with_pair(lines: Sequence[EstimateLine], pair: tuple[EstimateOption, EstimateOption]) -> list[EstimateLine]:
    """The lines of the work and of two options."""
    taken = {None, pair[0].pk, pair[1].pk}
    return [one for one in lines if one.option_id in taken]


def _without_discount(line: EstimateLine) -> EstimateLine:
    bare = copy(line)
    bare.discount_percent = bare.discount_amount = None
    return bare


def _reckoned(
    own: Iterable[EstimateLine],
    more: Iterable[EstimateLine],
    whole: Discount | None,
    rules: TaxRules,
    currency: str,
) -> tuple[Reckoning, dict[UUID, ReckonedItem]]:
    """The sums of lines together with those of an option, and what each line comes to."""
    taken = [line for line in (*own, *more) if line.is_priced]
    counted = {line.key: _item(line) for line in taken if line.percent is None}
    returns = {return_key(line.key): _return(line) for line in taken if line.core_back}
    items: dict[UUID, Item] = {}
    for line in taken:
        if line.percent is None:
            items[line.key] = counted[line.key]
            continue
        fee = _share(line, taken, counted, currency)
        items[line.key] = Item(ChargeKind.FEE, ONE, fee, line.taxable, _own_discount(line))
    items |= returns
    found = reckon(items.values(), taxes=rules.taxes, exempt=rules.exempt, currency=currency, discount=whole)
    return found, dict(zip(items, found.items, strict=True))


def _share(line: EstimateLine, taken: Iterable[EstimateLine], counted: Mapping[UUID, Item], currency: str) -> Decimal:
    """What a percentage comes to: a fee of the work is on all that is done; one of an option is on that option."""
    of = [counted[one.key] for one in taken if one.key in counted and line.option_id in {None, one.option_id}]
    kinds = PERCENT_KINDS[line.percent_of or "both"]
    return percent_fee(of, percent=line.percent or Decimal(0), kinds=kinds, currency=currency, cap=line.cap)


@dataclass(frozen=True)
class Share:
    """A fee that is a percentage, before its discount, and the sum that it is a percentage ``of``."""

    amount: Decimal
    of: Decimal


def shares_of_choice(lines: Iterable[EstimateLine], *, currency: str) -> dict[UUID, Share]:
    """What the fees that are a percentage come to among some of an estimate's lines, by key."""
    taken = [line for line in lines if line.is_priced]
    counted = {line.key: _item(line) for line in taken if line.percent is None}
    found = {}
    for line in taken:
        if line.percent is not None:
            whole = copy(line)
            whole.percent, whole.cap = HUNDRED, None
            of = _share(whole, taken, counted, currency)
            found[line.key] = Share(_share(line, taken, counted, currency), of)
    return found


def return_key(key: UUID) -> UUID:
    """The key of the line that gives a core charge back, by that of the charge."""
    return uuid5(key, "core returned")


def _return(line: EstimateLine) -> Item:
    core = _item(line)
    return replace(core, quantity=-core.quantity)


def _item(line: EstimateLine) -> Item:
    return Item(
        ChargeKind(line.kind), line.quantity or ONE, line.unit_price or Decimal(0), line.taxable, _own_discount(line),
        line.is_core,
    )  # fmt: skip


def _own_discount(line: EstimateLine) -> Discount | None:
    return discount_of(line.discount_percent, line.discount_amount)
