"""What every paper about money checks before it is made."""

from __future__ import annotations

from decimal import Decimal

from commands.refusals import Refused
from workorders.money import money_words

MOST_SUM = Decimal("99999999.99")
"""More on one paper is a slip of the finger."""


def refuse_beyond_any(sum_: Decimal, currency: str, paper: str) -> None:
    """Refuse a sum that no paper of a shop comes to.

    Raises:
        Refused: it is more than that.
    """
    if sum_ > MOST_SUM:
        raise Refused(
            f"This comes to {money_words(sum_, currency)}. No {paper} is made over more than "
            f"{money_words(MOST_SUM, currency)}: check quantities and prices."
        )
