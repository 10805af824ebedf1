"""Keeping things apart that would be drawn over each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Extent:
    """From left to right."""

    left: float
    right: float


def spread_bars(bars: Sequence[Extent], least: float, gap: float, left: float, right: float) -> list[Extent]:
    """Bars in their order, none narrower than `least`, `gap` between them, all within left..right.

    Bars are moved no further than needed. Where there are too many for the room, all share it evenly.
    """
    if not bars:
        return []
    if len(bars) * (least + gap) - gap > right - left:
        room = (right - left) / len(bars)
        slim = min(gap, room / 3)
        return [Extent(left + index * room, left + (index + 1) * room - slim) for index in range(len(bars))]
    pushed: list[Extent] = []
    edge = left
    for bar in bars:
        begin = max(bar.left, edge)
        pushed.append(Extent(begin, max(bar.right, begin + least)))
        edge = pushed[-1].right + gap
    edge = right
    for index in range(len(pushed) - 1, -1, -1):
        end = min(pushed[index].right, edge)
        begin = min(pushed[index].left, end - least)
        pushed[index] = Extent(begin, end)
        edge = begin - gap
    return pushed


@dataclass(frozen=True, slots=True)
class RowLabel:
    """A label's place: its level (0 on top), its left edge, its words, and the marks that it stands for."""

    level: int
    left: float
    words: str
    marks: tuple[float, ...]


def spread_labels(
    wanted: Sequence[tuple[float, str]], *, advance: float, levels: int, gap: float, left: float, right: float
) -> list[RowLabel]:
    """Labels beside their marks on as few levels as they need, none over another.

    What has no room even on the last level joins the label before it as "+2": nothing is left unsaid.
    """
    room_for_joined = [0.0] * (levels - 1) + [5 * advance]
    placed: list[RowLabel] = []
    ends = [left - gap] * levels
    joined: list[float] = []
    for at, words in sorted(wanted):
        width = len(words) * advance
        begins = [min(at, right - width - spare) for spare in room_for_joined]
        free = [level for level in range(levels) if begins[level] >= ends[level] + gap]
        if not free and placed:
            joined.append(at)
            continue
        _join(placed, joined)
        joined = []
        level = free[0] if free else levels - 1
        begin = max(left, begins[level])
        placed.append(RowLabel(level, begin, words, (at,)))
        ends[level] = begin + width + room_for_joined[level]
    _join(placed, joined)
    return placed


def _join(placed: list[RowLabel], marks: list[float]) -> None:
    """Add "+n" to the last label of the deepest level, which keeps room for it."""
    if not marks:
        return
    deepest = max(label.level for label in placed)
    index = max(i for i, label in enumerate(placed) if label.level == deepest)
    label = placed[index]
    own_words = label.words.partition(" +")[0]
    all_marks = (*label.marks, *marks)
    placed[index] = RowLabel(label.level, label.left, f"{own_words} +{len(all_marks) - 1}", all_marks)


def free_labels(wanted: Sequence[Extent], gap: float) -> list[bool]:
    """Which of the labels can be drawn without touching another; the later (right) ones go first."""
    drawn = [False] * len(wanted)
    taken: list[Extent] = []
    for index in range(len(wanted) - 1, -1, -1):
        label = wanted[index]
        if all(label.right + gap <= other.left or label.left >= other.right + gap for other in taken):
            drawn[index] = True
            taken.append(label)
    return drawn
