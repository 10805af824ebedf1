"""What a credit comes to, in parts that take away to the cent what was invoiced: pure arithmetic."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal

from billing.invoices.record import Document, Parts, TaxPart, less, parts_of
from workorders.reckoning import HUNDRED, rounded, shared, step_of

NOTHING = Decimal(0)


def what_is_left(invoice: Document, credits_: Iterable[Document]) -> Parts:
    """What of an invoice was not credited yet, by its parts."""
    return less(parts_of(invoice), [parts_of(one) for one in credits_])


def of_lines(invoice: Document, chosen: Collection[int], before: Collection[int]) -> Parts:
    """What some charges of an invoice come to, by their keys, when those of ``before`` were credited already.

    A tax is what it would be less: so that crediting line by line ends at the tax that was invoiced, to the cent.
    """
    parts: Parts = {}
    for line in invoice.lines:
        if line.charge in chosen:
            parts[line.kind] = parts.get(line.kind, NOTHING) + line.net
    for tax in invoice.taxes:
        with_them = _tax_without(invoice, tax, before)
        parts[f"tax:{tax.key}"] = with_them - _tax_without(invoice, tax, {*before, *chosen})
    return parts


def of_sum(left: Parts, amount: Decimal, currency: str) -> Parts:
    """A sum, shared out over what is left in proportion, taxes among it: by largest remainder.

    Raises:
        ValueError: it is more than is left.
    """
    names = [name for name, sum_ in left.items() if sum_ > 0]
    weights = [left[name] for name in names]
    if amount > sum(weights, NOTHING):
        raise ValueError(f"{amount} is more than is left")
    return dict(zip(names, shared(amount, weights, step_of(currency)), strict=True))


def _tax_without(invoice: Document, tax: TaxPart, gone: Collection[int]) -> Decimal:
    """What a tax comes to on the charges that are not gone."""
    if tax.due == 0:
        return NOTHING
    base = base_of(invoice, tax, [line.charge for line in invoice.lines if line.charge not in gone])
    return rounded(base * tax.percent / HUNDRED, invoice.currency)


def base_of(invoice: Document, tax: TaxPart, charges: Collection[int]) -> Decimal:
    """What a tax is due on, of some charges of an invoice."""
    taxed = (line.net for line in invoice.lines if line.charge in charges and tax.key in line.taxes)
    return sum(taxed, NOTHING)
