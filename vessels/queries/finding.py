"""Finding a boat by anything that people know of it. Every way in has its own index; none reads the whole table."""

from __future__ import annotations

import re

from django.contrib.postgres.search import SearchQuery
from django.db.models import QuerySet
from django.db.models.functions import Lower, Reverse, Right

from vessels.models import Customer, CustomerPhone, Engine, Vessel
from vessels.models.searching import WORDS, squeeze, squeezed, words_of

LEAST_DIGITS = 4
AT_MOST = 50


def find_vessels(text: str, *, at_most: int = AT_MOST) -> QuerySet[Vessel]:
    """Vessels that fit a name, phone, boat, HIN, berth, registration or engine serial, with owners; ordered by name."""
    # The few that are shown are chosen first: a word that many boats share would join every one to its owner.
    chosen = matching_vessels(text).order_by(Lower("name"), "pk").values("pk")[:at_most]
    return Vessel.objects.filter(pk__in=chosen).select_related("owner").order_by(Lower("name"), "pk")[:at_most]


def matching_vessels(text: str) -> QuerySet[Vessel]:
    """The same, all of them, not yet ordered."""
    ways = _ways(text)
    return Vessel.objects.filter(pk__in=ways[0].union(*ways[1:])) if ways else Vessel.objects.none()


def _ways(text: str) -> list[QuerySet[Vessel, int]]:
    """One query for each thing that the text can be; each gives keys of vessels."""
    typed = text.replace("\x00", "").strip()
    tight = squeeze(typed)
    if not tight:
        return []
    ways: list[QuerySet[Vessel, int]] = []
    words = word_query(typed)
    if words is not None:
        named = Vessel.objects.annotate(words=words_of("name", "maker", "model")).filter(words=words)
        owners = Customer.objects.annotate(words=words_of("name", "contact")).filter(words=words)
        ways += [_keys(named), _keys(Vessel.objects.filter(owner__in=owners.values("pk")))]
    ways.append(_keys(Vessel.objects.annotate(tight=squeezed("berth")).filter(tight__startswith=tight)))
    ways.append(_keys(Vessel.objects.annotate(tight=squeezed("registration")).filter(tight__startswith=tight)))
    if len(tight) >= 3:
        ways += [
            _keys(Vessel.objects.filter(hin__startswith=typed.upper())),
            _keys(Vessel.objects.annotate(body=Right("hin", 12)).filter(body__startswith=tight)),
            _keys(Vessel.objects.filter(pk__in=_with_serial(tight).values("vessel"))),
        ]
    phones = phone_search(typed)
    if phones is not None:
        ways.append(_keys(Vessel.objects.filter(owner__in=phones.values("customer"))))
    return ways


def _keys(vessels: QuerySet[Vessel]) -> QuerySet[Vessel, int]:
    return vessels.order_by().values_list("pk", flat=True)


def _with_serial(tight: str) -> QuerySet[Engine]:
    return Engine.objects.annotate(tight=squeezed("serial")).filter(tight__startswith=tight)


def word_query(text: str) -> SearchQuery | None:
    """A search for text in which every word begins with one of the typed words, or None without any word."""
    words = re.findall(r"\w+", text)
    if not words:
        return None
    return SearchQuery(" & ".join(f"{word}:*" for word in words[:8]), search_type="raw", config=WORDS)


def phone_search(text: str) -> QuerySet[CustomerPhone] | None:
    """Phones that end in the digits typed, or None where the text is no phone number."""
    digits = re.sub(r"[\s().+/-]", "", text)
    if not digits.isascii() or not digits.isdigit() or len(digits) < LEAST_DIGITS:
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
