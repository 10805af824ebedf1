"""Finding boats and customers by anything that people know of them. Every way in has its own index; none reads a table.

Written by hand: a question of ten ways costs the ORM more than it costs the database. Beginnings are asked for as a
range between two texts, and not as a pattern, so that a plan made once holds for every text.
"""

# ruff: noqa: S608  (questions are put together from what the program says; what people typed stays a value)
from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.contrib.postgres.search import SearchQuery
from django.db.models import QuerySet
from django.db.models.expressions import RawSQL
from django.db.models.functions import Lower, Reverse

from staff.rows import positional, rows
from vessels.models import Customer, CustomerPhone, Vessel
from vessels.models.searching import WORDS, squeeze

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
    """Vessels that fit a name, phone, boat, engine, HIN, berth, registration or serial, with owners; by name."""
    first = first_vessels(text, at_most=at_most)
    if first is None:
        return Vessel.objects.none()
    chosen = Vessel.objects.filter(pk__in=RawSQL(*positional(*first)))  # noqa: S611  (values stay values)
    return chosen.select_related("owner").order_by(Lower("name"), "pk")


def matching_vessels(text: str) -> QuerySet[Vessel]:
    """The same, all of them, not yet ordered."""
    ways = _vessel_ways(text)
    if ways is None:
        return Vessel.objects.none()
    return Vessel.objects.filter(pk__in=RawSQL(*positional(ways.every_key, ways.asked)))  # noqa: S611


def first_vessels(text: str, *, at_most: int) -> tuple[str, dict[str, Any]] | None:
    """The question for the keys of the first vessels that fit, for a greater question; None where nothing can."""
    ways = _vessel_ways(text)
    if ways is None:
        return None
    return ways.first_keys, {**ways.asked, "at_most": at_most}


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
        each.append(f"{phone} WHERE {_begins(_BACKWARDS, 'backwards')}")
    return Ways("vessel", each, asked)


class FoundCustomer(NamedTuple):
    """A customer that fits, with what shows why."""

    pk: int
    name: str
    contact: str
    phones: list[str]
    emails: list[str]
    boats: list[str]
    boat_count: int


_CUSTOMERS = """
    SELECT customer.id, customer.name, customer.contact,
           ARRAY(SELECT phone.number::text FROM vessels_customerphone phone WHERE phone.customer_id = customer.id
                 ORDER BY phone.position, phone.id),
           ARRAY(SELECT mail.address::text FROM vessels_customeremail mail WHERE mail.customer_id = customer.id
                 ORDER BY mail.position, mail.id),
           ARRAY(SELECT COALESCE(NULLIF(boat.name, ''), NULLIF(concat_ws(' ', NULLIF(boat.maker, ''),
                                 NULLIF(boat.model, '')), ''), 'Vessel ' || boat.id)::text
                 FROM vessels_vessel boat WHERE boat.owner_id = customer.id ORDER BY boat.name, boat.id LIMIT 3),
           (SELECT count(*) FROM vessels_vessel boat WHERE boat.owner_id = customer.id)
    FROM vessels_customer customer WHERE customer.id = ANY(ARRAY({first})) ORDER BY lower(customer.name), customer.id
"""


def found_customers(text: str, *, at_most: int) -> list[FoundCustomer]:
    """The first customers by name whose name, contact, phone or mail address fits, in one query."""
    ways = _customer_ways(text)
    if ways is None:
        return []
    return rows(FoundCustomer, _CUSTOMERS.format(first=ways.first_keys), {**ways.asked, "at_most": at_most})


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
        asked |= beginning("backwards", digits[::-1])
        phone = f"{owner} JOIN vessels_customerphone phone ON phone.customer_id = owner.id"
        each.append(f"{phone} WHERE {_begins(_BACKWARDS, 'backwards')}")
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


def phone_search(text: str) -> QuerySet[CustomerPhone] | None:
    """Phones that end in the digits typed, or None where the text is no phone number."""
    digits = phone_digits(text)
    if digits is None:
        return None
    return CustomerPhone.objects.annotate(backwards=Reverse("digits")).filter(backwards__startswith=digits[::-1])


def twins_of_customer(name: str, dialed: list[str], *, but: Customer | None = None) -> QuerySet[Customer]:
    """Customers who may be the same: the same name, or one of the same phones."""
    same_name = (
        Customer.objects.annotate(low=Lower("name")).filter(low=name.strip().lower()).order_by().values_list("pk")
    )
    same_phone = CustomerPhone.objects.filter(digits__in=dialed).order_by().values_list("customer")
    found = Customer.objects.filter(pk__in=same_name.union(same_phone)).prefetch_related("phones")
    if but is not None:
        found = found.exclude(pk=but.pk)
    return found.order_by(Lower("name"), "pk")[:5]
