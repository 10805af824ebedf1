"""Finding boats and customers by anything that people know of them. Every way in has its own index; none reads a table.

Written by hand: a question of ten ways costs the ORM more than it costs the database. Beginnings are asked for as a
range between two texts, and not as a pattern, so that a plan made once holds for every text.
"""

# ruff: noqa: S608  (questions are put together from what the program says; what people typed stays a value)
from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeVar

from django.contrib.postgres.search import SearchQuery
from django.db.models import Model, QuerySet
from django.db.models.expressions import RawSQL
from django.db.models.functions import Lower
from phonenumbers import country_code_for_region

from vessels.models import Customer, CustomerPhone, Vessel
from vessels.models.searching import WORDS, squeeze
from vessels.phones import shop_region
from vessels.spelling import asked_keys
from web.rows import positional, rows

M = TypeVar("M", bound=Model)
LEAST_DIGITS = 4
AT_MOST = 50
_NAMED_FIRST = re.compile(
    r"(?:slip|berth|rack|dock|mooring|spot|hin|hull|serial|s/?n|reg(?:istration)?|phone|tel|part|report|code)"
    r"(?:\s+(?:no|nr|number)\b)?[\s.:#]+(?=\S)",
    re.IGNORECASE,
)
_INSIDE = re.compile(r"[0-9A-Z]{4,11}")
_BOAT_WORDS = (
    "to_tsvector('simple', COALESCE(vessel.name, '') || ' ' || COALESCE(vessel.maker, '') || ' ' ||"
    " COALESCE(vessel.model, ''))"
)
_OWNER_WORDS = "to_tsvector('simple', COALESCE(owner.name, '') || ' ' || COALESCE(owner.contact, ''))"
_ENGINE_WORDS = "to_tsvector('simple', COALESCE(engine.maker, '') || ' ' || COALESCE(engine.model, ''))"
_SOUGHT = "to_tsquery('simple', %(words)s)"
_INNER_HIN = "array_to_tsvector(array_remove(ARRAY[{}], ''))".format(
    ", ".join(f'"right"(vessel.hin::text, {length})' for length in range(11, 3, -1))
)
_HIN_BODY = '"right"(vessel.hin::text, 12)'
_BACKWARDS = "reverse(phone.digits::text)"


def _squeezed(column: str) -> str:
    return f"upper(replace(replace({column}, '-', ''), ' ', ''))"


def _begins(column: str, name: str) -> str:
    return f"({column} ~>=~ %({name})s AND {column} ~<~ %({name}_end)s)"


def beginning(name: str, text: str) -> dict[str, str]:
    """The values of a beginning: from the text itself to the first text that does not begin with it."""
    last = ord(text[-1])
    following = {0xD7FF: 0xE000, 0x10FFFF: 0x10FFFF}.get(last, last + 1)
    return {name: text, f"{name}_end": text[:-1] + chr(following)}


@dataclass(frozen=True)
class Ways:
    """Where keys are found by each thing that the text can be, as FROM and WHERE, and the values that they name."""

    named: str
    each: Sequence[str]
    asked: dict[str, Any]

    @property
    def every_key(self) -> str:
        """A SELECT of all that fits."""
        return " UNION ".join([f"SELECT {self.named}.id {way}" for way in self.each])

    @property
    def first_keys(self) -> str:
        """A SELECT of the first keys by name, ``%(at_most)s`` of them.

        The first of each way, and of those the first: OFFSET keeps the database from trying every name in its order
        until enough of them fit, which is never where few do.
        """
        pick = (
            "(SELECT id, low FROM (SELECT {0}.id, lower({0}.name) AS low {1} OFFSET 0) way ORDER BY low, id LIMIT {2})"
        )
        ways = [pick.format(self.named, way, "%(at_most)s") for way in self.each]
        return f"SELECT id FROM ({' UNION '.join(ways)}) found ORDER BY low, id LIMIT %(at_most)s"


def find_vessels(text: str, *, at_most: int = AT_MOST) -> QuerySet[Vessel]:
    """Vessels that fit a name, phone, boat, engine, HIN, berth, registration or serial, with owners; by name.

    Where nothing fits, those whose names come close.
    """
    for first in first_vessels(text, at_most=at_most):
        chosen = Vessel.objects.filter(pk__in=RawSQL(*positional(*first)))  # noqa: S611  (values stay values)
        found = chosen.select_related("owner").order_by(Lower("name"), "pk")
        if found:  # asks, and keeps the answer
            return found
    return Vessel.objects.none()


def matching_vessels(text: str) -> QuerySet[Vessel]:
    """The same, all of them, not yet ordered."""
    return _matching(Vessel.objects.all(), [_vessel_ways(text), _near_vessel_ways(text)])


def matching_customers(text: str) -> QuerySet[Customer]:
    """All customers that ``found_customers`` would find, not yet ordered."""
    return _matching(Customer.objects.all(), [_customer_ways(text), _near_customer_ways(text)])


def _matching(records: QuerySet[M], in_turn: Sequence[Ways | None]) -> QuerySet[M]:
    """The records of the first ways that find any."""
    for ways in in_turn:
        if ways is not None:
            found = records.filter(pk__in=RawSQL(*positional(ways.every_key, ways.asked)))  # noqa: S611
            if found.exists():
                return found
    return records.none()


def first_vessels(text: str, *, at_most: int) -> list[tuple[str, dict[str, Any]]]:
    """The questions for the keys of the first vessels, for a greater question: those that fit, those that come close.

    The second is for where the first finds nothing.
    """
    each = [_vessel_ways(text), _near_vessel_ways(text)]
    return [(ways.first_keys, {**ways.asked, "at_most": at_most}) for ways in each if ways is not None]


def identifier(text: str) -> str:
    """What was typed without the word that says what it is: “slip A-02” is A-02."""
    typed = text.replace("\x00", "").strip()
    return _NAMED_FIRST.sub("", typed, count=1) if _NAMED_FIRST.match(typed) else typed


def _vessel_ways(text: str) -> Ways | None:
    """Everything that the text can be of a boat."""
    sign = identifier(text)
    tight, words = squeeze(sign), word_pattern(text)
    if not tight:
        return None
    asked: dict[str, Any] = beginning("tight", tight)
    boat = "FROM vessels_vessel vessel"
    each = [
        f"{boat} WHERE {_begins(_squeezed('vessel.berth'), 'tight')}",
        f"{boat} WHERE {_begins(_squeezed('vessel.registration'), 'tight')}",
    ]
    if words is not None:
        asked["words"] = words
        each += [
            f"{boat} WHERE {_BOAT_WORDS} @@ {_SOUGHT}",
            f"{boat} JOIN vessels_customer owner ON owner.id = vessel.owner_id WHERE {_OWNER_WORDS} @@ {_SOUGHT}",
            f"{boat} JOIN vessels_engine engine ON engine.vessel_id = vessel.id WHERE {_ENGINE_WORDS} @@ {_SOUGHT}",
        ]
    if len(tight) >= 3:
        asked |= beginning("written", sign.upper())
        serial = _begins(_squeezed("engine.serial"), "tight")
        each += [
            f"{boat} WHERE {_begins('vessel.hin::text', 'written')}",
            f"{boat} WHERE {_begins(_HIN_BODY, 'tight')}",
            f"{boat} JOIN vessels_engine engine ON engine.vessel_id = vessel.id WHERE {serial}",
        ]
    if _INSIDE.fullmatch(tight) and any(letter.isdigit() for letter in tight):
        asked["inside"] = f"'{tight}':*"
        each.append(f"{boat} WHERE {_INNER_HIN} @@ %(inside)s::tsquery")
    digits = phone_digits(sign)
    if digits is not None:
        asked |= beginning("backwards", digits[::-1])
        phone = f"{boat} JOIN vessels_customerphone phone ON phone.customer_id = vessel.owner_id"
        each += [f"{phone} WHERE {way}" for way in _phone_ways(digits, asked)]
    return Ways("vessel", each, asked)


def _phone_ways(digits: str, asked: dict[str, Any]) -> list[str]:
    """How digits that were typed can stand in a number: as its last ones, as its first, or as all of it.

    The first digits are those behind the country's code of the shop, or with a code before them.
    """
    code = str(country_code_for_region(shop_region()))
    asked |= beginning("backwards", digits[::-1])
    asked |= beginning("forwards", f"+{code}{digits.removeprefix('0')}")
    asked |= beginning("abroad", f"+{digits.removeprefix('00')}")
    return [
        _begins(_BACKWARDS, "backwards"),
        _begins("phone.digits::text", "forwards"),
        _begins("phone.digits::text", "abroad"),
    ]


def _near_vessel_ways(text: str) -> Ways | None:
    """By names of the boat or its owner that come close to each word typed."""
    near = _near("vessel", text)
    if near is None:
        return None
    condition, asked = near
    boat = "FROM vessels_vessel vessel"
    own = f"{boat} JOIN vessels_vesselspelling spelling ON spelling.vessel_id = vessel.id"
    owners = f"{boat} JOIN vessels_customerspelling spelling ON spelling.customer_id = vessel.owner_id"
    return Ways("vessel", [f"{own} WHERE {condition}", f"{owners} WHERE {condition}"], asked)


def _near_customer_ways(text: str) -> Ways | None:
    near = _near("owner", text)
    if near is None:
        return None
    condition, asked = near
    joined = "FROM vessels_customer owner JOIN vessels_customerspelling spelling ON spelling.customer_id = owner.id"
    return Ways("owner", [f"{joined} WHERE {condition}"], asked)


def _near(named: str, text: str) -> tuple[str, dict[str, Any]] | None:
    """A condition on the keys of a name, and its values; None where there is no word that can be misspelled."""
    words = asked_keys(text.replace("\x00", ""))
    if not words or all(len(keys) == 1 for keys in words):
        return None
    asked = {f"near_{at}": keys for at, keys in enumerate(words)}
    return " AND ".join(f"spelling.keys && %({name})s::text[]" for name in asked), asked


class FoundCustomer(NamedTuple):
    """A customer that fits, with what shows why."""

    pk: int
    name: str
    contact: str
    phones: list[str]
    emails: list[str]
    boats: list[str]
    boat_count: int
    comes_close: bool
    """Whether it was found because its name is like what was typed, and not by what was typed."""


_CUSTOMERS = """
    SELECT customer.id AS pk, customer.name, customer.contact,
           ARRAY(SELECT phone.number::text FROM vessels_customerphone phone WHERE phone.customer_id = customer.id
                 ORDER BY phone.position, phone.id) AS phones,
           ARRAY(SELECT mail.address::text FROM vessels_customeremail mail WHERE mail.customer_id = customer.id
                 ORDER BY mail.position, mail.id) AS emails,
           ARRAY(SELECT COALESCE(NULLIF(boat.name, ''), NULLIF(concat_ws(' ', NULLIF(boat.maker, ''),
                                 NULLIF(boat.model, '')), ''), 'Vessel ' || boat.id)::text
                 FROM vessels_vessel boat WHERE boat.owner_id = customer.id
                 ORDER BY boat.name, boat.id LIMIT 3) AS boats,
           (SELECT count(*) FROM vessels_vessel boat WHERE boat.owner_id = customer.id) AS boat_count,
           %(comes_close)s::boolean AS comes_close
    FROM vessels_customer customer WHERE customer.id = ANY(ARRAY({first})) ORDER BY lower(customer.name), customer.id
"""


def found_customers(text: str, *, at_most: int) -> list[FoundCustomer]:
    """The first customers by name whose name, contact, phone or mail address fits, in one query.

    Where none fits, those whose names come close, in a second one.
    """
    for comes_close, ways in enumerate([_customer_ways(text), _near_customer_ways(text)]):
        if ways is not None:
            asked = {**ways.asked, "at_most": at_most, "comes_close": bool(comes_close)}
            found = rows(FoundCustomer, _CUSTOMERS.format(first=ways.first_keys), asked)
            if found:
                return found
    return []


def _customer_ways(text: str) -> Ways | None:
    """By mail address, or by words and phone number."""
    sign = identifier(text)
    owner = "FROM vessels_customer owner"
    if "@" in sign:
        mail = f"{owner} JOIN vessels_customeremail mail ON mail.customer_id = owner.id"
        return Ways(
            "owner", [f"{mail} WHERE {_begins('lower(mail.address::text)', 'mail')}"], beginning("mail", sign.lower())
        )
    words, digits = word_pattern(text), phone_digits(sign)
    if words is None:
        return None
    asked: dict[str, Any] = {"words": words}
    each = [f"{owner} WHERE {_OWNER_WORDS} @@ {_SOUGHT}"]
    if digits is not None:
        phone = f"{owner} JOIN vessels_customerphone phone ON phone.customer_id = owner.id"
        each += [f"{phone} WHERE {way}" for way in _phone_ways(digits, asked)]
    return Ways("owner", each, asked)


def word_pattern(text: str) -> str | None:
    """A search for text in which every word begins with one of the typed words, or None without any word."""
    words = re.findall(r"\w+", text)
    return " & ".join(f"{word}:*" for word in words[:8]) if words else None


def word_query(text: str) -> SearchQuery | None:
    """The same for a queryset."""
    pattern = word_pattern(text)
    return None if pattern is None else SearchQuery(pattern, search_type="raw", config=WORDS)


def phone_digits(text: str) -> str | None:
    """The digits of what can be a phone number, or None."""
    digits = re.sub(r"[\s().+/-]", "", text)
    return digits if digits.isascii() and digits.isdigit() and len(digits) >= LEAST_DIGITS else None


def possible_duplicates(name: str, dialed: list[str], *, but: Customer | None = None) -> QuerySet[Customer]:
    """Customers who may be the same: the same name, or one of the same phones."""
    same_name = (
        Customer.objects.annotate(low=Lower("name")).filter(low=name.strip().lower()).order_by().values_list("pk")
    )
    same_phone = CustomerPhone.objects.filter(digits__in=dialed).order_by().values_list("customer")
    found = Customer.objects.filter(pk__in=same_name.union(same_phone)).prefetch_related("phones")
    if but is not None:
        found = found.exclude(pk=but.pk)
    return found.order_by(Lower("name"), "pk")[:5]
