"""The kinds of work that are known, which each app registers in ``AppConfig.ready``, and one try at one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta

from django.db import models, transaction
from django.db.models.functions import Now

from commands.models import BackgroundTask, BackgroundTaskState

NEXT_TRY_AFTER = timedelta(seconds=5)  # after the first one that went wrong, and longer after each


class TakenOverError(Exception):
    """The task was taken for dead and is somebody else's now, or was ended: this worker goes without a word."""


def _nothing_more(subject: str, sentence: str) -> None:
    """Nobody keeps the failure anywhere else."""


@dataclass(frozen=True)
class Kind:
    """One kind of work.

    ``work`` may run again after it was killed, so it writes its result inside ``Run.finishing`` or bears repetition.
    It raises ``Refused`` where trying again cannot help; whatever else it raises is tried again, ``tries`` times in
    all, and said with ``went_wrong``. ``broke_off`` is said where no try came to an end. ``fail`` writes the sentence
    where people look for it, in the transaction that ends the task. ``longest`` is how many seconds one try may take.
    """

    name: str
    work: Callable[[Run], None]
    went_wrong: Callable[[Exception], str]
    broke_off: str
    fail: Callable[[str, str], None] = _nothing_more
    tries: int = 3
    longest: int = 900


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Make a kind of work known.

    Raises:
        ValueError: another one has this name.
    """
    if KINDS.get(kind.name, kind) != kind:
        raise ValueError(f"two kinds of background work are called {kind.name}")
    KINDS[kind.name] = kind


class Run:
    """One try at a task, by one worker."""

    def __init__(self, task: BackgroundTask, kind: Kind) -> None:
        self.task = task
        self.kind = kind
        self.is_ended = False

    @property
    def subject(self) -> str:
        """What the work is about: a key, as whoever asked gave it."""
        return self.task.subject

    def beat(self) -> None:
        """Give a sign of life.

        Raises:
            TakenOverError: the task is somebody else's now.
        """
        if not self._mine().update(heard_at=Now()):
            raise TakenOverError

    @contextmanager
    def finishing(self) -> Iterator[None]:
        """The transaction that stores the result and ends the task: both, or neither, and by one worker only.

        Raises:
            TakenOverError: the task is somebody else's now, and nothing was stored.
        """
        with transaction.atomic():
            yield
            self._end(BackgroundTaskState.DONE)

    def fail(self, sentence: str) -> None:
        """Give it up, with a sentence for whoever waits."""
        with transaction.atomic():
            if not self._mine().filter(asked_again=True).exists():
                self.kind.fail(self.subject, sentence)
            self._end(BackgroundTaskState.FAILED, sentence)

    def fail_or_try_again(self, problem: Exception) -> None:
        """After something went wrong: another try later, or the end where there were enough."""
        if self.task.tries >= self.kind.tries:
            self.fail(self.kind.went_wrong(problem))
            return
        wait = NEXT_TRY_AFTER * self.task.tries
        self._mine().update(state=BackgroundTaskState.ASKED, taker=None, sent_at=None, not_before=Now() + wait)

    def _mine(self) -> models.QuerySet[BackgroundTask]:
        return BackgroundTask.objects.filter(pk=self.task.pk, taker=self.task.taker, state=BackgroundTaskState.TAKEN)

    def _end(self, state: BackgroundTaskState, problem: str = "") -> None:
        """The row is locked last, after whatever the result needed, as those do who ask."""
        again = self._mine().filter(asked_again=True)
        if again.update(
            state=BackgroundTaskState.ASKED, asked_again=False, taker=None, tries=0, sent_at=None, asked_at=Now()
        ) or self._mine().update(state=state, problem=problem, taker=None, ended_at=Now()):
            self.is_ended = True
        else:
            raise TakenOverError
