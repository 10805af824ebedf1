"""What the pages of customers and jobs show of taxes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from engineering.canonical import plain_decimal
from staff.queries import local_day
from vessels.models import Customer
from workorders.reckoning import TaxDue
from workorders.taxes.models import SalesTax, TaxExemption
from workorders.taxes.queries import TaxRules


@dataclass(frozen=True)
class OnCustomer:
    """A customer's certificates: those that count, and those that have run out."""

    counting: Sequence[TaxExemption]
    run_out: Sequence[TaxExemption]


def on_customer(customer: Customer) -> OnCustomer | None:
    """The certificates of a customer; nothing in a shop without taxes."""
    if not SalesTax.objects.exists():
        return None
    today = local_day(timezone.now())
    rows = list(customer.tax_exemptions.filter(ended_at=None).select_related("tax"))
    return OnCustomer([one for one in rows if one.holds_on(today)], [one for one in rows if one.has_run_out_by(today)])


@dataclass(frozen=True)
class TaxRow:
    """A tax under charges: its words, what it is due on, what it comes to, and who is exempt by which certificate."""

    words: str
    base: Decimal
    due: Decimal
    certificate: str = ""
    plain: str = ""
    """Its name and percentage alone: what stays the same where it stops at a sum, and where it does not."""


def tax_rows(rules: TaxRules, taxes: Sequence[TaxDue]) -> list[TaxRow]:
    """A row for each tax, whether it is owed or not."""
    return [
        TaxRow(
            rules.words(one),
            one.base,
            one.due,
            rules.certificates[one.tax.key] if one.is_exempt else "",
            f"{one.tax.name}, {plain_decimal(one.tax.percent)} %",
        )
        for one in taxes
    ]
