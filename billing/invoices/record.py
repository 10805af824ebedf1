"""What stands on an invoice or a credit note, as it was made: the paper is drawn from this alone."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

FORMAT = "garboard-invoice-1"
INVOICE, CREDIT = "invoice", "credit note"
LABOR, PART, SUBLET, FEE = "labor", "part", "sublet", "fee"
TABLES = (("Work", (LABOR, SUBLET)), ("Parts", (PART,)), ("Fees", (FEE,)))
"""The tables of a paper, each with the kinds that stand in it: a fee stands where its sum is told."""


@dataclass(frozen=True, kw_only=True)
class Party:
    """The shop or its customer. ``country`` is a code of ISO 3166-1; what nobody said is empty."""

    name: str
    contact: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""
    country: str = ""
    registration: str = ""
    vat_id: str = ""


@dataclass(frozen=True, kw_only=True)
class JobPart:
    """The job that it is for."""

    number: int
    vessel: str
    hin: str = ""


@dataclass(frozen=True, kw_only=True)
class Concern:
    """A line of the job, with what was done; the charges of it name its position."""

    position: int
    concern: str
    engine: str = ""
    correction: str = ""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One charge. ``net`` is the amount less its own discount and its share of the job's; ``taxes`` are keys."""

    charge: int
    concern: int
    kind: str
    description: str
    quantity: Decimal
    unit_price: Decimal
    amount: Decimal
    discount: Decimal
    share: Decimal
    net: Decimal
    taxes: tuple[str, ...] = ()

    @property
    def price(self) -> Decimal:
        """The amount less its own discount: what stands at the end of its line, as on an estimate (EN 16931 BT-131)."""
        return self.amount - self.discount


@dataclass(frozen=True, kw_only=True)
class TaxPart:
    """A tax: ``base`` is what it is due on. Of an exempt customer ``due`` is nothing, and the certificate is named."""

    key: str
    name: str
    percent: Decimal
    base: Decimal
    due: Decimal
    certificate: str = ""
    about: str = ""
    """Where it stopped, or which other tax is in its base, in words."""
    cap: Decimal | None = None
    cap_per: str = ""
    on: str = ""
    """The key of the other tax that is in its base."""


@dataclass(frozen=True, kw_only=True)
class KindPart:
    """What one kind of charges comes to, less all discounts."""

    kind: str
    net: Decimal


@dataclass(frozen=True, kw_only=True)
class DepositPart:
    """Money that was received before, taken into the invoice."""

    day: date
    means: str
    reference: str
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Notice:
    """A notice of the shop's place, as its owner wrote it down, with where it is from."""

    title: str
    text: str
    citation: str = ""


@dataclass(frozen=True, kw_only=True)
class Document:
    """The whole of it. All sums are in ``currency``; those of a credit note are what is credited, above zero."""

    format: str = FORMAT
    kind: str = INVOICE
    number: str
    issued_on: date
    due_on: date | None = None
    currency: str
    shop: Party
    customer: Party
    job: JobPart
    concerns: tuple[Concern, ...] = ()
    lines: tuple[Line, ...] = ()
    kinds: tuple[KindPart, ...] = ()
    subtotal: Decimal
    discount: Decimal
    net: Decimal
    taxes: tuple[TaxPart, ...] = ()
    tax: Decimal
    total: Decimal
    deposits: tuple[DepositPart, ...] = ()
    due: Decimal
    credits: str = ""
    credits_of: date | None = None
    reason: str = ""
    how_to_pay: str = ""
    notices: tuple[Notice, ...] = ()
    time_zone: str = "UTC"

    def lines_of(self, concern: int, kinds: Iterable[str]) -> list[Line]:
        """The charges of a concern that are of one of these kinds."""
        wanted = set(kinds)
        return [line for line in self.lines if line.concern == concern and line.kind in wanted]


Parts = dict[str, Decimal]
"""What a document comes to in parts that add up to its total: by kind, and by “tax:” and the key of a tax."""


def parts_of(document: Document) -> Parts:
    """The parts of a document."""
    return {one.kind: one.net for one in document.kinds} | {f"tax:{one.key}": one.due for one in document.taxes}


def parts_written(record: str) -> Parts:
    """The same of a document as it was frozen: nothing else of it is read, as a journal goes through thousands."""
    read = json.loads(record)
    kinds = {one["kind"]: Decimal(one["net"]) for one in read.get("kinds", ())}
    return kinds | {f"tax:{one['key']}": Decimal(one["due"]) for one in read.get("taxes", ())}


def less(parts: Parts, others: Iterable[Parts]) -> Parts:
    """What is left of parts when others are taken from them."""
    left = dict(parts)
    for other in others:
        for name, sum_ in other.items():
            left[name] = left.get(name, Decimal(0)) - sum_
    return left
