"""What an answer to an estimate is made of: rows of sums that add up to what the customer agrees to."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from uuid import UUID

from billing.estimates.lines import how_words, paper_order
from billing.estimates.models import Estimate, EstimateLine, EstimateOption
from billing.estimates.pricing import choice_of, return_key
from billing.estimates.record import thawed
from engineering.canonical import plain_decimal
from workorders.actions.charges import return_words
from workorders.reckoning import DiscountTooLarge, ReckonedItem
from workorders.taxes.queries import TaxRules, rules_named
from workorders.taxes.shown import tax_rows

NOTHING = Decimal(0)


@dataclass(frozen=True)
class SumRow:
    """A sum with its words. Lines, options and fees are before tax and the discount of the whole, which are rows, too.

    ``key`` is that of the line or option; None where nobody chooses it: fees by percentage, discount and taxes.
    """

    words: str
    amount: Decimal
    key: UUID | None = None
    is_option: bool = False
    is_tax: bool = False


def made_of(
    estimate: Estimate, wanted: Sequence[EstimateLine], options: Iterable[EstimateOption], *,
    rules: TaxRules, currency: str,
) -> tuple[SumRow, ...]:  # fmt: skip
    """The rows of a choice, which add up to what it comes to with tax.

    Raises:
        DiscountTooLarge: a discount is more than what is left to take it from.
    """
    found = choice_of(estimate, wanted, rules=rules, currency=currency)
    rows = _before_discount(wanted, options, found.lines, currency)
    if found.whole.discount:
        rows.append(SumRow(_discount_words(estimate), -found.whole.discount))
    rows += [SumRow(one.words, one.due, is_tax=True) for one in tax_rows(rules, found.whole.taxes) if one.due]
    return tuple(rows)


def kept_taxes(rows: Iterable[SumRow]) -> list[list[str]]:
    """The taxes among the rows of an answer as they are kept with it: words and sum, as texts."""
    return [[one.words, str(one.amount)] for one in rows if one.is_tax]


def made_of_then(
    estimate: Estimate,
    taken: Collection[UUID],
    total: Decimal,
    *,
    currency: str,
    taxes: Sequence[Sequence[str]] | None = None,
) -> tuple[SumRow, ...]:
    """The rows of an answer that was noted, by the keys of what was taken: what is above its net sum was tax.

    A version that was given does not change, so that its prices are those of then. ``taxes`` are as they were kept with
    the answer (``kept_taxes``); an older answer has none, and the taxes may be others by now. Nothing where the rows
    cannot come to the sum.
    """
    options = [one for one in estimate.options.order_by("position", "pk") if one.key in taken]
    by_pk = {one.pk for one in options}
    every = estimate.lines.select_related("option", "job_line").order_by("position", "pk")
    wanted = [
        one
        for one in every
        if (one.option_id in by_pk if one.option_id is not None else one.percent is not None or one.key in taken)
    ]
    if not any(one.percent is None for one in wanted):
        wanted = []
    try:
        rows = made_of(estimate, wanted, options, rules=TaxRules(), currency=currency)
    except DiscountTooLarge:
        return ()
    tax = total - sum((one.amount for one in rows), NOTHING)
    if tax < 0:
        return ()
    kept = [SumRow(words, Decimal(due), is_tax=True) for words, due in taxes or ()]
    if taxes is not None and sum((one.amount for one in kept), NOTHING) == tax:
        return (*rows, *kept)
    return (*rows, *_taxes_then(estimate, wanted, total, tax, currency=currency)) if tax else rows


def _taxes_then(
    estimate: Estimate, wanted: Sequence[EstimateLine], total: Decimal, tax: Decimal, *, currency: str
) -> list[SumRow]:
    """The taxes of an answer that keeps none: as the estimate says them, where they come to the sum at its rates.

    Where they do not, nobody knows which they were, and one row says that it was tax.
    """
    record = thawed(estimate)
    said = [(one.get("plain") or one["words"], one["certificate"]) for one in record["taxes"]]
    rules = rules_named(said, date.fromisoformat(record["given_on"]))
    if rules is not None:
        found = choice_of(estimate, wanted, rules=rules, currency=currency).whole
        if found.total == total:
            return [SumRow(one.words, one.due, is_tax=True) for one in tax_rows(rules, found.taxes) if one.due]
    return [SumRow("Tax", tax, is_tax=True)]


def _before_discount(
    wanted: Sequence[EstimateLine], options: Iterable[EstimateOption], figures: Mapping[UUID, ReckonedItem],
    currency: str,
) -> list[SumRow]:  # fmt: skip
    """Lines and options in the order in which the estimate has them."""
    rows = []
    for line in sorted((one for one in wanted if one.option_id is None), key=paper_order):
        if line.percent is not None:
            rows.append(SumRow(f"{line.description} ({how_words(line, currency)})", _price(line.key, figures)))
        else:
            rows.append(SumRow(line.description, _price(line.key, figures), line.key))
            if line.core_back:
                rows.append(SumRow(return_words(line.description), _price(return_key(line.key), figures)))
    for option in options:
        keys = [key for one in wanted if one.option_id == option.pk for key in (one.key, return_key(one.key))]
        if keys:
            amount = sum((_price(key, figures) for key in keys), NOTHING)
            rows.append(SumRow(option.name, amount, option.key, is_option=True))
    return rows


def _price(key: UUID, figures: Mapping[UUID, ReckonedItem]) -> Decimal:
    return figures[key].price if key in figures else NOTHING


def _discount_words(estimate: Estimate) -> str:
    if estimate.discount_percent:
        return f"Discount of {plain_decimal(estimate.discount_percent)} %"
    return "Discount"
