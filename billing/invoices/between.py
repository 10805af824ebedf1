"""What is between the shop and a customer, in words that say who owes whom: pure."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from workorders.money import money_words

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Between:
    """Four sums that stand apart: two that the customer owes, two that the shop has of the customer's.

    ``invoices`` is open on invoices; ``back`` was paid out to the customer by a payment back whose source did not come
    in; ``deposits`` are for jobs that go on; ``credit`` pays no invoice and is owed to the customer.
    """

    name: str
    currency: str
    invoices: Decimal = NOTHING
    back: Decimal = NOTHING
    deposits: Decimal = NOTHING
    credit: Decimal = NOTHING
    others: tuple[str, ...] = ()
    """Currencies of before in which something is open or held as well."""

    @property
    def owes(self) -> Decimal:
        """All that the customer owes the shop."""
        return self.invoices + self.back

    @property
    def held(self) -> Decimal:
        """All that the shop has of the customer's."""
        return self.deposits + self.credit

    @property
    def balance(self) -> Decimal:
        """What the customer owes, less what the shop has of theirs."""
        return self.owes - self.held

    @property
    def told(self) -> str:
        """Who owes whom."""
        return " ".join(said for said in (self._theirs, self._ours, others_words(self.others)) if said)

    @property
    def _theirs(self) -> str:
        why = "for money that was paid out to them"
        back = f"{self._words(self.back)} {why}"
        if self.invoices and self.back:
            invoices = f"{self._words(self.invoices)} on invoices"
            return f"The shop is owed {self._words(self.owes)} by {self.name}: {invoices} and {back}."
        if self.invoices:
            return f"The shop is owed {self._words(self.invoices)} by {self.name} on invoices."
        nothing = f"nothing in {self.currency}" if self.others else "nothing"
        if self.back:
            return f"The shop is owed {self._words(self.back)} by {self.name} {why}."
        return f"The shop is owed {nothing} by {self.name}."

    @property
    def _ours(self) -> str:
        deposits = f"{self._words(self.deposits)} as a deposit for work that is not over"
        if self.credit and self.deposits:
            return f"The shop owes {self.name} {self._words(self.credit)}, and holds {deposits}."
        if self.credit:
            return f"The shop owes {self.name} {self._words(self.credit)}."
        return f"The shop holds {deposits}." if self.deposits else ""

    def _words(self, sum_: Decimal) -> str:
        return money_words(sum_, self.currency)


def others_words(others: tuple[str, ...]) -> str:
    """That sums in other currencies stand beside those that are told; empty where none do."""
    if not others:
        return ""
    return f"There is money in {' and '.join(others)} as well, of before the shop’s currency was changed."
