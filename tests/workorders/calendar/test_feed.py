"""The calendar feed, read back with the library and held to RFC 5545 and RFC 7986 by their sections."""

from __future__ import annotations

import re
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import lxml.html
import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from staff.doors.models import Counter
from staff.models import Person
from staff.queries import shop_profile
from tests.asking import asked
from tests.workorders.counter import signed_in
from vessels.actions import log_hours
from vessels.models import Engine, Vessel
from workorders.calendar import sources, writing
from workorders.calendar.actions import add_feed, new_key, renew_feed, revoke_feed
from workorders.calendar.models import CalendarFeed, EventTold
from workorders.calendar.sources import Event, Source
from workorders.calendar.writing import Written
from workorders.models import Job
from workorders.upkeep.actions import add_plan, adopt_plans

pytestmark = pytest.mark.django_db
H = Decimal


@pytest.fixture
def kept() -> Any:
    """The sources of one test alone."""
    before = dict(sources._sources._pieces)
    yield sources._sources._pieces
    sources._sources._pieces.clear()
    sources._sources._pieces.update(before)


def given(*events: Event, key: str = "planned", title: str = "Appointments") -> Source:
    return Source(key, title, lambda asked_for: events)


def feed_of(person: Person, **more: Any) -> tuple[CalendarFeed, str]:
    key = new_key()
    names = [source.key for source in sources.sources()]
    return add_feed(by=person, name="Phone", sources=names, key=key, **more), key


def fetched(key: str, **headers: str) -> Any:
    return Client().get(reverse("calendar:feed", args=[key]), headers=headers)


def events_of(answer: Any) -> dict[str, Any]:
    read = icalendar.Calendar.from_ical(answer.getvalue())
    return {str(event["SUMMARY"]): event for event in read.walk("VEVENT")}


def promise(job: Job, day: date | None) -> None:
    Job.objects.filter(pk=job.pk).update(promised_on=day)


def test_it_keeps_to_the_standard(cast, kept):
    """Sections of RFC 5545 where no other is named."""
    zone = ZoneInfo(shop_profile().time_zone)
    hauled = datetime(2026, 3, 9, 8, 30, tzinfo=zone)
    nasty = "Haul-out; bring \\ keys, “fenders”\r\nand\tlines\x07 \u2028" + "é漢🛥" * 40
    kept.clear()
    sources.register(
        given(
            Event(key="a", title=nasty, starts=hauled, ends=hauled + timedelta(hours=2), words=nasty,
                  place="Lift, 2; B",
                  is_free=False, path="/jobs/1/"),
            Event(key="b", title="Yard days", starts=date(2026, 12, 31), ends=date(2027, 1, 2)),
            Event(key="c", title="No length", starts=hauled, ends=hauled),
            Event(key="d", title="Backwards", starts=date(2026, 5, 2), ends=date(2026, 5, 1), is_about=True),
        )
    )  # fmt: skip
    _, key = feed_of(cast.desk)
    answer = fetched(key)
    data: bytes = answer.getvalue()
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"  # 8.1
    lines = data.split(b"\r\n")
    assert lines[-1] == b""
    assert b"\n" not in data.replace(b"\r\n", b""), "3.1: lines end with CRLF, and no bare LF stands in a text"
    assert max(map(len, lines)) <= 75, "3.1: no line is longer than 75 octets"
    for line in lines:
        line.decode()  # 3.1: a fold that parts a character is for readers that join first; ours parts none
    unfolded = data.replace(b"\r\n ", b"").decode()
    assert not re.search(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", unfolded.replace("\r\n", "")), "3.1: no controls"
    assert (lines[0], lines[-2]) == (b"BEGIN:VCALENDAR", b"END:VCALENDAR")  # 3.4
    for once in ("PRODID:-//Garboard//Calendar//EN", "VERSION:2.0", "CALSCALE:GREGORIAN"):
        assert unfolded.count(once) == 1  # 3.6, 3.7.1, 3.7.3, 3.7.4
    assert "METHOD" not in unfolded
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT1H" in unfolded  # RFC 7986, 5.7
    assert "NAME:" in unfolded  # RFC 7986, 5.1
    assert r"Haul-out\; bring \\ keys\, “fenders”\nand" in unfolded  # 3.3.11
    read = icalendar.Calendar.from_ical(data)
    assert read.errors == []
    by_name = events_of(fetched(key))
    yard, whole = by_name["Yard days"], by_name["Backwards"]
    # 3.6.1: the end of days is the day after the last; 3.8.2.2: it is later than the start
    assert (yard["DTSTART"].dt, yard["DTEND"].dt) == (date(2026, 12, 31), date(2027, 1, 3))
    assert yard["DTSTART"].params["VALUE"] == "DATE"
    assert (whole["DTSTART"].dt, whole["DTEND"].dt) == (date(2026, 5, 2), date(2026, 5, 3))
    assert "DTEND" not in by_name["No length"]
    (timed,) = [one for name, one in by_name.items() if name.startswith("Haul-out")]
    assert timed["DTSTART"].dt == hauled
    assert timed["DTSTART"].params["TZID"] == zone.key
    assert [str(one["TZID"]) for one in read.walk("VTIMEZONE")] == [zone.key]  # 3.6.5
    assert (str(timed["LOCATION"]), str(timed["TRANSP"])) == ("Lift, 2; B", "OPAQUE")  # 3.8.1.7, 3.8.2.7
    assert str(timed["URL"]).endswith("/jobs/1/")  # 3.8.4.6
    assert (str(whole["STATUS"]), str(yard["STATUS"])) == ("TENTATIVE", "CONFIRMED")  # 3.8.1.11
    assert "calculated and not agreed" in str(whole["DESCRIPTION"])
    for one in by_name.values():
        assert one["DTSTAMP"].dt.tzinfo is not None
        assert one["DTSTAMP"].dt.utcoffset() == timedelta(0)  # 3.8.7.2: in UTC
        for name in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "SEQUENCE", "LAST-MODIFIED", "CLASS"):
            assert not isinstance(one.get(name), list), "3.6.1: once at most"
        uuid.UUID(str(one["UID"]))  # RFC 7986, 5.3
    assert len({str(one["UID"]) for one in by_name.values()}) == 4  # 3.8.4.7
    kept.clear()
    empty = icalendar.Calendar.from_ical(fetched(key).getvalue())
    assert empty.subcomponents, "3.6: a calendar has at least one component"


def test_what_stays_and_what_counts_up(cast, kept):
    kept.clear()
    monday = date(2026, 11, 30)
    sources.register(given(Event(key="a", title="Sea trial", starts=monday)))
    _, key = feed_of(cast.desk)
    first = events_of(fetched(key))["Sea trial"]
    assert int(first["SEQUENCE"]) == 0
    EventTold.objects.update(revised_at=datetime(2026, 1, 1, tzinfo=UTC))
    same = events_of(fetched(key))["Sea trial"]
    assert same["DTSTAMP"].dt == datetime(2026, 1, 1, tzinfo=UTC), "3.8.7.2: not the moment of asking"
    sources.register(given(Event(key="a", title="Sea trial, short", starts=monday)))
    reworded = events_of(fetched(key))["Sea trial, short"]
    assert (reworded["UID"], int(reworded["SEQUENCE"])) == (first["UID"], 0), "3.8.7.4: words are no such change"
    assert reworded["DTSTAMP"].dt > same["DTSTAMP"].dt
    assert reworded["LAST-MODIFIED"].dt == reworded["DTSTAMP"].dt
    sources.register(given(Event(key="a", title="Sea trial", starts=monday + timedelta(days=1))))
    moved = events_of(fetched(key))["Sea trial"]
    assert (moved["UID"], int(moved["SEQUENCE"])) == (first["UID"], 1)
    sources.register(given())
    assert events_of(fetched(key)) == {}, "what was canceled drops out"
    sources.register(given(Event(key="a", title="Sea trial", starts=monday)))
    again = events_of(fetched(key))["Sea trial"]
    assert (again["UID"], int(again["SEQUENCE"])) == (first["UID"], 2), "back on its old day is a change too"


def test_what_a_feed_with_phone_numbers_adds_is_no_change_of_the_others(cast, job):
    promise(job, timezone.localdate() + timedelta(days=3))
    (_, plain), (_, with_reach) = feed_of(cast.desk), feed_of(cast.desk, with_reach=True)
    (first,), (reached,) = (events_of(fetched(key)).values() for key in (plain, with_reach))
    assert "555-0123" not in str(first.get("DESCRIPTION", ""))
    assert "555-0123" in str(reached["DESCRIPTION"])
    EventTold.objects.update(revised_at=datetime(2026, 1, 1, tzinfo=UTC))
    for key, before in [(plain, first), (with_reach, reached), (plain, first)]:
        (event,) = events_of(fetched(key)).values()
        assert event["DTSTAMP"].dt == datetime(2026, 1, 1, tzinfo=UTC), "nothing changed since"
        assert (event["UID"], event["SEQUENCE"]) == (before["UID"], before["SEQUENCE"])


def test_an_event_is_written_once_and_again_where_anything_of_it_is_another(cast, kept, settings, monkeypatch):
    kept.clear()
    monday = date(2026, 11, 30)
    both = [
        Event(key=key, title=title, starts=monday, path="/jobs/1/") for key, title in (("a", "Arrival"), ("b", "Bay"))
    ]
    sources.register(given(*both))
    _, key = feed_of(cast.desk)
    first = fetched(key).getvalue()
    made = []
    write = writing._component
    monkeypatch.setattr(writing, "_component", lambda event, *rest: made.append(event.key) or write(event, *rest))
    assert fetched(key).getvalue() == first
    assert made == []
    sources.register(given(both[0], replace(both[1], title="Bay 2")))
    assert set(events_of(fetched(key))) == {"Arrival", "Bay 2"}
    assert made == ["b"]
    settings.PUBLIC_URL = "https://other.example.com"
    assert events_of(fetched(key))["Arrival"]["URL"] == "https://other.example.com/jobs/1/"
    assert made == ["b", "a", "b"]


def test_asking_again_costs_nothing_until_something_changes(cast, job, monkeypatch):
    promise(job, timezone.localdate() + timedelta(days=3))
    feed, key = feed_of(cast.desk)
    first = fetched(key)
    tag, since = first["ETag"], first["Last-Modified"]
    # RFC 9110, 13.1.2 and 13.1.3
    assert fetched(key, if_none_match=tag).status_code == 304
    assert fetched(key, if_modified_since=since).status_code == 304
    with monkeypatch.context() as patched:
        patched.setattr(Written, "pieces", lambda _: map(pytest.fail, ["an event is written"]))
        assert fetched(key, if_none_match=tag).status_code == 304, "no event is written to say so"
    CalendarFeed.objects.filter(pk=feed.pk).update(told_at=timezone.now() - timedelta(minutes=5))
    since = fetched(key)["Last-Modified"]
    promise(job, None)
    gone = fetched(key, if_modified_since=since)
    assert gone.status_code == 200, "what dropped out has changed the calendar, though no event is newer"
    assert fetched(key, if_none_match=tag).status_code == 200
    assert Client().post(reverse("calendar:feed", args=[key])).status_code == 405
    assert Client().head(reverse("calendar:feed", args=[key])).status_code == 200


def test_promised_days_in_the_shops_calendar(cast, job):
    day = timezone.localdate() + timedelta(days=3)
    promise(job, day)
    _, key = feed_of(cast.desk)
    body = fetched(key).getvalue().decode()
    (event,) = events_of(fetched(key)).values()
    assert str(event["SUMMARY"]) == f"Promised: {cast.vessel}, job {job.number}"
    assert (event["DTSTART"].dt, event["DTEND"].dt) == (day, day + timedelta(days=1))
    for private in ("Wes Harrow", "555", "$", job.lines.get().concern):
        assert private not in body
    _, with_reach = feed_of(cast.desk, with_reach=True)
    (event,) = events_of(fetched(with_reach)).values()
    assert "Wes Harrow" in str(event["DESCRIPTION"])
    assert "555-0123" in str(event["DESCRIPTION"])
    _, own = feed_of(cast.tech, only_own=True)
    assert len(events_of(fetched(own))) == (job.technician_id == cast.tech.pk)
    Job.objects.filter(pk=job.pk).update(technician=cast.tech)
    assert len(events_of(fetched(own))) == 1
    Job.objects.filter(pk=job.pk).update(state="closed", closed_at=timezone.now())
    assert events_of(fetched(key)) == {}


def test_service_due_is_exact_by_the_calendar_and_about_by_hours(cast, job):
    today = timezone.localdate()
    yearly = add_plan(by=cast.tech, family=cast.family, name="Impeller", every_months=12)
    hours = add_plan(by=cast.tech, family=cast.family, name="Oil", every_hours=H(100))
    said = {"basis": "done", "source": "own"}
    adopt_plans(by=cast.desk, engine=cast.port, plans=[yearly], last_on=today - timedelta(days=300), **said)
    adopt_plans(
        by=cast.desk, engine=cast.port, plans=[hours], last_on=today - timedelta(days=300), last_hours=H(400), **said
    )
    for days, read in [(200, 420), (100, 450), (2, 480)]:
        log_hours(by=cast.tech, engine=cast.port, shown=H(read), happened_at=timezone.now() - timedelta(days=days))
    _, key = feed_of(cast.desk)
    found = events_of(fetched(key))
    exact, about = found[f"Service due: Impeller, {cast.vessel}"], found[f"Service about due: Oil, {cast.vessel}"]
    assert (str(exact["STATUS"]), str(about["STATUS"])) == ("CONFIRMED", "TENTATIVE")
    assert "calculated and not agreed" in str(about["DESCRIPTION"])
    assert "expected about" in str(about["DESCRIPTION"])
    assert "calculated" not in str(exact["DESCRIPTION"])
    assert "The maker’s current manual decides." in str(exact["DESCRIPTION"])


def test_the_address_is_a_secret_and_only_its_digest_is_kept(cast, caplog):
    desk = signed_in(cast.desk)
    names = [source.key for source in sources.sources()]
    sent = {"name": "Phone", "sources": names, "entry_id": str(uuid.uuid4())}
    page = desk.post(reverse("calendar:add"), sent, follow=True)
    (address,) = lxml.html.fromstring(page.content.decode()).xpath("//input[@id='feed-address']/@value")
    key = re.search(r"/calendar/(.+)\.ics$", address).group(1)
    assert len(key) == 43
    assert page["Cache-Control"].startswith("max-age=0, no-cache, no-store")
    feed = CalendarFeed.objects.get()
    assert key not in str(feed.__dict__)
    with caplog.at_level("INFO"):
        assert fetched(key).status_code == 200
    assert key not in caplog.text
    assert "/calendar/….ics" in caplog.text
    assert key in desk.get(reverse("calendar:address", args=[feed.pk])).content.decode(), "loaded again"
    assert desk.post(reverse("calendar:add"), sent, follow=True).redirect_chain == page.redirect_chain
    assert CalendarFeed.objects.count() == 1
    desk.cookies.pop("feed-address")
    later = desk.get(reverse("calendar:address", args=[feed.pk])).content.decode()
    assert "nobody can look it up" in later
    assert key not in later
    assert signed_in(cast.owner).get(reverse("calendar:address", args=[feed.pk])).status_code == 404
    fresh = desk.post(reverse("calendar:renew", args=[feed.pk]), {"entry_id": str(uuid.uuid4())}, follow=True)
    (address,) = lxml.html.fromstring(fresh.content.decode()).xpath("//input[@id='feed-address']/@value")
    newer = re.search(r"/calendar/(.+)\.ics$", address).group(1)
    assert [fetched(one).status_code for one in (key, newer)] == [404, 200]
    assert "last fetched" in desk.get(reverse("calendar:feeds")).content.decode()
    tech = signed_in(cast.tech)
    refused = tech.post(reverse("calendar:revoke", args=[feed.pk]), {"entry_id": str(uuid.uuid4())}, follow=True)
    assert "somebody else’s" in refused.content.decode()
    assert "Dora Quill" not in tech.get(reverse("calendar:feeds")).content.decode()
    refused = tech.post(reverse("calendar:renew", args=[feed.pk]), {"entry_id": str(uuid.uuid4())}, follow=True)
    assert "somebody else’s" in refused.content.decode()
    manager = signed_in(cast.manager)
    assert "Dora Quill" in manager.get(reverse("calendar:feeds")).content.decode()
    manager.post(reverse("calendar:revoke", args=[feed.pk]), {"entry_id": str(uuid.uuid4())})
    assert fetched(newer).status_code == 404


def test_who_left_the_shop_leaves_no_feed_behind(cast):
    _, key = feed_of(cast.tech)
    assert fetched(key).status_code == 200
    Person.objects.filter(pk=cast.tech.pk).update(is_active=False)
    assert fetched(key).status_code == 404


def test_guessing_and_hammering_are_slowed_down(cast, monkeypatch):
    from workorders.calendar import views

    cache.clear()
    Counter.objects.all().delete()
    _, key = feed_of(cast.desk)
    answers = [fetched(new_key()).status_code for _ in range(22)]
    assert answers == [404] * 20 + [429] * 2
    assert fetched(key).status_code == 200, "whoever knows the address is not kept waiting by others"
    monkeypatch.setattr(views, "FETCHES", views.Limit("calendar-few", 2, 3600))
    assert [fetched(key).status_code for _ in range(3)] == [200, 200, 429]
    assert fetched(key)["Retry-After"] == "3600"


def test_refusals_of_the_form_lose_nothing(cast):
    desk = signed_in(cast.desk)
    page = desk.post(reverse("calendar:add"), {"name": "Phone", "entry_id": str(uuid.uuid4())})
    assert page.status_code == 422
    assert 'value="Phone"' in page.content.decode()
    strange = desk.post(reverse("calendar:add"), {"name": "X", "sources": ["prices"], "entry_id": str(uuid.uuid4())})
    assert strange.status_code == 422
    feed, _ = feed_of(cast.desk)
    revoke_feed(by=cast.desk, feed=feed)
    gone = desk.post(reverse("calendar:renew", args=[feed.pk]), {"entry_id": str(uuid.uuid4())}, follow=True)
    assert "was revoked" in gone.content.decode()
    with pytest.raises(Exception, match="was revoked"):
        renew_feed(by=cast.desk, feed=feed, key=new_key())


def test_the_same_number_of_questions_for_few_and_many(cast, job):
    today = timezone.localdate()
    promise(job, today)
    plan = add_plan(by=cast.tech, family=cast.family, name="Impeller", every_months=12)

    def more(count: int) -> None:
        for number in range(count):
            boat = Vessel.objects.create(name=f"Boat {count}-{number}", owner=cast.customer)
            engine = Engine.objects.create(vessel=boat, family=cast.family)
            adopt_plans(by=cast.desk, engine=engine, plans=[plan], basis="done", last_on=today, source="own")

    more(2)
    _, key = feed_of(cast.desk, with_reach=True)
    events_of(fetched(key))
    with asked() as few:
        assert len(events_of(fetched(key))) == 3
    more(10)
    events_of(fetched(key))
    with asked() as many:
        assert len(events_of(fetched(key))) == 13
    assert many.queries == few.queries


def test_another_title_zone_or_name_is_another_calendar(cast, kept):
    kept.clear()
    monday = timezone.localdate() + timedelta(days=2)
    sources.register(given(Event(key="a", title="Sea trial", starts=monday)))
    feed, key = feed_of(cast.desk)
    tags = {fetched(key)["ETag"]}
    sources.register(given(Event(key="a", title="Sea trial, short", starts=monday)))
    tags.add(fetched(key)["ETag"])
    CalendarFeed.objects.filter(pk=feed.pk).update(name="Other")
    tags.add(fetched(key)["ETag"])
    shop = shop_profile()
    shop.time_zone = "Pacific/Auckland"
    shop.save()
    tags.add(fetched(key)["ETag"])
    assert len(tags) == 4
    assert fetched(key)["ETag"] in tags
