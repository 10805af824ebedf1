"""Rows of a customer's statement and of their payments, put together in Python: years of them stand on one page."""

from __future__ import annotations

from collections.abc import Iterable

from django import template
from django.utils.safestring import SafeString

from billing.invoices.queries.lists import Statement
from billing.invoices.queries.of_customers import KIND_WORDS, Paid
from vessels.wording import date_words, short_day_words
from web.addresses import address_of
from web.markup import NOTHING, each_filled, filled, joined
from workorders.money import money_words

register = template.Library()
REVERSED = filled('<span class="tag tag-soft">reversed</span>')


@register.simple_tag
def statement_rows(statement: Statement) -> SafeString:
    """A row of the table for each line of a statement."""
    return each_filled(
        '<tr><th scope="row">{}</th><td data-label="What">{}</td><td data-label="Amount" class="money">{}</td>'
        '<td data-label="Balance" class="money">{}</td></tr>',
        [
            (
                date_words(row.day),
                row.what,
                money_words(row.amount, statement.currency),
                money_words(row.after, statement.currency),
            )
            for row in statement.rows
        ],
    )


@register.simple_tag
def payment_rows(payments: Iterable[Paid], may_take: bool) -> SafeString:
    """A row for each sum of money; with a way to reverse it for those who may take money."""
    return joined(
        filled(
            '<li><div class="row"><span class="row-main"><b class="row-title">{}: {}</b>'
            '<small>{}, {}{}, noted by {}{}</small></span><span class="row-end">{}</span></div></li>',
            KIND_WORDS[one.kind],
            money_words(abs(one.amount) if one.kind == "refunded" else one.amount, one.currency),
            date_words(one.day),
            one.how,
            _about(one),
            one.by,
            f": {one.remark}" if one.remark else "",
            _reversing(one, may_take=may_take),
        )
        for one in payments
    )


def _about(one: Paid) -> SafeString:
    if one.invoice_id is not None:
        return filled(', invoice <a href="{}">{}</a>', address_of("invoices:invoice", one.invoice_id), one.invoice)
    if one.job is not None:
        return filled(', job <a href="{}">{}</a>', address_of("invoices:job", one.job), one.job)
    return NOTHING


def _reversing(one: Paid, *, may_take: bool) -> SafeString:
    if one.is_reversed:
        return REVERSED
    if one.kind == "reversed" or not may_take:
        return NOTHING
    return filled(
        '<a class="btn" href="{}" aria-label="Reverse the payment of {}, {}">Reverse</a>',
        address_of("invoices:payment_reverse", one.pk),
        short_day_words(one.day),
        money_words(one.amount, one.currency),
    )
