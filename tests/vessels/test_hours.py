"""Hour meters: an engine's true hours only grow, whatever its meters show and in whatever order readings arrive."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from commands.refusals import Refused
from tests.cast import Cast
from vessels import actions
from vessels.hours import unread_since
from vessels.models import HourMeter, HourReading, LogEntry
from vessels.queries import hours_at, hours_by_engine, latest_hours


def days_ago(days: float) -> datetime:
    return timezone.now() - timedelta(days=days)


def read(cast: Cast, shown: str, days: float = 0) -> LogEntry:
    return actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(shown), happened_at=days_ago(days))


def test_a_reading_tells_the_hours(cast: Cast) -> None:
    assert latest_hours(cast.port) is None
    entry = read(cast, "1204.5")
    assert entry.engine_hours == Decimal("1204.5")
    assert HourReading.objects.get(pk=entry.pk).shown == Decimal("1204.5")
    assert latest_hours(cast.port) == entry
    assert latest_hours(cast.starboard) is None


def test_a_lower_value_is_refused_with_what_can_be_done(cast: Cast) -> None:
    read(cast, "1204.5", days=3)
    with pytest.raises(Refused) as refusal:
        read(cast, "1180")
    sentence = refusal.value.fields["shown"]
    for words in ["1,204.5 h", "1,180 h is less", "meter was replaced", "read this earlier", "void it"]:
        assert words in sentence
    assert cast.vessel.log.count() == 1


def test_a_late_reading_that_fits_is_welcome(cast: Cast) -> None:
    read(cast, "1000", days=30)
    newest = read(cast, "1100", days=1)
    late = read(cast, "1050", days=10)
    assert late.is_late
    assert latest_hours(cast.port) == newest
    with pytest.raises(Refused, match="after this reading"):
        read(cast, "1101", days=9)
    with pytest.raises(Refused, match="is less"):
        read(cast, "1049", days=9)


def test_equal_hours_are_no_step_back(cast: Cast) -> None:
    read(cast, "1000", days=30)
    assert read(cast, "1000", days=2).engine_hours == 1000


def test_a_replaced_meter_goes_on(cast: Cast) -> None:
    read(cast, "1204.5", days=20)
    meter = actions.replace_meter(
        by=cast.tech, engine=cast.port, old_shown=Decimal("1210"), new_shown=Decimal("2"), happened_at=days_ago(10)
    )
    assert meter.engine_hours_when_fitted == 1210
    assert read(cast, "12", days=5).engine_hours == 1220
    assert hours_at(cast.port, Decimal("20")) == 1228
    assert hours_at(cast.port, Decimal("1205"), at=days_ago(15)) == 1205
    assert read(cast, "1206", days=15).engine_hours == 1206
    with pytest.raises(Refused, match="is less"):
        read(cast, "1", days=1)


def test_meters_are_replaced_in_order(cast: Cast) -> None:
    actions.replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(100), happened_at=days_ago(10))
    with pytest.raises(Refused, match="after this"):
        actions.replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(5), happened_at=days_ago(20))
    actions.replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(7), happened_at=days_ago(5))
    assert hours_at(cast.port, Decimal(3)) == 110


def replaced_unread(cast: Cast, *, days: float = 10, **told: Any) -> LogEntry:
    meter = actions.replace_meter(by=cast.tech, engine=cast.port, happened_at=days_ago(days), **told)
    assert meter.engine == cast.port
    return cast.port.log.filter(kind="meter-replaced").latest("position")


class TestAMeterThatWasNotRead:
    """A dead meter is why it is replaced. Nobody knows then what the engine had run, and the program says so."""

    def test_no_hours_are_made_up(self, cast: Cast) -> None:
        last = read(cast, "500", days=200)
        entry = replaced_unread(cast)
        assert entry.engine_hours is None
        assert entry.summary == (
            "Hour meter replaced; the old one was not read, the new one began at 0 h. The engine’s hours are not known."
        )
        assert latest_hours(cast.port) == last  # the last that are known, with their own day
        assert hours_at(cast.port, Decimal(20)) is None
        assert unread_since(cast.port) == entry.happened_at
        assert unread_since(cast.port, days_ago(11)) is None

    def test_it_needs_no_hours_from_before(self, cast: Cast) -> None:
        assert replaced_unread(cast).engine_hours is None

    def test_the_new_meter_is_read_for_itself(self, cast: Cast) -> None:
        read(cast, "500", days=200)
        replaced_unread(cast)
        entry = read(cast, "12", days=5)
        assert entry.engine_hours is None
        assert entry.summary == "Port: meter shows 12 h. The engine’s hours are not known."
        assert HourReading.objects.get(pk=entry.pk).shown == 12
        with pytest.raises(Refused, match="The meter showed 12 h"):
            read(cast, "11", days=4)
        with pytest.raises(Refused, match="after this, the meter showed 12 h"):
            read(cast, "13", days=6)
        assert read(cast, "12", days=4).engine_hours is None

    def test_less_than_it_began_at_is_refused(self, cast: Cast) -> None:
        replaced_unread(cast, new_shown=Decimal(3))
        with pytest.raises(Refused, match="began at 3 h"):
            read(cast, "2.9", days=5)

    def test_before_the_replacement_the_hours_stay_known(self, cast: Cast) -> None:
        read(cast, "500", days=200)
        replaced_unread(cast)
        assert read(cast, "510", days=100).engine_hours == 510

    def test_what_knows_them_may_tell_them(self, cast: Cast) -> None:
        """The control unit counts too: with its figure and a word of where it is from, the hours are known again."""
        read(cast, "500", days=200)
        entry = replaced_unread(cast, told_hours=Decimal("612.4"), text="From the control unit.")
        assert entry.engine_hours == Decimal("612.4")
        assert entry.summary == (
            "Hour meter replaced; the old one was not read, the new one began at 0 h. "
            "The engine’s hours were put at 612.4 h."
        )
        assert read(cast, "10", days=2).engine_hours == Decimal("622.4")

    def test_they_may_be_told_later(self, cast: Cast) -> None:
        replaced_unread(cast)
        before = read(cast, "5", days=5)
        told = actions.log_hours(
            by=cast.tech, engine=cast.port, shown=Decimal(9), told_hours=Decimal(709), text="Control unit.",
            happened_at=days_ago(3),
        )  # fmt: skip
        assert (before.engine_hours, told.engine_hours) == (None, 709)
        assert hours_at(cast.port, Decimal(12)) == 712
        actions.retract(by=cast.tech, entry=told, reason="That was the other engine.")
        assert hours_at(cast.port, Decimal(12)) is None

    @pytest.mark.parametrize(
        ("told", "text", "field", "words"),
        [
            ("612", "", "text", "where"),
            ("490", "The owner’s book.", "told_hours", "is less"),
            ("999999", "The owner’s book.", "told_hours", "No engine runs that long"),
        ],
    )
    def test_what_is_told_has_to_be_possible(self, cast: Cast, told: str, text: str, field: str, words: str) -> None:
        read(cast, "500", days=200)
        with pytest.raises(Refused) as refusal:
            replaced_unread(cast, told_hours=Decimal(told), text=text)
        assert words in refusal.value.fields[field]
        assert not cast.port.log.filter(kind="meter-replaced").exists()

    def test_a_meter_that_was_read_is_not_talked_over(self, cast: Cast) -> None:
        with pytest.raises(Refused, match="already shows the engine hours"):
            replaced_unread(cast, old_shown=Decimal(500), told_hours=Decimal(900), text="A guess.")
        with pytest.raises(Refused, match="already shows the engine hours"):
            actions.log_hours(by=cast.tech, engine=cast.port, shown=Decimal(5), told_hours=Decimal(9), text="A guess.")

    def test_a_second_replacement_knows_no_more(self, cast: Cast) -> None:
        replaced_unread(cast, days=20)
        entry = replaced_unread(cast, days=10, old_shown=Decimal(40))
        assert entry.engine_hours is None
        assert "the old one showed 40 h" in entry.summary

    def test_the_pages_say_so(self, desk: Client, cast: Cast) -> None:
        read(cast, "500", days=200)
        url = reverse("vessels:meter-replace", args=[cast.port.pk])
        page = desk.post(url, {"old_shown": "", "new_shown": "0"}, follow=True).content.decode()
        assert "The new meter is on record. The engine’s hours are not known since" in page
        assert "not read, then 0 h" in page
        assert "Engine’s hours in all" in page
        page = desk.post(reverse("vessels:hours", args=[cast.port.pk]), {"shown": "3"}, follow=True).content.decode()
        assert "Logged. The engine’s hours are not known since" in page
        assert "The engine has 500 h now" not in page
        log = desk.get(reverse("vessels:log", args=[cast.vessel.pk])).content.decode()
        assert "The old meter was not read." in log
        assert "the last known hours" not in log


def test_a_meter_is_not_replaced_in_the_middle_of_readings(cast: Cast) -> None:
    read(cast, "500", days=2)
    with pytest.raises(Refused, match="after this") as refusal:
        actions.replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(490), happened_at=days_ago(5))
    assert "happened_at" in refusal.value.fields
    with pytest.raises(Refused, match="is less"):
        actions.replace_meter(by=cast.tech, engine=cast.port, old_shown=Decimal(490))
    assert HourMeter.objects.filter(engine=cast.port).count() == 1


def test_an_engine_with_a_second_meter_from_the_beginning(cast: Cast) -> None:
    engine = actions.add_engine(
        by=cast.tech, vessel=cast.vessel, position="generator", meter_shown=Decimal(40), true_hours=Decimal(1040)
    )
    assert latest_hours(engine).engine_hours == 1040  # type: ignore[union-attr]
    assert hours_at(engine, Decimal(50)) == 1050


def test_a_reading_from_before_the_engine_was_known_here(cast: Cast) -> None:
    engine = actions.add_engine(by=cast.tech, vessel=cast.vessel, position="generator", meter_shown=Decimal(400))
    old = actions.log_hours(by=cast.tech, engine=engine, shown=Decimal(250), happened_at=days_ago(400))
    assert old.engine_hours == 250


def test_the_last_hours_of_many_engines_in_one_query(cast: Cast, django_assert_num_queries: object) -> None:
    read(cast, "100", days=3)
    last = read(cast, "110", days=1)
    with django_assert_num_queries(1):  # type: ignore[operator]
        known = hours_by_engine([cast.port, cast.starboard])
    assert known == {cast.port.pk: (cast.port.pk, last.pk, last.engine_hours, last.happened_at, False)}


READINGS = st.lists(st.tuples(st.integers(0, 50), st.integers(0, 3000)), min_size=1, max_size=12)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(READINGS)
def test_hours_never_run_backwards(cast: Cast, readings: list[tuple[int, int]]) -> None:
    """Whatever arrives in whatever order: what is accepted grows with time, and what fits everything is accepted."""
    begin = days_ago(100)
    with transaction.atomic():
        kept: list[tuple[datetime, Decimal]] = []
        for day, shown in readings:
            when, value = begin + timedelta(days=day), Decimal(shown)
            fits = all(h <= value for at, h in kept if at <= when) and all(h >= value for at, h in kept if at > when)
            try:
                actions.log_hours(by=cast.tech, engine=cast.port, shown=value, happened_at=when)
            except Refused:
                assert not fits
            else:
                assert fits
                kept.append((when, value))
        stored = list(
            cast.port.log.filter(kind="hours")
            .order_by("happened_at", "position")
            .values_list("engine_hours", flat=True)
        )
        assert stored == sorted(stored)
        assert len(stored) == len(kept)
        transaction.set_rollback(True)


@pytest.fixture
def desk(cast: Cast, client: Client) -> Client:
    client.force_login(cast.desk)
    return client


def test_the_page_logs_and_tells(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:hours", args=[cast.port.pk])
    answer = desk.post(url, {"shown": "1204,5"}, follow=True)
    page = answer.content.decode()
    assert "The engine has 1,204.5 h now." in page
    answer = desk.post(url, {"shown": "1180", "text": "at the dock"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "If the meter was replaced, log that first" in page
    assert reverse("vessels:meter-replace", args=[cast.port.pk]) in page
    assert "at the dock" in page


def test_hours_that_outrun_the_clock_are_asked_about(desk: Client, cast: Cast) -> None:
    read(cast, "1204.5", days=2)
    url = reverse("vessels:hours", args=[cast.port.pk])
    assert "really shows this" not in desk.get(url).content.decode()
    answer = desk.post(url, {"shown": "12100"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "a decimal point may be missing" in page
    assert "The meter really shows this" in page
    assert cast.vessel.log.count() == 1
    assert desk.post(url, {"shown": "12100", "really": "on"}).status_code == 302
    assert latest_hours(cast.port).engine_hours == 12100  # type: ignore[union-attr]


def test_a_meter_that_tells_its_own_hours_alone_does_not_outrun_the_clock_either(desk: Client, cast: Cast) -> None:
    actions.replace_meter(by=cast.tech, engine=cast.port, new_shown=Decimal(0), happened_at=days_ago(20))
    read(cast, "12.5", days=2)
    url = reverse("vessels:hours", args=[cast.port.pk])
    answer = desk.post(url, {"shown": "1234.5"})
    assert answer.status_code == 422
    assert "1,222 h more than the 12.5 h of" in answer.content.decode()
    assert desk.post(url, {"shown": "1234.5", "really": "on"}).status_code == 302


def test_an_impossible_figure_is_told_what_to_enter_and_of_which_engine(desk: Client, cast: Cast) -> None:
    url = reverse("vessels:hours", args=[cast.port.pk])
    page = desk.post(url, {"shown": "-5"}).content.decode()
    assert "Hour meter shows (port): Enter the hours as the meter shows them, such as 412.5." in page
    assert "No less than" not in page


def test_the_table_shows_hours_over_time(desk: Client, cast: Cast) -> None:
    read(cast, "1000", days=30)
    wrong = read(cast, "1090", days=20)
    actions.retract(by=cast.tech, entry=wrong, reason="Misread.")
    actions.replace_meter(
        by=cast.tech, engine=cast.port, old_shown=Decimal(1030), new_shown=Decimal(0), happened_at=days_ago(10)
    )
    read(cast, "4.5", days=1)
    page = desk.get(reverse("vessels:hours", args=[cast.port.pk]))
    rows = [(row.shown.entry.engine_hours, row.since) for row in page.context["over_time"].rows]
    assert rows == [
        (Decimal("1034.5"), Decimal("4.5")), (Decimal(1030), Decimal(30)), (Decimal(1090), None), (Decimal(1000), None),
    ]  # fmt: skip
    assert "voided" in page.content.decode()
    assert "Hour meter replaced" in page.content.decode()


def test_the_meter_page(desk: Client, cast: Cast) -> None:
    read(cast, "500", days=2)
    url = reverse("vessels:meter-replace", args=[cast.port.pk])
    answer = desk.post(url, {"old_shown": "400", "new_shown": "0"})
    assert answer.status_code == 422
    assert "400 h on the old meter is less" in answer.content.decode()
    assert desk.post(url, {"old_shown": "505", "new_shown": "0"}).status_code == 302
    assert latest_hours(cast.port).engine_hours == 505  # type: ignore[union-attr]


def test_a_reading_of_the_future_is_refused_by_its_field(desk: Client, cast: Cast) -> None:
    later = (timezone.now() + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M")
    answer = desk.post(reverse("vessels:hours", args=[cast.port.pk]), {"shown": "5", "happened_at": later})
    assert answer.status_code == 422
    assert "This is in the future" in answer.content.decode()


@pytest.mark.parametrize("shown", ["abc", "-3", "1,204", "", "12.34", "1234567890"])
def test_what_is_no_reading_is_explained(desk: Client, cast: Cast, shown: str) -> None:
    answer = desk.post(reverse("vessels:hours", args=[cast.port.pk]), {"shown": shown})
    assert answer.status_code == 422
    assert answer.context["form"].errors["shown"]
    assert not cast.vessel.log.exists()


@pytest.mark.parametrize("shown", ["99999999", "400000.1", "-1"])
def test_hours_that_no_engine_runs_are_refused(cast: Cast, shown: str) -> None:
    with pytest.raises(Refused) as refusal:
        read(cast, shown)
    assert "No engine runs that long" in refusal.value.fields["shown"]
    assert latest_hours(cast.port) is None
