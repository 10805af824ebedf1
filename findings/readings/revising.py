"""A limit of a spec card in words, what became of it, and what was changed on its card. Nothing is overwritten."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format

from engineering.measures import show
from findings.readings.fitting import scope_words
from findings.readings.models import CardWords, Parameter, SpecCard, SpecLimit
from web.sentences import within


def band_of(limit: SpecLimit) -> str:
    """The two ends in words: "40 to 70 psi", "at least 40 psi", "at most 70 psi"."""
    low, high = (None if one is None else one.normalize() for one in (limit.low, limit.high))
    if low is not None and high is not None:
        return f"{low:f} to {show(high, limit.unit)}"
    if low is not None:
        return f"at least {show(low, limit.unit)}"
    return f"at most {show(high, limit.unit)}" if high is not None else ""


def near_words(limit: SpecLimit) -> str:
    """From where on a value is near: "near within 10 % of the band"."""
    if not limit.near_percent:
        return "near only on the limit itself"
    of = "band" if limit.low is not None and limit.high is not None else "limit"
    return f"near within {limit.near_percent.normalize():f} % of the {of}"


def limit_words(limit: SpecLimit) -> str:
    """All that judges: "40 to 70 psi, nominal 55 psi, near within 10 % of the band"."""
    nominal = "" if limit.nominal is None else f"nominal {show(limit.nominal.normalize(), limit.unit)}"
    return ", ".join(filter(None, [band_of(limit), nominal, near_words(limit)]))


def source_words(limit: SpecLimit) -> str:
    """Where a limit is taken from: its own document or the card's, and the page."""
    page = f"page {limit.page}" if limit.page[:1].isdigit() else limit.page
    return ", ".join(filter(None, [within(limit.source or limit.card.document), page]))


def whole_words(limit: SpecLimit) -> str:
    """All of a limit, its source with it."""
    return f"{limit_words(limit)}; {source_words(limit)}"


def what_for(parameter: Parameter, condition: str) -> str:
    """What a limit is of: "Oil pressure, warm"."""
    return ", ".join(filter(None, [parameter.name, condition]))


def place_of(parameter: int, condition: str) -> tuple[int, str]:
    """What a limit is of, the parameter by its key: no card has two for it."""
    return parameter, " ".join(condition.split()).casefold()


_TEXTS, _OTHERS = ("condition", "source", "page"), ("unit", "low", "nominal", "high", "near_percent")


def is_same(one: SpecLimit, other: SpecLimit) -> bool:
    """Whether two limits of a place say the same; how many spaces stand between their words does not count."""
    texts = all(getattr(one, name).split() == getattr(other, name).split() for name in _TEXTS)
    return texts and all(getattr(one, name) == getattr(other, name) for name in _OTHERS)


def day_words(moment: datetime) -> str:
    """The day of a moment in the shop's zone: "Mar 3, 2026"."""
    return date_format(timezone.localtime(moment), "M j, Y")


def revision_words(ended_at: datetime | None, by: str, next_one: SpecLimit | None) -> str:
    """What became of the limit that judged a reading; empty while it is in force."""
    if ended_at is None:
        return ""
    done, day = f"{by} " if by else "was ", day_words(ended_at)
    if next_one is None:
        return f"Judged by a limit that {done}removed from the card on {day}."
    return f"Judged by a limit that {done}changed on {day}, to {limit_words(next_one)}."


def entered_after_words(begun_at: datetime | None, read_at: datetime) -> str:
    """That a limit was entered after what it judged was read."""
    if begun_at is None or begun_at <= read_at:
        return ""
    return f"Read before its limit was on the card: that was entered on {day_words(begun_at)}."


@dataclass(frozen=True)
class CardChange:
    """One change of a card. ``before`` is empty for what was added, ``after`` for what was removed."""

    at: datetime
    by: str
    what: str
    before: str
    after: str


def changes_of(limits: Sequence[SpecLimit]) -> list[CardChange]:
    """What was changed on a card since it was written, newest first. ``limits`` are all it ever had."""
    if not limits:
        return []
    known, replaced = {one.pk: one for one in limits}, {one.replaces_id for one in limits}
    first = min(one.begun_at for one in limits)
    found = []
    for one in limits:
        before = known.get(one.replaces_id or 0)
        if before is not None or one.begun_at > first:
            found.append(_change(one.begun_at, one.begun_by, one, before, one))
        if one.ended_at is not None and one.pk not in replaced:
            found.append(_change(one.ended_at, one.ended_by, one, one, None))
    return sorted(found, key=lambda change: change.at, reverse=True)


def _change(at: datetime, by: object, of: SpecLimit, before: SpecLimit | None, after: SpecLimit | None) -> CardChange:
    return CardChange(
        at=at,
        by=str(by or ""),
        what=what_for(of.parameter, of.condition),
        before=whole_words(before) if before else "",
        after=whole_words(after) if after else "",
    )


WORDS = ("family", "engine_models", "year_from", "year_to", "serial_from", "serial_to", "title", "document", "notes")
"""What ``CardWords`` keeps of a card."""
_WHOLE_FAMILY = "every engine of the family"


def all_words(card: SpecCard) -> list[CardWords]:
    """Every wording that a card ever had, oldest first."""
    return list(card.words.select_related("family", "said_by").order_by("pk"))


def changes_of_words(words: Sequence[CardWords]) -> list[CardChange]:
    """What was changed of a card's title, document, notes, and of the engines it is for, newest first."""
    found = []
    for before, after in pairwise(words):
        told = [
            (what, old, new) for (what, old), (_, new) in zip(_said(before), _said(after), strict=True) if old != new
        ]
        found += [CardChange(after.said_at, str(after.said_by or ""), *one) for one in told]
    return sorted(found, key=lambda change: change.at, reverse=True)


def _said(words: CardWords) -> list[tuple[str, str]]:
    return [
        ("Engine family", str(words.family)),
        ("Title", words.title),
        ("Taken from", words.document),
        ("Only for", scope_words(words) or _WHOLE_FAMILY),
        ("Notes", words.notes),
    ]


def words_on(words: Sequence[CardWords], day: date) -> CardWords | None:
    """The wording at the end of a day; None where none is kept of it."""
    return next((one for one in reversed(words) if timezone.localtime(one.said_at).date() <= day), None)


def all_limits(card: SpecCard) -> list[SpecLimit]:
    """Every limit that a card ever had, in the order of its rows."""
    found = card.limits.select_related("card", "parameter", "begun_by", "ended_by")
    return list(found.order_by("parameter__position", "parameter__name", "condition", "pk"))


def in_force_on(limits: Sequence[SpecLimit], day: date) -> list[SpecLimit]:
    """The limits in force at the end of a day."""

    def day_of(moment: datetime) -> date:
        return timezone.localtime(moment).date()

    return [
        one for one in limits if day_of(one.begun_at) <= day and (one.ended_at is None or day_of(one.ended_at) > day)
    ]


def in_force() -> Q:
    """The limits that judge now."""
    return Q(ended_at=None)
