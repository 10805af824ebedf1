"""More than one engine at the counter: the next one is like the last, and one too many is taken away again."""

from __future__ import annotations

from collections.abc import Mapping

from vessels.positions import next_position
from web.typed import whole_number

_COPIED = ("fuel", "maker", "model", "family")


def next_engine_values(typed: Mapping[str, str], engines: int) -> dict[str, str]:
    """What the newest of so many engines begins with: make and family of the one before, in the next free place."""
    before, new = f"engine-{engines - 2}-", f"engine-{engines - 1}-"
    begun = {new + name: typed[before + name] for name in _COPIED if typed.get(before + name)}
    places = [typed.get(f"engine-{index}-position", "single") for index in range(engines - 1)]
    if places == ["single"]:  # of two, none is the single one
        return begun | {"engine-0-position": "port", new + "position": "starboard"}
    return begun | {new + "position": next_position(places)}


def without_engine(typed: Mapping[str, str], engines: int, step: str) -> tuple[dict[str, str], int]:
    """The answers without one engine, those behind it moved up; the only one is emptied and not taken away."""
    gone = whole_number(step.partition(":")[2], digits=2)
    if gone is None or gone >= engines:
        return dict(typed), engines
    kept = {}
    for name, text in typed.items():
        front, _, rest = name.removeprefix("engine-").partition("-")
        index = whole_number(front) if name.startswith("engine-") else None
        if index is None:
            kept[name] = text
        elif index != gone:
            kept[f"engine-{index - (index > gone)}-{rest}"] = text
    left = max(1, engines - 1)
    if left == 1 and engines > 1:
        kept["engine-0-position"] = "single"
    return _concerns_moved(kept, gone), left


def _concerns_moved(typed: Mapping[str, str], gone: int) -> dict[str, str]:
    """With each concern still about its own engine."""
    moved = dict(typed)
    for name, text in typed.items():
        about = whole_number(text.removeprefix("new-")) if text.startswith("new-") else None
        if about is not None and name.startswith("concern-") and name.endswith("-engine"):
            moved[name] = "" if about == gone else f"new-{about - (about > gone)}"
    return moved
