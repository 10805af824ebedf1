"""Which limit judges a value, and in words why none does, or which other card says another thing of the same."""

from __future__ import annotations

from collections.abc import Sequence

from findings.readings.fitting import card_left_out, fitting
from findings.readings.models import Parameter, SpecLimit
from findings.readings.queries import limits_by_family, match_of, says
from findings.readings.revising import band_of, limit_words
from vessels.models import Engine

LONGEST = 500
_MOST_NAMED = 3


def limit_for(
    engine: Engine | None, parameter: Parameter, condition: str, *, chosen: SpecLimit | None = None
) -> tuple[SpecLimit | None, str]:
    """The limit that judges a value, and the remark to keep with it; ``chosen`` is the one whose row it stands in."""
    if engine is None:
        return chosen, ""
    family = limits_by_family([engine.family_id]).get(engine.family_id or 0, [])
    limit = chosen or match_of(fitting(family, engine), parameter, condition)
    return limit, remark_on(limit, engine, family, parameter, condition)


def remark_on(
    limit: SpecLimit | None, engine: Engine, family: Sequence[SpecLimit], parameter: Parameter, condition: str
) -> str:
    """What is to be said beside a value: which card differs from ``limit``, or why there is no limit.

    ``family`` are the limits of the cards in use for the engine's family, whatever engines of it they are for.
    """
    of_it = [one for one in family if one.parameter_id == parameter.pk]
    here = fitting(of_it, engine)
    if limit is not None:
        return _others(limit, here)
    differing = _under(here, condition)
    if differing:
        none = "neither" if len(differing) == 2 else "none"
        return _shortened(f"{_each(differing)}: they differ, so {none} judges it.")
    if here:
        said = list(dict.fromkeys(f"“{one.condition}”" for one in here))
        return _shortened(f"Limits of it are only for {_joined(said)}.")
    if engine.family_id is None:
        return "The family of this engine is not entered, so no spec card is known for it."
    if of_it:
        return _shortened(" ".join(_left_out(of_it, engine)))
    return _shortened(f"No spec card of {engine.family} has limits of it.")


def left_out_of(family: Sequence[SpecLimit], engine: Engine, parameter: Parameter) -> str:
    """Why the cards that have limits of a parameter are not for an engine; empty where one is, or none has."""
    of_it = [one for one in family if one.parameter_id == parameter.pk]
    return "" if not of_it or fitting(of_it, engine) else " ".join(_left_out(of_it, engine))


def differing_on(
    limit: SpecLimit | None, engine: Engine, family: Sequence[SpecLimit], parameter: Parameter, condition: str
) -> str:
    """The same as ``remark_on`` where cards that are for the engine differ; else empty."""
    here = fitting([one for one in family if one.parameter_id == parameter.pk], engine)
    is_to_tell = limit is not None or _under(here, condition)
    return remark_on(limit, engine, family, parameter, condition) if is_to_tell else ""


def _under(here: Sequence[SpecLimit], condition: str) -> list[SpecLimit]:
    """The limits for a condition, else those without one."""
    words = " ".join(condition.split()).casefold()
    return [one for one in here if one.condition.casefold() == words] or [one for one in here if not one.condition]


def _others(limit: SpecLimit, here: Sequence[SpecLimit]) -> str:
    """What other cards say of the same under the same condition."""
    same = [one for one in here if one.condition.casefold() == limit.condition.casefold()]
    others = [one for one in same if one.card_id != limit.card_id and says(one) != says(limit)]
    return _shortened(f"{_each(others, beside=limit)} for the same.") if others else ""


def _each(limits: Sequence[SpecLimit], *, beside: SpecLimit | None = None) -> str:
    """Each card with its limits, as many as are named: "“First” has 15 to 45 psi, “Second” has 25 to 45 psi"."""
    named = [*limits, *([beside] if beside else [])]
    is_plain = len({band_of(one) for one in named}) == len({says(one) for one in named})
    said = [f"“{one.card.title}” has {band_of(one) if is_plain else limit_words(one)}" for one in limits[:_MOST_NAMED]]
    more = len(limits) - len(said)
    return ", ".join(said) + (f", and {more} more" if more else "")


def _left_out(limits: Sequence[SpecLimit], engine: Engine) -> list[str]:
    cards = list({one.card_id: one.card for one in limits}.values())
    said = [card_left_out(one, engine) for one in cards[:_MOST_NAMED]]
    more = len(cards) - len(said)
    return [*said, f"{more} more {'is' if more == 1 else 'are'} not for it either."] if more else said


def _joined(words: Sequence[str]) -> str:
    shown = list(words[:_MOST_NAMED])
    more = len(words) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


def _shortened(text: str) -> str:
    return text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
