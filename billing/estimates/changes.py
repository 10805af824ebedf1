"""What a version of an estimate changes against the one before, in sentences."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from billing.estimates.record import lines_in
from vessels.wording import date_words
from workorders.money import money_words
from workorders.reckoning import ChargeKind

NOTHING_CHANGED = "No price changed."
KIND_WORDS = {ChargeKind.LABOR: "labor", ChargeKind.PART: "part", ChargeKind.SUBLET: "sublet", ChargeKind.FEE: "fee"}


def changes_between(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """What changed, line by line, then the terms, then the total. Both are records as they are read from JSON."""
    said = [*_lines(old, new), *_options(old, new), *_terms(old, new)]
    if not said:
        said.append(NOTHING_CHANGED)
    before, after = _money(old, "total"), _money(new, "total")
    said.append(f"The total stays {after}." if before == after else f"The total: {before} before, {after} now.")
    return said


def words_joined(words: list[str]) -> str:
    """Words as a list in a sentence: name, contact and address."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _money(record: Mapping[str, Any], name: str, of: Mapping[str, Any] | None = None) -> str:
    value = (of or record)[name]
    return "none" if value is None else money_words(Decimal(value), record["currency"])


def _lines(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    before = {line["key"]: (option, line) for option, line in lines_in(dict(old))}
    after = {line["key"]: (option, line) for option, line in lines_in(dict(new))}
    for key, (option, line) in after.items():
        where = f" (option “{option}”)" if option else ""
        if key not in before:
            yield f"New: {line['description']}{where}, {_money(new, 'price', line)}."
            continue
        was_in, was = before[key]
        if was_in != option and not _renamed(old, new, was_in, option):
            start, end = (f"option “{one}”" if one else "work itself" for one in (was_in, option))
            yield f"{line['description']}: moved from the {start} to the {end}."
        if was["description"] != line["description"]:
            yield f"“{was['description']}” reads “{line['description']}” now."
        told = _line_words(old, new, was, line)
        if told:
            yield f"{line['description']}{where}: {told}."
    for key, (option, line) in before.items():
        if key not in after:
            where = f" (option “{option}”)" if option else ""
            yield f"Left out: {line['description']}{where}, {_money(old, 'price', line)}."


def _line_words(old: Mapping[str, Any], new: Mapping[str, Any], was: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    said = []
    if was["kind"] != now["kind"]:
        said.append(f"{KIND_WORDS[ChargeKind(was['kind'])]} before, {KIND_WORDS[ChargeKind(now['kind'])]} now")
    if was["how"] != now["how"]:
        said.append(f"{was['how']} before, {now['how']} now")
    if was["discount"] != now["discount"]:
        said.append(f"discount {_money(old, 'discount', was)} before, {_money(new, 'discount', now)} now")
    if was["taxable"] != now["taxable"]:
        said.append("taxed now" if now["taxable"] else "not taxed now")
    if was["price"] != now["price"]:
        said.append(f"price {_money(old, 'price', was)} before, {_money(new, 'price', now)} now")
    return "; ".join(said)


def _renamed(old: Mapping[str, Any], new: Mapping[str, Any], before: str, after: str) -> bool:
    keys = [
        next((one["key"] for one in record["options"] if one["name"] == name), None)
        for record, name in ((old, before), (new, after))
    ]
    return keys[0] is not None and keys[0] == keys[1]


def _options(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    before = {one["key"]: one for one in old["options"]}
    after = {one["key"]: one for one in new["options"]}
    for key, option in after.items():
        if key not in before:
            yield f"New option “{option['name']}”: {_money(new, 'adds', option)} on top."
            continue
        was = before[key]
        if was["name"] != option["name"]:
            yield f"The option “{was['name']}” is called “{option['name']}” now."
        if was["alternatives"] != option["alternatives"]:
            yield f"The option “{option['name']}” stands for another choice now."
        if was["adds"] != option["adds"]:
            before_it, now = _money(old, "adds", was), _money(new, "adds", option)
            yield f"The option “{option['name']}”: {before_it} on top before, {now} now."
    for key, option in before.items():
        if key not in after:
            yield f"The option “{option['name']}” is no longer there."


def _terms(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    for name, words in [("discount", "Discount on the whole"), ("deposit", "Deposit"), ("contingency", "Contingency")]:
        before, after = old[name], new[name]
        if (before or "0") != (after or "0"):
            yield f"{words}: {_money(old, name)} before, {_money(new, name)} now."
    yield from _taxes(old["taxes"], new["taxes"])
    before, after = old.get("valid_until"), new.get("valid_until")
    if before != after:
        yield _valid_words(before, after)
    fields = [name for name in ("name", "contact", "address") if old["customer"].get(name) != new["customer"].get(name)]
    if fields:
        yield f"The customer’s {words_joined(fields)} changed."


def _valid_words(before: str | None, after: str | None) -> str:
    """Until when it holds, and until when the version before held."""
    if after is None:
        return f"No day is said until which it is valid; before it was {_day(before)}."
    if before is None:
        return f"Valid until {_day(after)}; before no day was said."
    return f"Valid until {_day(after)} now, until {_day(before)} before."


def _day(said: str | None) -> str:
    return date_words(date.fromisoformat(said)) if said else ""


@dataclass(frozen=True)
class _Tax:
    """A tax as a version has it: by name and percentage, and by which certificate it is not owed."""

    name: str
    percent: str
    certificate: str

    @classmethod
    def of(cls, told: Mapping[str, Any]) -> _Tax:
        """One of a record; older ones have name and percentage in one text."""
        name, _, percent = str(told.get("plain", told["words"])).rpartition(", ")
        return cls(name, percent, told["certificate"] or "")

    def __str__(self) -> str:
        return f"{self.name}, {self.percent}" if self.name else self.percent


def _taxes(old: Sequence[Mapping[str, Any]], new: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Which taxes came, went, or have another percentage; and where a certificate counts that did not, or no more."""
    before, after = [_Tax.of(one) for one in old], [_Tax.of(one) for one in new]
    left = list(before)
    for tax in after:
        same = [one for one in left if str(one) == str(tax)]
        was = same[0] if same else _only_one(tax.name, before, after)
        if was is None:
            yield f"New: {tax}{_exempt(tax.certificate)}."
            continue
        left.remove(was)
        if was.percent != tax.percent:
            yield f"{tax.name}: {was.percent} before, {tax.percent} now."
        if was.certificate != tax.certificate:
            yield f"{tax}: {_certificate_words(was.certificate, tax.certificate)}."
    for tax in left:
        yield f"No longer: {tax}."


def _only_one(name: str, before: Sequence[_Tax], after: Sequence[_Tax]) -> _Tax | None:
    """The tax of this name before, where no other has it before or now, so that its percentage became another."""
    of_it = [one for one in before if one.name == name]
    return of_it[0] if name and len(of_it) == 1 == sum(one.name == name for one in after) else None


def _exempt(certificate: str) -> str:
    return f"; exempt by certificate {certificate}" if certificate else ""


def _certificate_words(before: str, after: str) -> str:
    if not after:
        return "charged now"
    return f"exempt now, by certificate {after}" if not before else f"certificate {before} before, {after} now"
