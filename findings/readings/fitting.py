"""Which spec cards are for an engine: a card may be for some models, years or serial numbers of its family only."""

from __future__ import annotations

import re
from collections.abc import Iterable

from engineering.serials import is_in_range
from findings.readings.models import CardWords, SpecCard, SpecLimit
from vessels.models import Engine
from web.sentences import within

_APART = re.compile(r"[\s\-./_]+")


def models_of(card: SpecCard | CardWords) -> list[str]:
    """The models that a card is for, as they were entered; none where it is for all."""
    return [words for one in card.engine_models.split(",") if (words := " ".join(one.split()))]


def scope_words(card: SpecCard | CardWords) -> str:
    """What a card is for within its family: "model N6-370, serial numbers NL-20400 to NL-20999"; empty for all."""
    named = models_of(card)
    parts = []
    if named:
        parts.append(f"model{'' if len(named) == 1 else 's'} {', '.join(named)}")
    if card.year_from or card.year_to:
        parts.append(_span("year", "years", str(card.year_from or ""), str(card.year_to or "")))
    if card.serial_from or card.serial_to:
        parts.append(_span("serial number", "serial numbers", card.serial_from, card.serial_to))
    return "; ".join(parts)


def _span(one: str, several: str, first: str, last: str) -> str:
    if first == last:
        return f"{one} {first}"
    if not last:
        return f"{several} from {first}"
    return f"{several} {first} to {last}" if first else f"{several} up to {last}"


def why_not_for(card: SpecCard, engine: Engine) -> str:
    """Why a card of the engine's family is not for it, or not with certainty; empty where it is for it."""
    return _other_model(card, engine) or _other_year(card, engine) or _other_serial(card, engine)


def _other_model(card: SpecCard, engine: Engine) -> str:
    named = models_of(card)
    if not named or _plain(engine.model) in {_plain(one) for one in named}:
        return ""
    if not _plain(engine.model):
        return "the model of this engine is not entered"
    return f"this engine’s model is {within(engine.model)}"


def _other_year(card: SpecCard, engine: Engine) -> str:
    if not card.year_from and not card.year_to:
        return ""
    if engine.year is None:
        return "the year of this engine is not entered"
    is_among = (card.year_from or engine.year) <= engine.year <= (card.year_to or engine.year)
    return "" if is_among else f"this engine is of {engine.year}"


def _other_serial(card: SpecCard, engine: Engine) -> str:
    if not card.serial_from and not card.serial_to:
        return ""
    if not engine.serial.strip():
        return "the serial number of this engine is not entered"
    is_among = is_in_range(engine.serial, card.serial_from, card.serial_to)
    if is_among is None:
        return f"this engine’s serial number, {within(engine.serial)}, cannot be compared with these"
    return "" if is_among else f"this engine’s serial number is {within(engine.serial)}"


def _plain(model: str) -> str:
    return _APART.sub("", model).casefold()


def fitting(limits: Iterable[SpecLimit], engine: Engine) -> list[SpecLimit]:
    """The limits whose cards are for the engine, in their order."""
    known: dict[int, bool] = {}
    for limit in limits:
        if limit.card_id not in known:
            known[limit.card_id] = not why_not_for(limit.card, engine)
    return [limit for limit in limits if known[limit.card_id]]


def cards_left_out(limits: Iterable[SpecLimit], engine: Engine) -> list[str]:
    """The cards of the family that are not for the engine, a sentence each."""
    said = {}
    for limit in limits:
        if limit.card_id not in said and why_not_for(limit.card, engine):
            said[limit.card_id] = card_left_out(limit.card, engine)
    return list(said.values())


def card_left_out(card: SpecCard, engine: Engine) -> str:
    """Why a card is not for an engine, as a sentence."""
    return f"“{card.title}” is for {scope_words(card)}; {why_not_for(card, engine)}."
