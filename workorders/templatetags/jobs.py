"""What the pages of jobs say about states and money."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from django import template

from workorders import money
from workorders.states import LABELS, JobState

register = template.Library()

# Told apart by the box as well as by the word: solid for work under way, dashed where the shop waits or has ended.
_DRESS: dict[JobState, str] = {
    JobState.IN_WORK: "tag-strong",
    JobState.SEA_TRIAL: "tag-strong",
    JobState.READY: "tag-kept",
    JobState.WAITING_PARTS: "tag-signal",
    JobState.WAITING_CUSTOMER: "tag-signal",
    JobState.WAITING_WEATHER: "tag-signal",
    JobState.CLOSED: "tag-soft",
    JobState.CANCELED: "tag-soft",
}


@register.filter
def state_words(state: str) -> str:
    """A state as people say it; one that is no longer known shows as it was written."""
    try:
        return LABELS[JobState(state)]
    except ValueError:
        return state


@register.filter
def state_css_class(state: str) -> str:
    """The class of a state's tag."""
    try:
        return _DRESS.get(JobState(state), "")
    except ValueError:
        return ""


@register.filter
def as_money(value: Decimal | None, currency: str) -> str:
    """A sum in the shop's currency."""
    return "" if value is None else money.money_words(value, currency)


@register.filter
def size_of_money(value: Decimal, currency: str) -> str:
    """A sum without its sign, where the words beside it say which way it went: “Paid back: $18.00”."""
    return money.money_words(abs(value), currency)


@register.filter
def sum_of(sums: Mapping[int, Decimal], job: int) -> Decimal | None:
    """What a job comes to, out of the sums of several; nothing where it is not among them."""
    return sums.get(job)


@register.filter
def amount_in(charge: money.Priced, currency: str) -> str:
    """Quantity times price of a charge, before its own discount, in the shop's currency."""
    return money.money_words(money.amount(charge, currency), currency)


@register.filter
def price_in(charge: money.Priced, currency: str) -> str:
    """What a charge comes to, less its own discount: what stands at the end of its line."""
    return money.money_words(money.amount(charge, currency) - _own_discount(charge, currency), currency)


@register.filter
def discount_in(charge: money.Priced, currency: str) -> str:
    """What its own discount takes off a charge, in the shop's currency."""
    return money.money_words(_own_discount(charge, currency), currency)


def _own_discount(charge: money.Priced, currency: str) -> Decimal:
    return charge.discount.of(money.amount(charge, currency), currency) if charge.discount else Decimal(0)


@register.filter
def plain_number(value: Decimal) -> str:
    """A quantity without trailing zeros: 2, 1.5, and −1 of what is given back."""
    return f"{value.normalize():f}".replace("-", "−")
