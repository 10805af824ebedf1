"""What a credit comes to, in parts that take away to the cent what was invoiced: pure arithmetic."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from decimal import Decimal

from billing.invoices.record import Document, Parts, less, parts_of
from workorders.reckoning import CapPer, Tax, TaxDue, shared, step_of, taxes_due

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
    with_them, without = _taxes_without(invoice, before), _taxes_without(invoice, {*before, *chosen})
    for tax in invoice.taxes:
        parts[f"tax:{tax.key}"] = with_them[tax.key].due - without[tax.key].due
    return parts


def is_left_of(invoice: Document, left: Parts, before: Collection[int], chosen: Collection[int]) -> bool:
    """Whether what some charges come to is left: not where part of them was credited as a sum."""
    return all(sum_ <= left.get(name, NOTHING) for name, sum_ in of_lines(invoice, chosen, before).items())


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


def _taxes_without(invoice: Document, gone: Collection[int]) -> dict[str, TaxDue]:
    """What each tax comes to on the charges that are not gone, by its key."""
    taxes = [
        Tax(one.key, one.name, one.percent, cap=one.cap, cap_per=CapPer(one.cap_per or CapPer.DOCUMENT), on=one.on)
        for one in invoice.taxes
    ]
    lines = [(line.net, line.taxes) for line in invoice.lines if line.charge not in gone]
    exempt = {one.key for one in invoice.taxes if one.certificate or one.due == 0}
    return {one.tax.key: one for one in taxes_due(taxes, lines, exempt=exempt, currency=invoice.currency)}


def bases_of(invoice: Document, charges: Collection[int], before: Collection[int] = ()) -> dict[str, Decimal]:
    """What each tax was due on of some charges of an invoice, when those of ``before`` were credited already.

    Where another tax is in the base, and is due on nothing else of these charges, it is there at what of it is credited
    with them: so that what stands on a credit note adds up.
    """
    with_them, without = _taxes_without(invoice, before), _taxes_without(invoice, {*before, *charges})
    bases = {key: one.base - without[key].base for key, one in with_them.items()}
    lines = [line for line in invoice.lines if line.charge in charges and line.charge not in before]
    for key, one in with_them.items():
        on = one.tax.on
        if on in with_them and all(key in line.taxes for line in lines if on in line.taxes):
            nets = sum((line.net for line in lines if key in line.taxes), NOTHING)
            bases[key] = nets + with_them[on].due - without[on].due
    return bases
