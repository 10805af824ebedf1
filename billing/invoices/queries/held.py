"""Money that was received, as the journal tells it: in which account it stood when, from the rows."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from billing.invoices.holding import Came, Turn, Used, groups_of, steps_of
from billing.invoices.journal import (
    KEPT,
    WRITTEN_OFF,
    Entry,
    Posting,
    merged,
    of_loose_write_off,
    of_money,
    of_use,
)
from billing.invoices.models import LooseWriteOff, Payment, Use
from staff.queries import local_day, shop_profile
from workorders.models import JobMove
from workorders.states import OPEN, JobState

ENDED_STATES = [state.value for state in JobState if state not in OPEN]
TEXTS = {"received": "Payment received", "refunded": "Paid back", "reversed": "Payment reversed"}


def entries_of_money(first: date, last: date) -> Iterator[Entry]:
    """What came in, went out and was used on some days, and deposits whose job ended or went on again on them."""
    within: dict[str, Any] = {"day__gte": first, "day__lte": last}
    money = list(Payment.objects.filter(**within).select_related("customer", "reverses").order_by("pk"))
    used = list(
        Use.objects.filter(**within).select_related("payment__job", "payment__customer", "invoice", "credit", "out")
        .order_by("pk")
    )  # fmt: skip
    turned = _jobs_turned(first, last)
    outs = {one.pk: one for one in money if one.kind != "received"} | {one.out.pk: one.out for one in used if one.out}
    groups = _groups(outs)
    touched = {one.pk for one in money if one.kind == "received"} | {one.payment_id for one in used}
    touched |= {row.payment for found in groups.values() for group in found for row in group}
    received = Payment.objects.filter(Q(pk__in=touched) | Q(kind="received", job__in=turned))
    steps = _Steps(received.select_related("job", "customer"))
    yield from _came_and_went(money, groups, steps)
    yield from _uses(used, groups, steps)
    yield from _written_off(first, last, used, steps)
    yield from _deposits_turned(first, last, steps)


def _came_and_went(money: list[Payment], groups: dict[int, list[list[Used]]], steps: _Steps) -> Iterator[Entry]:
    for row in money:
        if row.kind == "received":
            stood = steps.came(row.pk)
        else:
            found = groups.get(row.pk) or [[]]
            stood = merged(line for use in found[0] for line in steps.used(use.key))
        lines = of_money(row.means, row.amount, stood)
        text = TEXTS[row.kind]
        if row.reverses is not None and row.reverses.kind == "refunded":
            text = "Money that was paid back: reversed"
        yield Entry(f"P{row.pk}", row.day, row.reference, str(row.customer), text, lines)


def _uses(used: list[Use], groups: dict[int, list[list[Used]]], steps: _Steps) -> Iterator[Entry]:
    covering = {group[0].key: group for found in groups.values() for group in found[1:]}
    for use in used:
        customer = str(use.payment.customer)
        if use.invoice is not None:
            lines = of_use(use.amount, steps.used(use.pk))
            yield Entry(f"U{use.pk}", use.day, use.invoice.number, customer, _use_words(use), lines)
        elif use.pk in covering:
            lines = merged(line for one in covering[use.pk] for line in steps.used(one.key))
            text = "Money of the customer covers what was paid out to them"
            yield Entry(f"U{use.pk}", use.day, use.payment.reference, customer, text, lines)


def _written_off(first: date, last: date, used: list[Use], steps: _Steps) -> Iterator[Entry]:
    moved: dict[int, list[Posting]] = defaultdict(list)
    for use in used:
        if use.off_id is not None:
            moved[use.off_id] += steps.used(use.pk)
    for row in LooseWriteOff.objects.filter(day__gte=first, day__lte=last).select_related("customer").order_by("pk"):
        is_theirs = row.side == LooseWriteOff.THEIRS
        what = "Owed on no invoice, written off" if is_theirs else "Credit of the customer, written off"
        text = what if row.amount > 0 else f"{what}: reversed"
        lines = of_loose_write_off(WRITTEN_OFF if is_theirs else KEPT, moved[row.pk])
        yield Entry(f"L{row.pk}", row.day, "", str(row.customer), text, lines)


def _use_words(use: Use) -> str:
    if use.amount < 0:
        return "Payment of an invoice set free by a credit note" if use.credit_id else "Payment of an invoice reversed"
    if use.payment.invoice_id == use.invoice_id:
        return "Payment used for its invoice"
    return "Deposit used for an invoice" if use.payment.job_id else "Credit used for an invoice"


def _deposits_turned(first: date, last: date, steps: _Steps) -> Iterator[Entry]:
    for payment, turn, lines in steps.turned():
        day = local_day(turn.at)
        if first <= day <= last and payment.job is not None:
            job = f"job {payment.job.number}"
            text = f"Deposit for {job}, which goes on again" if turn.goes_on else f"Credit left of {job}, which ended"
            yield Entry(f"D{payment.pk}.{turn.key}", day, payment.reference, str(payment.customer), text, lines)


def _groups(outs: dict[int, Payment]) -> dict[int, list[list[Used]]]:
    """The uses for each payment that went out, or for a reversal, as acts wrote them."""
    rows: dict[int, list[Used]] = defaultdict(list)
    found = Use.objects.filter(out__in=outs).order_by("pk")
    for key, payment, at, amount, out in found.values_list("pk", "payment", "at", "amount", "out"):
        rows[out].append(Used(key, payment, at, amount))
    return {key: groups_of(outs[key].amount, used) for key, used in rows.items()}


def _jobs_turned(first: date, last: date) -> set[int]:
    """Jobs that ended or went on again on some days."""
    zone = ZoneInfo(shop_profile().time_zone)
    begins = datetime.combine(first, time.min, zone)
    ends = datetime.combine(last + timedelta(days=1), time.min, zone)
    moves = JobMove.objects.filter(entry__recorded_at__gte=begins, entry__recorded_at__lt=ends)
    ended = Q(to_state__in=ENDED_STATES) | Q(from_state__in=ENDED_STATES)
    return set(moves.filter(ended, entry__kind="job-moved").values_list("entry__job", flat=True))


class _Steps:
    """What each step of some payments did to the accounts."""

    def __init__(self, received: Iterable[Payment]) -> None:
        payments = {one.pk: one for one in received}
        used: dict[int, list[Used]] = defaultdict(list)
        rows = Use.objects.filter(payment__in=payments).order_by("pk")
        for key, source, at, amount in rows.values_list("pk", "payment", "at", "amount"):
            used[source].append(Used(key, source, at, amount))
        turns = _turns({one.job_id for one in payments.values() if one.job_id})
        self._of_use: dict[int, tuple[Posting, ...]] = {}
        self._came: dict[int, tuple[Posting, ...]] = {}
        self._turned: list[tuple[Payment, Turn, tuple[Posting, ...]]] = []
        for payment in payments.values():
            came = Came(payment.at, payment.amount, is_for_job=payment.job_id is not None)
            for step, lines in steps_of(came, used[payment.pk], turns[payment.job_id] if payment.job_id else ()):
                if isinstance(step, Turn):
                    self._turned.append((payment, step, lines))
                elif isinstance(step, Used):
                    self._of_use[step.key] = lines
                else:
                    self._came[payment.pk] = lines

    def came(self, payment: int) -> tuple[Posting, ...]:
        """What a payment that came in did."""
        return self._came[payment]

    def used(self, use: int) -> tuple[Posting, ...]:
        """What a use did."""
        return self._of_use[use]

    def turned(self) -> list[tuple[Payment, Turn, tuple[Posting, ...]]]:
        """What it did that a job ended, or went on again, while something was left of its deposit."""
        return self._turned


def _turns(jobs: Collection[int]) -> dict[int, list[Turn]]:
    turns: dict[int, list[Turn]] = defaultdict(list)
    moves = JobMove.objects.filter(entry__job__in=jobs, entry__kind="job-moved").order_by("entry__position")
    for job, position, at, end in moves.values_list("entry__job", "entry__position", "entry__recorded_at", "to_state"):
        goes_on = end not in ENDED_STATES
        if goes_on is not (turns[job][-1].goes_on if turns[job] else True):
            turns[job].append(Turn(str(position), at, goes_on))
    return turns
