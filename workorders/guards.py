"""What floors above have to say to what is done with a job, inside the act that does it.

Whoever keeps something that rests on charges or on a job's state registers a guard in its app's ``ready``. A guard is
called with the boat's turn held and before anything is written. It raises ``Refused``, or asks once
(``commands.questions.ask_once``); otherwise it has nothing against it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

from staff.models import Person
from web.registry import Providers
from workorders.models import Charge, Job
from workorders.states import JobState

OfCharge = Callable[[Person, Charge], None]
OfPrice = Callable[[Job], bool]
OfMove = Callable[[Person, Job, JobState], None]
OfAgain = Callable[[Charge, Charge], None]
OfChanged = Callable[[Person, Job], None]
OfTouch = Callable[[Person, Job], Callable[[Sequence[Charge]], None]]
"""Called before anything is written; what it answers is called at the end, with the charges that were added."""

_adding: Providers[OfCharge] = Providers()
_striking: Providers[OfCharge] = Providers()
_moving: Providers[OfMove] = Providers()
_prices: Providers[OfPrice] = Providers()
_again: Providers[OfAgain] = Providers()
_touches: Providers[OfTouch] = Providers()
_followers: Providers[OfChanged] = Providers()
_touch: ContextVar[list[Charge] | None] = ContextVar("touch", default=None)
_comes_back: ContextVar[bool] = ContextVar("comes_back", default=False)


@contextmanager
def comes_back_at_once() -> Iterator[None]:
    """A core charge is added whose return follows in the same act: both come to nothing, and no guard looks at one."""
    token = _comes_back.set(True)
    try:
        yield
    finally:
        _comes_back.reset(token)


@contextmanager
def one_touch(by: Person, job: Job) -> Iterator[bool]:
    """Charges of a job are added and voided in one act: what the job comes to is looked at once, when all is written.

    Within another one it is part of that, and what is answered is False.
    """
    if _touch.get() is not None:
        yield False
        return
    ends = [guard(by, job) for guard in _touches]
    token = _touch.set([])
    try:
        yield True
        added = _touch.get() or []
    finally:
        _touch.reset(token)
    for end in ends:
        end(added)


def waits_for_the_end(charge: Charge) -> bool:
    """Whether a charge is one of an act that is looked at as a whole, at its end."""
    added = _touch.get()
    if added is None:
        return False
    added.append(charge)
    return True


def around_a_touch(guard: OfTouch) -> None:
    """Have a guard look at an act of several charges as a whole."""
    _touches.register(guard)


def when_charges_change(followed: OfChanged) -> None:
    """Have other charges follow when one of a job is voided, or charged again."""
    _followers.register(followed)


def let_follow(by: Person, job: Job) -> None:
    """Let the charges follow that rest on others of a job, in the act that voids one or charges it again."""
    for followed in _followers:
        followed(by, job)


def before_adding(guard: OfCharge) -> None:
    """Have a guard look at every charge before it is put on a job; it is not saved yet."""
    _adding.register(guard)


def before_striking(guard: OfCharge) -> None:
    """Have a guard look at every charge before it is voided."""
    _striking.register(guard)


def before_moving(guard: OfMove) -> None:
    """Have a guard look at every move of a job that its own rules allow."""
    _moving.register(guard)


def ask_before_adding(by: Person, charge: Charge) -> None:
    """Let every guard look at a charge that is about to be added."""
    if _comes_back.get():
        return
    for guard in _adding:
        guard(by, charge)


def ask_before_striking(by: Person, charge: Charge) -> None:
    """Let every guard look at a charge that is about to be voided."""
    for guard in _striking:
        guard(by, charge)


def ask_before_moving(by: Person, job: Job, end: JobState) -> None:
    """Let every guard look at a move that is about to be made."""
    for guard in _moving:
        guard(by, job, end)


def counts_as_a_price(told: OfPrice) -> None:
    """Have something else than charges count as a price of a job: an estimate that was given."""
    _prices.register(told)


def is_priced_elsewhere(job: Job) -> bool:
    """Whether something else than charges says what the job will cost."""
    return any(told(job) for told in _prices)


def when_charged_again(moved: OfAgain) -> None:
    """Have what belonged to a voided charge follow to the one that takes its place; it may refuse."""
    _again.register(moved)


def move_to_replacement(old: Charge, new: Charge) -> None:
    """Let what belonged to a voided charge follow to the one that takes its place."""
    for moved in _again:
        moved(old, new)
