"""Journal lines for any bookkeeping: what each document and each sum of money does to the shop's accounts.

Each entry balances by itself: what is debited is what is credited. The accounts are kinds of sums here; which account
of the shop's books each is kept under, the shop says.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from billing.invoices.record import FEE, LABOR, PART, SUBLET, Parts

NOTHING = Decimal(0)
TAX = "tax:"
RECEIVABLE, OWED_BACK, WRITTEN_OFF = "receivable", "owed-back", "written-off"
DEPOSITS, CREDIT, KEPT = "deposits", "held", "credit-written-off"
MEANS = "means:"
SALES = "sales:"

ROLES: dict[str, str] = {
    RECEIVABLE: "Owed by customers",
    OWED_BACK: "Owed by customers on no invoice: money paid out to them",
    DEPOSITS: "Deposits of customers for jobs that go on",
    CREDIT: "Credit of customers: owed to them",
    f"{MEANS}cash": "Cash",
    f"{MEANS}card": "Card payments",
    f"{MEANS}transfer": "Bank transfers",
    f"{MEANS}check": "Checks",
    f"{MEANS}other": "Other payments",
    f"{SALES}{LABOR}": "Sales of labor",
    f"{SALES}{PART}": "Sales of parts",
    f"{SALES}{SUBLET}": "Sales of sublet work",
    f"{SALES}{FEE}": "Fees",
    WRITTEN_OFF: "Written off",
    KEPT: "Credit of customers that was written off",
}
"""The kinds of sums, with what each is called where the shop has no name for it; taxes besides, each by its key.

The slug of what customers have as credit is from when it was one account with their deposits (0106).
"""


@dataclass(frozen=True)
class Posting:
    """One line: ``amount`` is debited where it is above zero, credited where it is below."""

    role: str
    amount: Decimal

    @property
    def debit(self) -> Decimal:
        """What is debited."""
        return max(self.amount, NOTHING)

    @property
    def credit(self) -> Decimal:
        """What is credited."""
        return max(-self.amount, NOTHING)


@dataclass(frozen=True)
class Entry:
    """What one act did, in lines that balance. ``key`` is the same in every export: the sort of row and its number."""

    key: str
    day: date
    document: str
    customer: str
    text: str
    postings: tuple[Posting, ...]

    def __post_init__(self) -> None:
        """Refuse what does not balance: it is a mistake of the program, and nothing may be handed out with it."""
        left = sum((one.amount for one in self.postings), NOTHING)
        if left:
            raise ValueError(f"{self.text} of {self.document} is out of balance by {left}")


def postings(*pairs: tuple[str, Decimal]) -> tuple[Posting, ...]:
    """Lines without those over nothing."""
    return tuple(Posting(role, amount) for role, amount in pairs if amount)


def merged(lines: Iterable[Posting]) -> tuple[Posting, ...]:
    """One line for each kind of sum, in the order in which they come first; none over nothing."""
    sums: dict[str, Decimal] = {}
    for one in lines:
        sums[one.role] = sums.get(one.role, NOTHING) + one.amount
    return postings(*sums.items())


def of_invoice(parts: Parts, total: Decimal) -> tuple[Posting, ...]:
    """An invoice: the customer owes it; sales and taxes have it."""
    return postings((RECEIVABLE, total), *((_role(name), -sum_) for name, sum_ in parts.items()))


def of_credit(parts: Parts, total: Decimal) -> tuple[Posting, ...]:
    """A credit note: the other way around."""
    return postings((RECEIVABLE, -total), *((_role(name), sum_) for name, sum_ in parts.items()))


def of_money(means: str, amount: Decimal, stands: Iterable[Posting]) -> tuple[Posting, ...]:
    """Money that came in, or went out where the amount is below zero; ``stands`` are the accounts it moved between."""
    return merged((Posting(f"{MEANS}{means}", amount), *stands))


def of_use(amount: Decimal, stands: Iterable[Posting]) -> tuple[Posting, ...]:
    """Money pays an invoice, or no longer does where the amount is below zero."""
    return merged((*stands, Posting(RECEIVABLE, -amount)))


def of_write_off(amount: Decimal) -> tuple[Posting, ...]:
    """What is no longer expected."""
    return postings((WRITTEN_OFF, amount), (RECEIVABLE, -amount))


def of_loose_write_off(role: str, stands: Iterable[Posting]) -> tuple[Posting, ...]:
    """What is no longer expected on no invoice: it leaves the account where it stood for the one of ``role``."""
    lines = merged(stands)
    return merged((*lines, Posting(role, -sum((one.amount for one in lines), NOTHING))))


def balance_of(entries: Iterable[Entry]) -> dict[str, Decimal]:
    """What entries come to by kind of sum, debits above zero."""
    sums: dict[str, Decimal] = {}
    for entry in entries:
        for one in entry.postings:
            sums[one.role] = sums.get(one.role, NOTHING) + one.amount
    return sums


def _role(part: str) -> str:
    return part if part.startswith(TAX) else f"{SALES}{part}"
