"""Boats and customers that fit, and why."""

from __future__ import annotations

import re
from collections.abc import Callable

from shopfloor.search.found import FEW, Group, Hit, has_digit, list_of
from vessels.models.searching import squeeze
from vessels.queries.finding import LEAST_DIGITS, FoundCustomer, found_customers, identifier, phone_digits
from web.addresses import address_of
from workorders.queries.finding import FoundBoat, found_boats

CLOSE = "similar spelling"


def vessels(text: str) -> Group:
    """Vessels by anything that people know of them."""
    boats = found_boats(text, at_most=FEW + 1)
    hits = [_vessel_hit(boat, text) for boat in boats[:FEW]]
    return Group("Vessels", "vessels", hits, len(boats) > FEW, list_of("vessels:list", text))


def _vessel_hit(boat: FoundBoat, text: str) -> Hit:
    tight = squeeze(identifier(text))
    serials = [squeeze(engine.serial) for engine in boat.engines] if has_digit(text) else []
    is_hin = bool(boat.hin) and tight in {squeeze(boat.hin), squeeze(boat.hin)[-12:]}
    return Hit(
        str(boat),
        address_of("vessels:vessel", boat.pk),
        " · ".join(word for word in [boat.owner, boat.what, boat.berth] if word),
        _why_vessel(boat, text),
        jobs=tuple(boat.open_jobs),
        is_exact=is_hin or (len(tight) >= 4 and tight in serials),
    )


def _why_vessel(boat: FoundBoat, text: str) -> str:
    """What of the boat fits, where neither its name nor its owner's shows it."""
    if boat.comes_close:
        return CLOSE
    sign = identifier(text)
    tight = squeeze(sign)

    def begins(value: str) -> bool:
        return squeeze(value).startswith(tight)

    ways: list[tuple[str, str, Callable[[str], bool]]] = [
        ("HIN", boat.hin, lambda value: _is_in_hin(value, tight)),
        ("registration", boat.registration, begins),
        ("berth", boat.berth, begins),
    ]
    if has_digit(text):
        ways += [(f"{engine.where.lower()} engine, serial", engine.serial, begins) for engine in boat.engines]
    if phone_digits(sign) is not None:
        ways += [("phone", phone, lambda value: _is_in_number(value, sign)) for phone in boat.phones]
    reasons = [f"{label} {value}" for label, value, fits in ways if value and fits(value)]
    if not reasons and not word_fits(f"{boat.name} {boat.what} {boat.owner}", text):
        reasons = [
            f"{engine.where.lower()} engine {engine.maker} {engine.model}".rstrip()
            for engine in boat.engines
            if all(word_fits(f"{engine.maker} {engine.model}", word) for word in text.split())
        ]
    return ", ".join(reasons)


def _is_in_hin(hin: str, tight: str) -> bool:
    """Whether a hull number begins with it, with or without the country, or has it inside."""
    whole = squeeze(hin)
    return whole.startswith(tight) or whole[-12:].startswith(tight) or (len(tight) >= 4 and tight in whole[-11:])


def _is_in_number(number: str, text: str) -> bool:
    digits, wanted = re.sub(r"\D", "", number), re.sub(r"\D", "", text)
    if len(wanted) < LEAST_DIGITS or re.search(r"[^\W\d]", text):
        return False
    begins = any(digits.startswith(wanted[code:]) for code in range(4) if len(wanted) - code >= LEAST_DIGITS)
    return begins or digits.endswith(wanted) or wanted.endswith(digits)


def customers(text: str) -> Group:
    """Customers by name, contact, phone or mail address."""
    found = found_customers(text, at_most=FEW + 1)
    hits = [_customer_hit(customer, text) for customer in found[:FEW]]
    return Group("Customers", "customers", hits, len(found) > FEW, list_of("vessels:customers", text))


def _customer_hit(customer: FoundCustomer, text: str) -> Hit:
    sign, beyond = identifier(text), customer.boat_count - len(customer.boats)
    shown = ", ".join(customer.boats) + (f" and {beyond} more" if beyond else "")
    matched: list[str] = [CLOSE] if customer.comes_close else []
    if phone_digits(sign) is not None:
        matched += [f"phone {phone}" for phone in customer.phones if _is_in_number(phone, sign)]
    elif "@" in sign:
        matched += [mail for mail in customer.emails if mail.lower().startswith(sign.lower())]
    elif customer.contact and word_fits(customer.contact, text) and not word_fits(customer.name, text):
        matched.append(f"contact {customer.contact}")
    url = address_of("vessels:customer", customer.pk)
    return Hit(customer.name, url, shown or "no boat on record", ", ".join(matched))


def word_fits(value: str, text: str) -> bool:
    """Whether some word of the value begins with some word typed."""
    begins = [word.lower() for word in re.findall(r"\w+", text)]
    return any(word.lower().startswith(begin) for word in re.findall(r"\w+", value) for begin in begins)
