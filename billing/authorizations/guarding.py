"""A charge that would pass what was authorized is stopped, with a sentence that says whom to ask."""

from __future__ import annotations

from billing.authorizations.models import Authorization
from billing.authorizations.queries import Standing, standing_of
from commands.refusals import Refused
from staff.models import Person
from staff.queries import local_day, shop_profile
from vessels.wording import date_words
from workorders.models import Charge
from workorders.money import money_words
from workorders.queries.sums import counted_charges
from workorders.taxes.queries import taxes_of


def stop_past_the_sum(by: Person, charge: Charge) -> None:
    """Stop a charge that brings the job past what the customer authorized and the shop allows on top.

    Raises:
        Refused: it does.
    """
    job = charge.job
    if not Authorization.objects.filter(job=job, withdrawn_at=None).exists():
        return
    standing = standing_of(job)
    limit = standing.limit.sum
    if limit is None:
        return
    after = taxes_of(job).reckon([*counted_charges(job), charge], currency=shop_profile().currency).total
    if after > limit and after > standing.total:
        currency = standing.currency
        raise Refused(
            f"This brings the job to {money_words(after, currency)} with tax. {limit_words(standing)} Ask the customer "
            "again and note the answer under “Authorization” on the Lines tab, or have a manager go on with a reason."
        )


def limit_words(standing: Standing) -> str:
    """What was authorized, by whom and when, what the shop allows on top, and how far a manager went."""
    last, limit, currency = standing.last, standing.limit, standing.currency
    if last is None or limit.authorized is None:
        return "Nothing is authorized yet."
    kind = "not to exceed" if last.is_ceiling else "authorized"
    said = (
        f"{last.who} agreed to {money_words(limit.authorized, currency)} ({kind}) "
        f"{last.get_how_display()} on {date_words(local_day(last.said_at))}."
    )
    if limit.allowed:
        said += f" The shop allows {money_words(limit.allowed, currency)} on top."
    if standing.going_on is not None:
        said += f" {standing.going_on.noted_by} went on up to {money_words(standing.going_on.up_to, currency)}."
    return said
