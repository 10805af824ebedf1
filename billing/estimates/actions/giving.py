"""An estimate is given to the customer: frozen with every figure and word, and with what it changes."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.utils import timezone

from billing.documents import frozen
from billing.documents.checking import refuse_beyond_any
from billing.estimates.actions.checking import draft_to_write
from billing.estimates.actions.drafting import refuse_odd_day
from billing.estimates.changes import changes_between
from billing.estimates.models import Estimate
from billing.estimates.notices import notices_now
from billing.estimates.queries import Draft, deposit_above_all, worked_out
from billing.estimates.record import record_of, thawed
from billing.estimates.tasks import DRAW_ESTIMATE
from commands.background import ask
from commands.envelope import command, tell
from commands.refusals import Refused
from files.paper.letters import unprintable
from staff.models import Person
from staff.policy import Permission
from staff.queries import local_day, shop_profile
from workorders.money import money_words


@command("give_estimate", needs=Permission.SET_PRICES, writes_to="estimate.job.vessel")
def give_estimate(
    *, by: Person, estimate: Estimate, how: str, seen_total: Decimal, entry_id: uuid.UUID | None = None
) -> Estimate:
    """Freeze an estimate as it is given. ``how`` is one of ``Estimate.HOW``, ``seen_total`` what its page came to.

    It is no agreement: the customer has authorized nothing yet.

    Raises:
        Refused: it is empty, a price is missing, a discount or the deposit is too large, its last day has passed, or it
            is no longer what the page showed.
    """
    stored = draft_to_write(estimate)
    if how not in dict(Estimate.HOW):
        sentence = "Say how it is given."
        raise Refused(sentence, fields={"how": sentence})
    shop = shop_profile()
    draft = worked_out(stored, currency=shop.currency)
    _refuse_unready(draft)
    if told := deposit_above_all(draft, shop.currency):
        raise Refused(told)
    total = draft.figures.base.total
    refuse_beyond_any(max([total, *(one.total for one in draft.figures.options.values())]), shop.currency, "estimate")
    if total != seen_total:
        raise Refused(
            f"The estimate changed since this page was opened: {money_words(seen_total, shop.currency)} then, "
            f"{money_words(total, shop.currency)} now. Look at it, and give it again."
        )
    now = timezone.now()
    record = record_of(
        stored,
        lines=draft.lines,
        options=draft.options,
        concerns=draft.concerns,
        figures=draft.figures,
        rules=draft.rules,
        shop=shop,
        by=by,
        given_at=now,
        given_on=local_day(now),
        notices=notices_now(),
    )
    before = stored.replaces
    if before is not None:
        record["changes"] = changes_between(thawed(before), frozen.thawed(dict, frozen.freeze(record).text))
    kept = frozen.freeze(record)
    if told := unprintable(frozen.thawed(dict, kept.text), "estimate"):
        raise Refused(told.replace("then sign", "then give it"))
    stored.snapshot, stored.sha256 = kept.text, kept.sha256
    stored.given_at, stored.given_by, stored.given_how = now, by, how
    stored.total, stored.version, stored.changed_by = total, stored.version + 1, by
    stored.save()
    ask(DRAW_ESTIMATE.name, str(stored.pk))
    tell(estimate_total=[str(before.total) if before is not None else None, str(total)])
    estimate.refresh_from_db()
    return estimate


def _refuse_unready(draft: Draft) -> None:
    if not draft.lines:
        raise Refused("Nothing is on this estimate yet.")
    if draft.figures.unpriced:
        named = "”, “".join(draft.figures.unpriced[:5])
        raise Refused(f"A price is missing: “{named}”. Enter hours or a price, or remove the line.")
    if draft.figures.problem:
        raise Refused(draft.figures.problem)
    empty = [option.name for option in draft.options if not any(one.option_id == option.pk for one in draft.lines)]
    if empty:
        raise Refused(f"Nothing is on the option “{empty[0]}”. Put a line on it, or remove it.")
    refuse_odd_day(draft.estimate.valid_until)
