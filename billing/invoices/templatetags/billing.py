"""What the pages of invoices say in a word."""

from __future__ import annotations

from django import template

from billing.invoices.models import Invoice
from billing.invoices.pricing import Priced
from billing.invoices.queries.balances import balance_of
from workorders.taxes.queries import tax_words

register = template.Library()
register.filter("tax_words", tax_words)


@register.filter
def settled(invoice: Invoice) -> str:
    """How an invoice came to have nothing open: paid, credited, written off, or settled by several of them."""
    return balance_of(invoice).settled


@register.filter
def certificate(worth: Priced, key: str) -> str:
    """The certificate that exempts from a tax, by the tax's key."""
    return worth.certificates.get(key, "")
