"""In which account received money stands, from step to step: pure, over rows that were read before.

Money that was received for a job is a deposit while the job goes on, and credit of the customer once it is over; all
other money is credit from the beginning. Where more went out of a payment than came in, the customer owes the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from billing.invoices.journal import CREDIT, DEPOSITS, NOTHING, OWED_BACK, Posting, merged, postings


@dataclass(frozen=True)
class Came:
    """A payment that came in: when it was noted, and whether it is for a job."""

    at: datetime
    amount: Decimal
    is_for_job: bool


@dataclass(frozen=True)
class Used:
    """What became of some of it; below zero where it has no use again. ``payment`` is the key of its source."""

    key: int
    payment: int
    at: datetime
    amount: Decimal


@dataclass(frozen=True)
class Turn:
    """The job it is for was over from then on, or went on again. ``key`` is the move's."""

    key: str
    at: datetime
    goes_on: bool


Step = Came | Used | Turn


def stands(rest: Decimal, *, is_deposit: bool) -> tuple[Posting, ...]:
    """What is left of a payment, as the accounts have it: what the shop owes is a credit, what it is owed a debit."""
    if rest < 0:
        return postings((OWED_BACK, -rest))
    return postings((DEPOSITS if is_deposit else CREDIT, -rest))


def steps_of(came: Came, used: Iterable[Used], turns: Iterable[Turn]) -> list[tuple[Step, tuple[Posting, ...]]]:
    """What each step did to the accounts of held money, in order of noting; without steps that did nothing."""
    rest, goes_on, now = NOTHING, True, tuple[Posting, ...]()
    done: list[tuple[Step, tuple[Posting, ...]]] = []
    steps: list[Step] = [came, *used, *turns]
    for step in sorted(steps, key=_order):
        if isinstance(step, Turn):
            goes_on = step.goes_on
        else:
            rest += step.amount if isinstance(step, Came) else -step.amount
        before, now = now, stands(rest, is_deposit=came.is_for_job and goes_on)
        if change := _change(before, now):
            done.append((step, change))
    return done


def _order(step: Step) -> tuple[datetime, int, int]:
    """At one moment a payment comes in before it is used, and is used before its job ends: that is how acts write."""
    rank = {Came: 0, Used: 1, Turn: 2}[type(step)]
    return step.at, rank, step.key if isinstance(step, Used) else 0


def _change(before: Sequence[Posting], now: Sequence[Posting]) -> tuple[Posting, ...]:
    return merged((*now, *(Posting(one.role, -one.amount) for one in before)))


def groups_of(out: Decimal, used: Iterable[Used]) -> list[list[Used]]:
    """The uses for one payment that went out, as acts wrote them: first those that are it, then those that cover it.

    ``out`` is below zero where money went out. The first group comes to it, every other one to nothing.
    """
    groups: list[list[Used]] = []
    group: list[Used] = []
    left = -out
    for one in used:
        group.append(one)
        left -= one.amount
        if not left:
            groups.append(group)
            group = []
    return [*groups, group] if group else groups
