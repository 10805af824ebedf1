"""Events as iCalendar (RFC 5545, with NAME and REFRESH-INTERVAL of RFC 7986)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from zoneinfo import ZoneInfo

from icalendar import Calendar, Timezone
from icalendar import Event as Component

from workorders.calendar.models import EventTold
from workorders.calendar.sources import Event

PRODUCT = "-//Garboard//Calendar//EN"  # 3.7.3, as a formal public identifier
END = b"END:VCALENDAR\r\n"
FORMAT = 1
"""Goes up with every change of how an event is written, here or by the library: then all are written once more."""
STEP = 500
AGAIN_AFTER = timedelta(hours=1)
ABOUT = "This day is calculated and not agreed."
Named = tuple[str, str, Event]
# 3.1: no control characters in a text but the tab; a line end is written as \\n.
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x85\u2028\u2029]")


@dataclass(frozen=True)
class Written:
    """A calendar as it will be written, and what tells whether it is another: ``digest`` over all that goes in."""

    head: bytes
    events: Sequence[Named]
    told: Mapping[str, EventTold]
    zone: ZoneInfo
    site: str

    @property
    def digest(self) -> str:
        """SHA-256 in hex, without writing a single event: what is told of each covers its content."""
        found = hashlib.sha256(self.head)
        found.update(self.site.encode())
        for key, category, _ in self.events:
            one = self.told[key]
            found.update(f"{key}\n{category}\n{one.uid} {one.sequence} {one.revised_at} {one.digest}\n".encode())
        return found.hexdigest()

    def pieces(self) -> Iterator[bytes]:
        """The calendar, some events at a time: it may be long. What is kept as it would be written is not made again.

        A query for each of these pieces, and another one where something of it had to be written.
        """
        yield self.head
        remaining = iter(self.events)
        while some := list(islice(remaining, STEP)):
            yield b"".join(self._written(some))
        yield END

    def _written(self, some: Sequence[Named]) -> list[bytes]:
        keys = [key for key, _, _ in some]
        rows = EventTold.objects.filter(key__in=keys).values_list("key", "written_from", "written")
        kept = {key: (made_from, text) for key, made_from, text in rows}
        texts, made = [], []
        for key, category, event in some:
            made_from = self._made_from(key, category)
            known_from, text = kept.get(key, ("", ""))
            if known_from != made_from:
                text = _component(event, self.told[key], category, self.zone, self.site).to_ical().decode()
                made.append(_kept(self.told[key], made_from, text))
            texts.append(text.encode())
        if made:
            EventTold.objects.bulk_create(
                made, update_conflicts=True, unique_fields=["key"], update_fields=["written_from", "written"]
            )
        return texts

    def _made_from(self, key: str, category: str) -> str:
        """The digest of all that an event is written from: what is told of it covers its content."""
        one = self.told[key]
        parts = [FORMAT, category, self.zone.key, self.site, one.uid, one.sequence, one.revised_at, one.digest]
        return hashlib.sha256("\n".join(map(str, parts)).encode()).hexdigest()


def calendar_of(
    events: Sequence[Named],
    told: Mapping[str, EventTold],
    *,
    name: str,
    zone: ZoneInfo,
    days: tuple[date, date],
    site: str,
) -> Written:
    """A calendar of events, each with its key and the title of its source. ``site``: what paths are below."""
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("name", _plain(name))
    made.add("refresh-interval", AGAIN_AFTER, parameters={"VALUE": "DURATION"})
    # 3.6.5; and with it a calendar without any event still has the component that 3.6 asks for.
    made.add_component(Timezone.from_tzid(zone.key, first_date=days[0], last_date=days[1] + timedelta(days=366)))
    whole: bytes = made.to_ical()
    head = whole.removesuffix(END)
    if head == whole:
        raise ValueError("The calendar does not end as RFC 5545, 3.4 has it.")
    return Written(head, events, told, zone, site)


def _kept(told: EventTold, made_from: str, text: str) -> EventTold:
    """A row beside the one that was told, so that the texts of a long calendar are not all held at once."""
    return EventTold(
        key=told.key, uid=told.uid, digest=told.digest, when_digest=told.when_digest, sequence=told.sequence,
        revised_at=told.revised_at, written_from=made_from, written=text,
    )  # fmt: skip


def _component(event: Event, told: EventTold, category: str, zone: ZoneInfo, site: str) -> Component:
    one = Component()
    one.add("uid", f"{told.uid}")
    one.add("dtstamp", told.revised_at.astimezone(UTC))
    one.add("last-modified", told.revised_at.astimezone(UTC))
    one.add("sequence", told.sequence)
    if isinstance(event.starts, datetime):
        one.add("dtstart", event.starts.astimezone(zone))
        if isinstance(event.ends, datetime) and event.ends > event.starts:  # 3.8.2.2: later than the start
            one.add("dtend", event.ends.astimezone(zone))
    else:
        one.add("dtstart", event.starts)
        last = event.ends if event.ends is not None and not isinstance(event.ends, datetime) else event.starts
        one.add("dtend", max(last, event.starts) + timedelta(days=1))  # 3.6.1: the end is not part of it
    one.add("summary", _plain(event.title))
    said = [event.words, ABOUT if event.is_about else "", event.reach]
    if description := "\n".join(_plain(text) for text in said if text):
        one.add("description", description)
    if event.place:
        one.add("location", _plain(event.place))
    if event.path:
        one.add("url", f"{site}{event.path}")
    one.add("categories", [_plain(category)])
    one.add("status", "TENTATIVE" if event.is_about else "CONFIRMED")
    one.add("transp", "TRANSPARENT" if event.is_free else "OPAQUE")
    return one


def _plain(text: str) -> str:
    return _CONTROLS.sub(" ", text.replace("\r\n", "\n").replace("\r", "\n"))
