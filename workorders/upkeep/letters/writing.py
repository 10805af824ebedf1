"""The words of a letter or a mail about service due. They say what our records say, as of a day, and no more."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from typing import Any
from urllib.parse import quote

from engineering.canonical import canonical_json
from engineering.service import Standing
from staff.models import ShopProfile
from vessels.wording import date_words
from workorders.upkeep.queries.calling import BoatDue, ToRemind
from workorders.upkeep.queries.due import Due
from workorders.upkeep.wording import MANUAL_DECIDES, day_words_of, head_words, last_words, reasons

Record = dict[str, Any]
FORMAT = "reminder letter 1"
LONGEST_ADDRESS = 1900
"""Programs cut longer addresses. Common practice, no source."""
COMING = "Coming up"


def record_of(due: ToRemind, shop: ShopProfile, *, today: date, until: date | None) -> Record:
    """A letter as plain data: all of it in words, as it will be printed."""
    return {
        "format": FORMAT,
        "on": today.isoformat(),
        "on_words": date_words(today),
        "until": until.isoformat() if until else "",
        "until_words": date_words(until) if until else "",
        "time_zone": shop.time_zone,
        "shop": {"name": shop.name, "address": shop.address, "phone": shop.phone, "email": shop.email},
        "customer": {"name": due.owner.name, "contact": due.owner.contact, "address": due.owner.address},
        "boats": [_boat(boat) for boat in due.boats],
    }


def as_text(record: Record) -> str:
    """The record in its one spelling."""
    return canonical_json(record).decode()


def from_text(text: str) -> Record:
    """The record that was kept."""
    kept: Record = json.loads(text)
    return kept


def _boat(boat: BoatDue) -> Record:
    return {
        "vessel": boat.vessel_id,
        "name": boat.vessel,
        "services": [_service(due) for due in boat.due],
        "not_known": [_service(due) for due in boat.not_known],
        "besides": [{"title": title, "sentences": list(sentences)} for title, sentences in boat.besides],
    }


def _service(due: Due) -> Record:
    one = due.followed
    return {
        "service": one.plan,
        "engine": one.engine,
        "how_often": f"{'the first after' if one.is_first else 'every'} {one.interval_words}",
        "stands": COMING if due.standing is Standing.NOT_DUE else head_words(due),
        "day": day_words_of(due),
        "last": last_words(due),
        "why": reasons(due),
    }


def told_of(boat: Record) -> str:
    """What an owner was told of one boat, as the note of a reminder keeps it."""
    services: Sequence[Record] = [*boat["services"], *boat["not_known"]]
    told = [f"{one['service']} ({one['engine']}): {one['stands'].lower()}. {' '.join(one['why'])}" for one in services]
    told += [f"{part['title']}: {sentence}" for part in boat["besides"] for sentence in part["sentences"]]
    return "\n".join(told)


def salutation(record: Record) -> str:
    """Whom it begins with."""
    customer = record["customer"]
    return f"Dear {customer['contact'] or customer['name']},"


def opening(record: Record) -> str:
    """What the list that follows is."""
    boats = "your boat" if len(record["boats"]) == 1 else "your boats"
    if record["until_words"]:
        return (
            f"This is the service of {boats} that is overdue or due, or will come to be due by "
            f"{record['until_words']}, as our records stood on {record['on_words']}:"
        )
    which = "that is overdue, due or due soon"
    return f"This is the service of {boats} {which}, as our records stood on {record['on_words']}:"


def closing(record: Record) -> list[str]:
    """What is asked of the owner, a paragraph each."""
    shop = record["shop"]
    reach = " or ".join(
        [f"call {shop['phone']}"] * bool(shop["phone"]) + [f"write to {shop['email']}"] * bool(shop["email"])
    )
    here = "If your boat is not" if len(record["boats"]) == 1 else "For boats that are not"
    return [
        "If your engine has run more hours since we last read its meter, or had this service done elsewhere, please "
        f"tell us: then we correct our records. {MANUAL_DECIDES}",
        f"{here} with us at the moment, please {reach or 'come by'} for an appointment. If you want no such reminders, "
        "tell us, and we send none.",
    ]


def subject_of(record: Record) -> str:
    """The subject of a mail."""
    names = [boat["name"] for boat in record["boats"]]
    return f"Service due: {names[0]}" if len(names) == 1 else f"Service due: {len(names)} boats"


def mail_text(record: Record) -> str:
    """The body of a mail: the letter as plain text."""
    parts = [salutation(record), opening(record)]
    for boat in record["boats"]:
        parts.append(boat["name"])
        parts += [_mail_service(one) for one in boat["services"]]
        if boat["not_known"]:
            parts.append("Of this we do not know where it stands:")
            parts += [_mail_service(one) for one in boat["not_known"]]
        for section in boat["besides"]:
            parts.append("\n".join([f"{section['title']}:", *(f"- {one}" for one in section["sentences"])]))
    parts += closing(record)
    shop = record["shop"]
    parts.append("\n".join(part for part in (shop["name"], shop["address"]) if part))
    return "\n\n".join(parts) + "\n"


def _mail_service(one: Record) -> str:
    day = f" ({one['day']})" if one["day"] else ""
    said = [f"- {one['service']}, {one['engine']}, {one['how_often']}: {one['stands'].lower()}{day}"]
    said += [f"  {sentence}" for sentence in [f"{_capital(one['last'])}.", *one["why"]]]
    return "\n".join(said)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def mail_address(record: Record, address: str) -> str:
    """A mailto address (RFC 6068) with subject and body; without the body where programs would cut it."""
    to = quote(address, safe="@")
    subject = quote(subject_of(record), safe="")
    body = quote(mail_text(record).replace("\n", "\r\n"), safe="")
    whole = f"mailto:{to}?subject={subject}&body={body}"
    return whole if len(whole) <= LONGEST_ADDRESS else f"mailto:{to}?subject={subject}"
