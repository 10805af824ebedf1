"""The replay of one fault: its evidence in order of happening, and the state table applied to it."""

from __future__ import annotations

from collections.abc import Iterable

from engineering.codes.code import CodeStatus
from engineering.faults.evidence import (
    Absent,
    Cleared,
    Episode,
    Evidence,
    FaultHistory,
    FaultState,
    Hold,
    Length,
    Seen,
    Worked,
    length_between,
)
from engineering.faults.growing import Gap, GrowingEpisode, Rest, gap_between
from engineering.faults.ordering import Sighting, in_order


def replay(evidence: Iterable[Evidence], *, hold: Hold | None = None) -> FaultHistory:
    """The history of one fault. The order in which the evidence is given does not matter.

    Order of happening is ``at``. Evidence of one kind under one key counts once; a scan that lists the code under
    several statuses (stored and permanent, say) is one sighting with the strongest of them: active, pending, stored,
    permanent. At one instant a sighting comes before work, work before a clear and a clear before an absence, as a
    clear follows the scan that gave reason for it and is followed by the scan that proves it. An absence at the very
    instant of a sighting, with no clear between them, is contradicted and not used.

    Beyond the state table, these cases are decided here:

    * Absent or cleared before the code was ever seen: nothing; the evidence is unused.
    * Returned, seen again: returned, with the new status; the same episode. Not fixed yet the same, also on a later
      visit: nothing has shown that it was ever away since, so that there is nothing to return from.
    * Open, seen permanent only: the episode goes on and the permanent copy is flagged, but the
      status and when it was last seen stay, since a permanent copy says nothing about now. Where nothing but the copy
      was ever listed, that is what is seen again: listed after a clear it was not ended by that, and listed after a
      complete scan without it, it has returned.
    * Cleared, cleared again: cleared. The hold counts from the clear that ended the episode; a later one restarts
      nothing. Where no complete scan right before it shows the code away, what had come back by then was cleared with
      it and does not show: the episode keeps that clear, and up to where it is shown away without a break.
    * Work: no state changes. An open fault that is then found gone without a clear, and was not seen in between, is
      away since the last such work, and held once that is the shop's hold ago.
    * Seen on the visit on which the episode before ended: not fixed yet, a new episode, no return.
    * Historic, cleared: historic, and the clear is unused: there was nothing to clear.
    * Historic, absent: historic, proven further.
    * Historic, seen permanent only: historic, flagged; no new episode, for the same reason as when cleared.
    * Absent in a complete scan: the unit keeps no permanent copy either, so the flag goes.
    * The hold counts in hours where both hours are known and do not run backward, else in days of the calendar. Days
      are not enough where the engine is known to have run for less than the hold since the fault was last seen.

    Raises ValueError for a time without a zone, since such times cannot be put in order.
    """
    return settle(evidence, hold=hold)[0]


def settle(evidence: Iterable[Evidence], *, hold: Hold | None = None) -> tuple[FaultHistory, Rest]:
    """The history of one fault as ``replay`` gives it, and what is needed to go on from it."""
    machine = _Replay(hold or Hold())
    for item in in_order(evidence, machine.zone):
        machine.take(item)
    return machine.history(), machine.rest()


def go_on(
    history: FaultHistory, rest: Rest, evidence: Iterable[Evidence], *, hold: Hold | None = None
) -> tuple[FaultHistory, Rest]:
    """The history with evidence that happened strictly later than all that it rests on: the same as a whole replay.

    What happened earlier, or at the very same time, needs the whole: it may stand between what is there.
    """
    hold = hold or Hold()
    machine = _Replay.from_history(hold, history if hold.zone is None else history.in_zone(hold.zone), rest)
    for item in in_order(evidence, machine.zone):
        machine.take(item)
    return machine.history(), machine.rest()


class _Replay:
    """The state table, one piece of evidence at a time."""

    def __init__(self, hold: Hold) -> None:
        self._hold = hold
        self.zone = hold.zone
        self._state = FaultState.NONE
        self._earlier: tuple[Episode, ...] = ()
        self._episodes: list[GrowingEpisode] = []
        self._clear: Cleared | None = None
        self._proof: Absent | None = None
        self._held = False
        self._permanent = False
        self._unused: list[str] = []

    @classmethod
    def from_history(cls, hold: Hold, history: FaultHistory, rest: Rest) -> _Replay:
        """The state after a history, of which only the last episode can still change."""
        machine = cls(hold)
        machine._state = history.state
        machine._earlier = history.episodes[:-1]
        machine._episodes = [GrowingEpisode.from_episode(one, rest) for one in history.episodes[-1:]]
        if history.cleared_at is not None:
            machine._clear = Cleared("", history.cleared_at, history.cleared_hours)
        if history.proven_to_at is not None:
            machine._proof = Absent("", history.proven_to_at, history.proven_to_hours)
        machine._held, machine._permanent = history.held, history.permanent_copy
        machine._unused = list(history.unused_keys)
        return machine

    def rest(self) -> Rest:
        """What its history does not say."""
        last = self._episodes[-1] if self._episodes else None
        if last is None:
            return Rest()
        if last.closing is not None:
            return Rest(visit=last.closing.visit)
        return Rest(worked=(last.worked.at, last.worked.hours) if last.worked else None)

    def take(self, item: Sighting | Absent | Cleared | Worked) -> None:
        if isinstance(item, Sighting):
            self._take_sighting(item.seen, permanent=item.permanent)
        elif isinstance(item, Cleared):
            self._take_clear(item)
        elif isinstance(item, Worked):
            self._take_work(item)
        else:
            self._take_absence(item)

    def history(self) -> FaultHistory:
        last = self._episodes[-1] if self._episodes else None
        return FaultHistory(
            state=self._state,
            status_now=last.status if last and self._state.is_open else None,
            episodes=(
                *self._earlier,
                *(one.episode(number) for number, one in enumerate(self._episodes, len(self._earlier) + 1)),
            ),
            last_seen_at=last.last.at if last else None,
            last_seen_hours=last.last.hours if last else None,
            cleared_at=self._clear.at if self._clear else None,
            cleared_hours=self._clear.hours if self._clear else None,
            proven_to_at=self._proof.at if self._proof else None,
            proven_to_hours=self._proof.hours if self._proof else None,
            held=self._held,
            permanent_copy=self._permanent,
            unused_keys=tuple(self._unused),
        )

    def _take_sighting(self, seen: Seen, *, permanent: bool) -> None:
        self._permanent = self._permanent or permanent
        if self._state is FaultState.NONE:
            self._open(seen, Gap())
            is_now = seen.status in (CodeStatus.ACTIVE, CodeStatus.PENDING)
            self._state = FaultState.ACTIVE if is_now else FaultState.STORED
        elif self._state in (FaultState.CLEARED, FaultState.HISTORIC):
            self._take_sighting_when_closed(seen)
        else:
            self._go_on(seen)

    def _take_sighting_when_closed(self, seen: Seen) -> None:
        last = self._episodes[-1]
        if seen.status is CodeStatus.PERMANENT and last.status is not CodeStatus.PERMANENT:
            last.keys.append(seen.key)
            return
        if seen.status is CodeStatus.PERMANENT and self._proof is None:
            self._take_back_the_end(seen)
            return
        self._open(seen, gap_between(last, seen, self._proof))
        ended_on = last.closing.visit if last.closing else None
        self._episodes[-1].not_fixed_yet = seen.visit is not None and seen.visit == ended_on
        is_unfixed = self._episodes[-1].not_fixed_yet
        self._state = FaultState.NOT_FIXED_YET if is_unfixed else FaultState.RETURNED
        self._proof = None
        self._held = False

    def _take_back_the_end(self, seen: Seen) -> None:
        """The copy that is all that was ever listed is listed still: the clear before did not end it."""
        last = self._episodes[-1]
        last.closing = last.again = last.shown = self._clear = None
        self._state = FaultState.STORED
        if len(self._earlier) + len(self._episodes) > 1:
            self._state = FaultState.NOT_FIXED_YET if last.not_fixed_yet else FaultState.RETURNED
        self._go_on(seen)

    def _open(self, seen: Seen, gap: Gap) -> None:
        self._episodes.append(GrowingEpisode(first=seen, last=seen, gap=gap, status=seen.status, keys=[seen.key]))

    def _go_on(self, seen: Seen) -> None:
        """An open fault is seen again: the same episode, with the status the unit gives now."""
        episode = self._episodes[-1]
        episode.keys.append(seen.key)
        is_copy_alone = seen.status is CodeStatus.PERMANENT
        if is_copy_alone and episode.status is not CodeStatus.PERMANENT:
            return
        episode.last = seen
        episode.sightings += 1
        if is_copy_alone:
            return
        episode.worked = None
        was_now = episode.status in (CodeStatus.ACTIVE, CodeStatus.PENDING)
        is_now = seen.status in (CodeStatus.ACTIVE, CodeStatus.PENDING)
        episode.changes += was_now != is_now
        episode.status = seen.status
        if self._state in (FaultState.ACTIVE, FaultState.STORED):
            self._state = FaultState.ACTIVE if is_now else FaultState.STORED

    def _take_clear(self, clear: Cleared) -> None:
        if self._state in (FaultState.NONE, FaultState.HISTORIC):
            self._unused.append(clear.key)
            if self._episodes:
                self._episodes[-1].clear_again(clear, self._proof)
            return
        episode = self._episodes[-1]
        episode.keys.append(clear.key)
        if self._state is FaultState.CLEARED:
            episode.clear_again(clear, self._proof)
        else:
            self._clear = episode.closing = clear
            self._state = FaultState.CLEARED

    def _take_work(self, work: Worked) -> None:
        if self._state.is_open:
            self._episodes[-1].worked = work

    def _take_absence(self, absence: Absent) -> None:
        if self._state is FaultState.NONE:
            self._unused.append(absence.key)
            return
        self._permanent = False
        self._proof = absence
        episode = self._episodes[-1]
        episode.keys.append(absence.key)
        if self._state is not FaultState.CLEARED:
            if self._state is not FaultState.HISTORIC:
                episode.closing = absence
                self._held = False
            self._state = FaultState.HISTORIC
        episode.note_gone(absence)
        since = episode.since
        if isinstance(since, Cleared | Worked) and self._hold.is_reached(_away(since, absence, episode)):
            self._state = FaultState.HISTORIC
            self._held = True


def _away(since: Cleared | Worked, absence: Absent, episode: GrowingEpisode) -> Length:
    return length_between(since.at, since.hours, absence.at, absence.hours, earlier_hours=episode.last.hours)
