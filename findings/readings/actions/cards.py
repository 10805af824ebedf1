"""What people do with spec cards: write one, and revise it. A limit that is changed ends, and another begins."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.utils import timezone

from commands.envelope import command, tell, tell_unchanged
from commands.refusals import Conflict, Refused
from engineering.canonical import plain_decimal
from engineering.limits import Limits, LimitsProblem
from engineering.measures import UNITS
from engineering.serials import are_in_order
from findings.readings.checking import impossible
from findings.readings.models import CardWords, Parameter, SpecCard, SpecLimit
from findings.readings.revising import WORDS, is_same, place_of, what_for, whole_words
from staff.models import Person
from staff.policy import Permission
from vessels.models import EngineFamily
from workorders.actions.checking import refuse_unsound

MOST_LIMITS = 200
"""What a card's table shows."""


@dataclass(frozen=True)
class NewLimit:
    """One row of a spec card as entered. Without ``source`` it is taken from the card's document."""

    parameter: Parameter
    unit: str
    condition: str = ""
    low: Decimal | None = None
    nominal: Decimal | None = None
    high: Decimal | None = None
    near_percent: Decimal = Decimal(10)
    source: str = ""
    page: str = ""


@command("add_card", needs=Permission.EDIT_SPEC_CARDS)
def add_card(
    *,
    by: Person,
    family: EngineFamily,
    title: str,
    document: str,
    limits: Sequence[NewLimit],
    notes: str = "",
    engine_models: str = "",
    year_from: int | None = None,
    year_to: int | None = None,
    serial_from: str = "",
    serial_to: str = "",
    entry_id: uuid.UUID | None = None,
) -> SpecCard:
    """Add a spec card with its limits, for the whole family or for some of its models, years or serial numbers.

    Raises:
        Refused: no source document, no limit at all, a range that no engine can be in, or limits that contradict each
            other.
    """
    if not document.strip():
        raise Refused(
            "Say where the limits are taken from.",
            fields={"document": "Manual, edition and page, or who measured it and when."},
        )
    card = SpecCard(
        family=family,
        title=title.strip(),
        document=document.strip(),
        notes=notes.strip(),
        engine_models=engine_models.strip(),
        year_from=year_from,
        year_to=year_to,
        serial_from=serial_from.strip(),
        serial_to=serial_to.strip(),
    )
    _refuse_odd_scope(card)
    card.changed_by = by
    card.save()
    _keep_words(card, by=by)
    _write_limits(card, limits, by=by)
    return card


@command("change_card", needs=Permission.EDIT_SPEC_CARDS)
def change_card(
    *,
    by: Person,
    card: SpecCard,
    changes: Mapping[str, Any],
    limits: Sequence[NewLimit],
    seen_version: int | None = None,
    entry_id: uuid.UUID | None = None,
) -> SpecCard:
    """Change a card's words, and revise its limits: ``limits`` are all that it has from now on.

    A limit that is changed ends, and another begins in its place; readings keep the one that they were judged by.

    Raises:
        Refused: as for a new card.
        Conflict: somebody else changed the card since ``seen_version``. Nothing is written.
    """
    held = card
    card = SpecCard.objects.select_for_update(of=("self",)).select_related("changed_by").get(pk=card.pk)
    stored = {name: getattr(card, name) for name in changes}
    words = {name: value for name, value in changes.items() if stored[name] != value}
    for name, value in words.items():
        setattr(card, name, value)
    if not card.document.strip():
        raise Refused("Say where the limits are taken from.", fields={"document": "Manual, edition and page."})
    _refuse_odd_scope(card)
    new, before = _checked(card, limits), list(card.limits.filter(ended_at=None).select_related("card", "parameter"))
    ended, begun = _differing(before, new)
    if seen_version is not None and card.version != seen_version and (words or ended or begun):
        theirs = {name: stored[name] for name in words}
        raise _conflict(card, theirs, words, ended, begun)
    if words or ended or begun:
        card.version += 1
        card.changed_by = by
        card.save()
        if words:
            _keep_words(card, by=by)
        _revise(ended, begun, by=by)
        tell(limits=[_limit_words(row) for row in limits])
    else:
        tell_unchanged()
    held.refresh_from_db()
    return card


@dataclass(frozen=True)
class CardRows:
    """Some limits of one card, as it was looked at in ``seen_version``. Limits that are not among them stay."""

    card: SpecCard
    seen_version: int
    limits: Sequence[NewLimit]


@command("revise_limits", needs=Permission.EDIT_SPEC_CARDS)
def revise_limits(
    *, by: Person, family: EngineFamily, cards: Sequence[CardRows], entry_id: uuid.UUID | None = None
) -> EngineFamily:
    """Add limits to cards of a family and revise those that they have, all at once or none.

    Raises:
        Refused: a card of another family, no row at all, more limits than a card can have, or as for a new card.
        Conflict: somebody else changed a card since it was looked at. Nothing is written.
    """
    if not cards:
        raise Refused("There is no limit to save.")
    told = []
    for rows in sorted(cards, key=lambda one: one.card.pk):
        card = SpecCard.objects.select_for_update(of=("self",)).select_related("changed_by").get(pk=rows.card.pk)
        if card.family_id != family.pk:
            raise Refused(f"“{card.title}” is a card of another engine family.")
        new, before = _checked(card, rows.limits), list(card.limits.filter(ended_at=None).select_related("parameter"))
        named = {place_of(one.parameter_id, one.condition) for one in new}
        ended, begun = _differing([one for one in before if place_of(one.parameter_id, one.condition) in named], new)
        if len(before) - len(ended) + len(begun) > MOST_LIMITS:
            raise Refused(f"“{card.title}” would have more than {MOST_LIMITS} limits. Write another card for some.")
        if not ended and not begun:
            continue
        if card.version != rows.seen_version:
            raise _conflict(card, {}, {}, ended, begun)
        card.version += 1
        card.changed_by = by
        card.save()
        _revise(ended, begun, by=by)
        told += [_limit_words(row) for row, one in zip(rows.limits, new, strict=True) if one in begun]
    if told:
        tell(limits=told)
    else:
        tell_unchanged()
    return family


def _conflict(
    card: SpecCard,
    theirs: dict[str, Any],
    mine: dict[str, Any],
    ended: Sequence[SpecLimit],
    begun: Sequence[SpecLimit],
) -> Conflict:
    """Both versions of what differs: words by their names, limits by what they are of."""
    rows = {what_for(one.parameter, one.condition): "" for one in [*ended, *begun]}
    return Conflict(
        "Somebody saved this card while you were typing. Nothing of yours is lost: compare both, then save again.",
        theirs=theirs | rows | {what_for(one.parameter, one.condition): whole_words(one) for one in ended},
        mine=mine | rows | {what_for(one.parameter, one.condition): whole_words(one) for one in begun},
        by=str(card.changed_by or "somebody else"),
    )


def _keep_words(card: SpecCard, *, by: Person) -> None:
    """Keep what a card is called and for which engines it is from now on."""
    CardWords.objects.create(card=card, said_by=by, **{name: getattr(card, name) for name in WORDS})


def _refuse_odd_scope(card: SpecCard) -> None:
    """Refuse years and serial numbers that no engine can be compared with.

    Raises:
        Refused: the ends are out of order, or a serial number is none that can be counted up.
    """
    if card.year_from and card.year_to and card.year_from > card.year_to:
        sentence = "This year is after the last one. Swap them."
        raise Refused(sentence, fields={"year_from": sentence})
    for name in ("serial_from", "serial_to"):
        end = getattr(card, name)
        if end and not are_in_order(end, end):
            sentence = "Enter one serial number that ends with digits, such as NL-20400."
            raise Refused(sentence, fields={name: sentence})
    if card.serial_from and card.serial_to and not are_in_order(card.serial_from, card.serial_to):
        sentence = "Both serial numbers have the same letters before their digits, and this one is not above the last."
        raise Refused(f"Serial numbers: {sentence}", fields={"serial_from": sentence})
    refuse_unsound(card, ["engine_models", "year_from", "year_to", "serial_from", "serial_to"])


def _limit_words(row: NewLimit) -> list[str | None]:
    """A limit as the journal keeps it: parameter, unit, low, nominal, high and how near is near."""
    figures = [row.low, row.nominal, row.high, row.near_percent]
    return [row.parameter.name, row.unit, *(None if one is None else plain_decimal(one) for one in figures)]


def _write_limits(card: SpecCard, limits: Sequence[NewLimit], *, by: Person) -> None:
    """Check and store the limits of a new card."""
    new = _checked(card, limits)
    tell(limits=[_limit_words(row) for row in limits])
    _revise([], new, by=by)


def _checked(card: SpecCard, limits: Sequence[NewLimit]) -> list[SpecLimit]:
    """The limits that a card is to have, none of them stored.

    Raises:
        Refused: none at all, two for one thing, or one that no value could meet; it names the row.
    """
    if not limits:
        raise Refused("A spec card needs at least one limit. Fill in a row.")
    first: dict[tuple[int, str], int] = {}
    for number, row in enumerate(limits, start=1):
        if row.unit not in UNITS or UNITS[row.unit].kind != row.parameter.kind:
            raise Refused(f"Row {number}: this unit does not measure {row.parameter.name.lower()}.")
        if row.low is None and row.high is None:
            raise Refused(f"Row {number}, {row.parameter.name}: give at least one of “at least” and “at most”.")
        ends = {"low": row.low, "nominal": row.nominal, "high": row.high}
        if wrong := impossible(row.unit, ends, of=row.parameter.name):
            raise Refused(f"Row {number}, {row.parameter.name}: {next(iter(wrong.values()))}")
        try:
            Limits(low=row.low, high=row.high, nominal=row.nominal, near_fraction=row.near_percent / 100)
        except LimitsProblem as problem:
            raise Refused(f"Row {number}, {row.parameter.name}: {problem.sentence}") from problem
        same = first.setdefault(place_of(row.parameter.pk, row.condition), number)
        if same != number:
            raise Refused(
                f"Row {number}, {row.parameter.name}: row {same} is for the same under the same condition. "
                "Remove one, or give it another condition."
            )
    return [limit_written(card, row) for row in limits]


def limit_written(card: SpecCard, row: NewLimit) -> SpecLimit:
    """The limit of a card that a row comes to; not stored, and not looked at."""
    return SpecLimit(
        card=card,
        parameter=row.parameter,
        unit=row.unit,
        condition=" ".join(row.condition.split()),
        low=row.low,
        nominal=row.nominal,
        high=row.high,
        near_percent=row.near_percent,
        source=" ".join(row.source.split()) or card.document,
        page=" ".join(row.page.split()),
    )


def _differing(before: Sequence[SpecLimit], new: Sequence[SpecLimit]) -> tuple[list[SpecLimit], list[SpecLimit]]:
    """The limits that end, and those that begin; each that begins says which it replaces."""
    left = {place_of(one.parameter_id, one.condition): one for one in reversed(before)}
    twice = [one for one in before if left[place_of(one.parameter_id, one.condition)] is not one]
    ended, begun = list(twice), []
    for one in new:
        same = left.pop(place_of(one.parameter_id, one.condition), None)
        if same is not None and is_same(same, one):
            continue
        if same is not None:
            ended.append(same)
            one.replaces = same
        begun.append(one)
    return [*ended, *left.values()], begun


def _revise(ended: Sequence[SpecLimit], begun: Sequence[SpecLimit], *, by: Person) -> None:
    """End and begin limits at one moment."""
    now = timezone.now()
    SpecLimit.objects.filter(pk__in=[one.pk for one in ended]).update(ended_at=now, ended_by=by)
    for one in begun:
        one.begun_at, one.begun_by = now, by
    SpecLimit.objects.bulk_create(begun)
