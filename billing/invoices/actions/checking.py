"""What every act about money checks before it writes."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone

from billing.invoices.models import MEANS
from commands.questions import ask_once
from commands.refusals import Refused
from staff.queries import local_day, shop_profile
from workorders.money import money_words, step_of

MOST = Decimal("9999999.99")
LONG_AGO = timedelta(days=120)
EARLIEST = date(1990, 1, 1)
MOST_REASON = 500


def sum_of_money(amount: Decimal, currency: str, *, field: str = "amount") -> Decimal:
    """A sum above zero, in whole coins.

    Raises:
        Refused: it is no such sum.
    """
    step = step_of(currency)
    if not amount.is_finite() or amount <= 0:
        raise _refused(f"Enter a sum above zero, such as {money_words(step * 100, currency)}.", field)
    if amount > MOST:
        raise _refused(f"More than {money_words(MOST, currency)} cannot be noted. Check the sum.", field)
    if amount % step:
        raise _refused(f"The smallest coin is {money_words(step, currency)}. Enter a sum in whole coins.", field)
    return amount.quantize(Decimal("0.01"))


def day_of_money(day: date | None) -> date:
    """The day on which money moved, today where nobody says; asks once about one long ago.

    Raises:
        Refused: it is in the future, or before any book of this shop.
    """
    today = local_day(timezone.now())
    if day is None:
        return today
    if day > today:
        raise _refused("This day is in the future. Enter the day on which the money moved.", "day")
    if day < EARLIEST:
        raise _refused("This day is too long ago. Check the year.", "day")
    if today - day > LONG_AGO:
        ask_once(f"day {day}", f"That was {(today - day).days} days ago.", field="day", tick=f"It was on {day}")
    return day


def known_means(means: str) -> str:
    """One of the ways to pay.

    Raises:
        Refused: it is none.
    """
    if means not in dict(MEANS):
        raise _refused("Choose how it was paid: cash, card, bank transfer, check or other.", "means")
    return means


def said_why(reason: str, sentence: str) -> str:
    """A reason, which has to be there.

    Raises:
        Refused: it is empty or too long.
    """
    if not reason.strip():
        raise _refused(sentence, "reason")
    if len(reason.strip()) > MOST_REASON:
        raise _refused(f"No more than {MOST_REASON} characters.", "reason")
    return reason.strip()


def short_enough(text: str, field: str, most: int) -> str:
    """A text that its column takes.

    Raises:
        Refused: it is too long.
    """
    if len(text.strip()) > most:
        raise _refused(f"No more than {most} characters.", field)
    return text.strip()


def refuse_other_currency(currency: str) -> None:
    """Money is received in the shop's currency.

    Raises:
        Refused: the invoice is from before the shop changed its currency.
    """
    now = shop_profile().currency
    if currency != now:
        raise Refused(
            f"This invoice is in {currency}, and the shop’s currency is {now} now. Money cannot be noted on it."
        )


def _refused(sentence: str, field: str) -> Refused:
    return Refused(sentence, fields={field: sentence})
