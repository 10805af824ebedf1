"""Decoding batches of frames into tracks, group by group."""

from collections import Counter
from collections.abc import Iterator
from functools import cache

import numpy as np

from engineering.canlog.fast_packets import FastPackets
from engineering.canlog.frames import NO_TIME, Batch, Ints
from engineering.canlog.groups import GROUPS, Group
from engineering.canlog.incomplete import UNKNOWN, Incomplete
from engineering.canlog.summary import IncompleteSpan, ParameterSpan, StatusSpan
from engineering.canlog.times import Timeline
from engineering.canlog.tracks import GroupTrack, Messages, Sender

_MOST_TRACKS = 384
"""Parameters kept apart; each needs up to 256 kB. A boat with two engines has about a hundred."""


class Collector:
    """Everything that the groups of a log say. ``frames`` counts what became of their frames: cause and PGN."""

    def __init__(self) -> None:
        """Nothing collected."""
        self._tracks: dict[tuple[int, int], GroupTrack] = {}
        self._width = 0
        self._fast = {group.pgn: FastPackets() for group in GROUPS.values() if group.fast}
        self._fast_frames: Counter[int] = Counter()
        self._incomplete = Incomplete()
        self._began = NO_TIME
        self.decoded = 0
        self.not_decoded: Counter[tuple[str, int]] = Counter()

    def take(self, batch: Batch, pgns: Ints) -> None:
        """Decode the frames of a batch; those of other PGNs are left alone."""
        if self._began == NO_TIME and len(batch):
            self._began = int(batch.times[0])
            for fast in self._fast.values():
                fast.log_began = self._began
        for pgn, group in GROUPS.items():
            places = np.flatnonzero(pgns == pgn)
            if len(places):
                self._take_group(group, batch.chosen(places))

    def _take_group(self, group: Group, frames: Batch) -> None:
        senders = frames.channels << 8 | frames.can_ids & 0xFF
        if group.fast:
            messages, senders = self._put_together(group.pgn, frames, senders)
            if not len(senders):
                return
        else:
            messages = Messages(frames.data, frames.lengths, frames.times)
        keys = senders << 16
        for bits, shift in ((group.instance, 8), (group.kind, 0)):
            if bits is not None:
                keys |= messages.raw(bits) << shift
        whole = messages.lengths * 8 >= _least_bits(group.pgn)
        if not whole.all():
            self._leave(group, "too-short", int((~whole).sum()))
            messages, keys = messages.chosen(whole), keys[whole]
        self._sort_out(group, messages, keys)

    def _sort_out(self, group: Group, messages: Messages, keys: Ints) -> None:
        for key in np.unique(keys):
            places = np.flatnonzero(keys == key)
            track = self._track(group, int(key))
            if track is None:
                self._leave(group, "too-many", len(places))
                continue
            track.take(messages.chosen(places))
            self.decoded += 0 if group.fast else len(places)

    def _track(self, group: Group, key: int) -> GroupTrack | None:
        track = self._tracks.get((group.pgn, key))
        if track is None and self._width + len(group.fields) <= _MOST_TRACKS:
            self._width += len(group.fields)
            track = self._tracks[group.pgn, key] = GroupTrack(group)
        return track

    def _leave(self, group: Group, cause: str, messages: int) -> None:
        """Messages that are not decoded; of a fast packet all frames have been counted as used."""
        if not group.fast:
            self.not_decoded[cause, group.pgn] += messages

    def _put_together(self, pgn: int, frames: Batch, senders: Ints) -> tuple[Messages, Ints]:
        fast = self._fast[pgn]
        before = self._fast_frames[pgn]
        self._fast_frames[pgn] += len(frames)
        payloads: list[bytes] = []
        places: list[int] = []
        length, raw = frames.lengths.tolist(), frames.data.tobytes()
        times = frames.times.tolist()
        for at, sender in enumerate(senders.tolist()):
            payload = fast.push(sender, times[at], raw[8 * at : 8 * at + length[at]])
            if payload is not None:
                payloads.append(payload)
                places.append(at)
                self._note_whole(sender, GROUPS[pgn], payload, before + at + 1)
        self._note_lost(pgn)
        data = np.zeros((len(payloads), max([GROUPS[pgn].length, *map(len, payloads)])), np.uint8)
        for at, payload in enumerate(payloads):
            data[at, : len(payload)] = np.frombuffer(payload, np.uint8)
        lengths = np.fromiter(map(len, payloads), np.int64, len(payloads))
        return Messages(data, lengths, frames.times[places]), senders[places]

    def _note_whole(self, sender: int, group: Group, payload: bytes, place: int) -> None:
        is_read = len(payload) * 8 >= _least_bits(group.pgn)
        (self._incomplete.take_read if is_read else self._incomplete.take_lost)(_key(sender, group, payload), place)

    def _note_lost(self, pgn: int) -> None:
        fast = self._fast[pgn]
        for lost in fast.lost:
            self._incomplete.take_lost(_key(lost.key, GROUPS[pgn], lost.begins), lost.place)
        fast.lost.clear()

    def finish(self, log_ended: int = NO_TIME) -> None:
        """After the last batch, with the time of the log's last frame: count what was never complete."""
        for pgn, fast in self._fast.items():
            fast.finish(log_ended)
            self._note_lost(pgn)
            self.decoded += fast.used_frames
            self.not_decoded["fast-packet-lost", pgn] += fast.lost_frames
            rest = self._fast_frames[pgn] - fast.used_frames - fast.lost_frames
            self.not_decoded["fast-packet-rest", pgn] += rest

    def lost_messages(self, pgn: int) -> int:
        """How many fast packets of a group were never complete."""
        return self._fast[pgn].lost_messages if pgn in self._fast else 0

    def incomplete(self, channels: tuple[str, ...]) -> tuple[IncompleteSpan, ...]:
        """The fast packets that were never complete, of the groups that are decoded here."""
        return tuple(self._incomplete.spans(channels))

    def parameters(self, channels: tuple[str, ...], timeline: Timeline) -> Iterator[ParameterSpan]:
        """The parameters of every sender and instance."""
        for (pgn, key), track in sorted(self._tracks.items()):
            yield from track.parameters(_sender(GROUPS[pgn], key, channels), timeline)

    def statuses(self, channels: tuple[str, ...], timeline: Timeline) -> Iterator[StatusSpan]:
        """The status bits and gears that were on."""
        for (pgn, key), track in sorted(self._tracks.items()):
            yield from track.statuses(_sender(GROUPS[pgn], key, channels), timeline)


@cache
def _least_bits(pgn: int) -> int:
    """The least that a message needs to tell whose it is, and one value."""
    group = GROUPS[pgn]
    told_apart = [bits.end for bits in (group.instance, group.kind) if bits is not None]
    return max([*told_apart, min(one.bits.end for one in group.fields)])


def _key(sender: int, group: Group, payload: bytes) -> tuple[int, int, int, int]:
    """Of whom a message is, and of which instance, as far as its first bytes tell."""
    instance, bits = UNKNOWN, group.instance
    if bits is not None and len(payload) * 8 >= bits.end:
        told = int.from_bytes(payload[:8], "little") >> bits.start & (1 << bits.width) - 1
        instance = UNKNOWN if told == (1 << bits.width) - 1 else told
    return sender >> 8, sender & 0xFF, group.pgn, instance


def _sender(group: Group, key: int, channels: tuple[str, ...]) -> Sender:
    source, instance, kind = key >> 16 & 0xFF, key >> 8 & 0xFF, key & 0xFF
    named: int | None = None
    if group.instance is not None and instance != (1 << group.instance.width) - 1:
        named = instance
    words = ""
    if group.kind is not None and kind != (1 << group.kind.width) - 1:
        words = group.kinds[kind] if kind < len(group.kinds) else f"type {kind} (no name in the open list)"
    return Sender(channels[key >> 24], source, named, words)
