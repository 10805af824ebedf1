"""Whether what was read can prove that what it does not list is gone, in words. Pure."""

from __future__ import annotations

from collections.abc import Sequence

MOST_NAMED = 4


def doubt_about_everything(source: str, unread: str, left_out: Sequence[str], gone: Sequence[str] = ()) -> str:
    """What speaks against everything being listed; empty where nothing does.

    ``source`` is what was read ("text"), ``unread`` a sentence about what was not understood of it, ``left_out`` what
    stands in it and was not selected, ``gone`` what is open and would count as gone.
    """
    doubts = [unread] if unread else []
    if left_out:
        doubts.append(f"{_some_of(left_out)} {_is(left_out)} in the {source} and not selected.")
    if not doubts:
        return ""
    counts = f"{_some_of(gone)} {_is(gone)} open and" if gone else "Other codes of the same kind"
    return f"{' '.join(doubts)} {counts} would count as gone. Choose “some of it” unless you are sure."


def _is(labels: Sequence[str]) -> str:
    return "is" if len(labels) == 1 else "are"


def _some_of(labels: Sequence[str]) -> str:
    """The first few of some codes, and how many more there are."""
    if len(labels) > MOST_NAMED:
        return f"{', '.join(labels[:MOST_NAMED])} and {len(labels) - MOST_NAMED:,} more"
    return " and ".join([", ".join(labels[:-1]), labels[-1]] if len(labels) > 1 else labels)
