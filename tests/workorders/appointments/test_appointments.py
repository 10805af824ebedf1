"""Appointments: planned, moved, settled, asked about, and the job that is opened from an arrival."""

from __future__ import annotations

import uuid
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.utils import timezone

from commands.questions import FIELD, Questions, asking
from commands.refusals import Conflict, Refused
from staff.models import ShopProfile
from staff.queries import shop_profile
from tests.asking import asked
from tests.cast import Cast
from tests.workorders.counter import signed_in
from vessels.models import Customer
from workorders.appointments.actions import (
    add_bay,
    change_appointment,
    change_bay,
    end_bay,
    keep_with_job,
    plan_appointment,
    settle_appointment,
)
from workorders.appointments.events import events
from workorders.appointments.forms import AppointmentForm
from workorders.appointments.models import Appointment, AppointmentChange, Bay
from workorders.calendar.sources import Asked
from workorders.models import Job

TOMORROW = timedelta(days=1)


@pytest.fixture
def lift(cast: Cast) -> Bay:
    return add_bay(by=cast.owner, name="Lift", note="Up to 40 ft")


def plan(cast: Cast, **said: Any) -> Appointment:
    usual = {
        "kind": "arrival",
        "day": timezone.localdate() + TOMORROW,
        "at": "09:00",
        "minutes": 60,
        "vessel": cast.vessel,
    }
    return plan_appointment(by=cast.desk, **{**usual, **said})


def refused(cast: Cast, **said: Any) -> dict[str, str]:
    with pytest.raises(Refused) as caught, transaction.atomic():
        plan(cast, **said)
    return dict(caught.value.fields) or {"": caught.value.sentence}


def test_what_cannot_be_is_refused_with_a_sentence_for_its_field(cast: Cast, lift: Bay, job: Job) -> None:
    today = timezone.localdate()
    other = type(cast.vessel).objects.create(name="Tern", owner=cast.customer)
    end_bay(by=cast.owner, bay=lift)
    for field, said in [
        ("name", {"vessel": None}),
        ("day", {"day": today + timedelta(days=800)}),
        ("day", {"day": today - timedelta(days=800)}),
        ("at", {"at": ""}),
        ("at", {"at": "25:00"}),
        ("minutes", {"minutes": None}),
        ("minutes", {"minutes": 1500}),
        ("minutes", {"minutes": 2}),
        ("at", {"when": "morning"}),
        ("days", {"days": 2}),
        ("days", {"when": "day", "at": "", "minutes": None, "days": 61}),
        ("minutes", {"when": "day", "at": ""}),
        ("kind", {"kind": "party"}),
        ("technician", {"technician": cast.desk}),
        ("bay", {"bay": lift}),
    ]:
        assert field in refused(cast, **said), said
    assert f"Job {job.number} is for another boat." in refused(cast, vessel=other, job=job).values()
    assert not Appointment.objects.exists()


def test_a_boat_that_is_not_on_record_and_parts_of_the_day(cast: Cast) -> None:
    made = plan(
        cast, vessel=None, name="Ada Finch, a blue sloop", phone="(555) 555-0171", when="morning", at="", minutes=None
    )
    assert (made.who, made.words) == ("Ada Finch, a blue sloop", "in the morning")
    assert made.history.get().done == "planned"
    same = uuid.uuid4()
    assert plan(cast, entry_id=same).pk == plan(cast, entry_id=same).pk


def test_two_at_once_are_told_of_and_asked_once(cast: Cast, lift: Bay, job: Job) -> None:
    first = plan(cast, bay=lift, technician=cast.tech)
    plan(cast, bay=lift, technician=cast.tech, at="10:00")  # begins as the first ends: nothing is asked
    for said, field in [
        ({"bay": lift, "at": "09:30"}, "bay"),
        ({"technician": cast.tech, "at": "09:30"}, "technician"),
        ({"bay": lift, "when": "morning", "at": "", "minutes": None}, "bay"),
        ({"bay": lift, "when": "day", "at": "", "minutes": None}, "bay"),
    ]:
        with asking(list), pytest.raises(Questions) as caught:
            plan(cast, **said)
        assert "also has" in caught.value.fields[field], said
        assert "Second Wind" in caught.value.fields[field]
    with asking(list):
        plan(cast, bay=lift, technician=cast.tech, when="afternoon", at="", minutes=30)
    settle_appointment(by=cast.desk, appointment=first, state="off", reason="Storm")
    with asking(list):
        plan(cast, bay=lift, at="09:15", minutes=45)  # what was called off takes no room


def test_the_question_is_answered_on_the_page_and_what_was_typed_stays(cast: Cast, lift: Bay) -> None:
    plan(cast, bay=lift)
    day = timezone.localdate() + TOMORROW
    typed = {
        "kind": "haul-out", "day": day.isoformat(), "when": "time", "at": "9:15 AM", "minutes": "1.5", "bay": lift.pk,
        "vessel": cast.vessel.pk, "remark": "Shaft seal", "entry_id": str(uuid.uuid4()),
    }  # fmt: skip
    client = signed_in(cast.desk)
    answer = client.post("/appointments/add/", typed)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Lift also has on that day: Arrival, Second Wind" in text
    assert "Shaft seal" in text
    key = text.partition(f'name="{FIELD}" value="')[2].partition('"')[0]
    assert client.post("/appointments/add/", {**typed, FIELD: key}, follow=True).status_code == 200
    made = Appointment.objects.get(kind="haul-out")
    assert (made.at, made.minutes, made.bay) == ("09:15", 90, lift)
    assert client.post("/appointments/add/", {**typed, FIELD: key}, follow=True).status_code == 200
    assert Appointment.objects.filter(kind="haul-out").count() == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [("0", "No less than 1."), ("-3", "No less than 1."), ("61", "No more than 60."), ("x", "Enter a whole number")],
)
def test_for_how_many_days_is_told_a_limit_that_is_taken(cast: Cast, typed: str, said: str) -> None:
    assert AppointmentForm({"days": typed}).errors["days"][0].startswith(said)
    for taken, days in (("1", 1), ("60", 60), ("", 1)):
        form = AppointmentForm({"days": taken})
        form.is_valid()
        assert form.cleaned_data["days"] == days


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("60", "No more than 24 h."),
        ("24.01", "No more than 24 h."),
        ("100000", "No more than 24 h."),
        ("999999999999", "No more than 24 h."),
        ("0", "No less than 0.08 h, which is 5 minutes."),
        ("0.07", "No less than 0.08 h, which is 5 minutes."),
        ("-1", "No less than 0.08 h, which is 5 minutes."),
        ("1.555", "At most 2 digits after the decimal point."),
        ("24", 1440),
        ("0.08", 5),
        ("1.5", 90),
        ("2,25", 135),
    ],
)
def test_how_long_is_told_its_limits_in_hours(cast: Cast, typed: str, said: str | int) -> None:
    form = AppointmentForm({"minutes": typed})
    if isinstance(said, str):
        assert form.errors["minutes"] == [said]
        sent = {
            "kind": "launch", "day": (timezone.localdate() + TOMORROW).isoformat(), "when": "time", "at": "9:00",
            "minutes": typed, "name": "Ada Finch", "entry_id": str(uuid.uuid4()),
        }  # fmt: skip
        text = signed_in(cast.desk).post("/appointments/add/", sent).content.decode()
        assert said in text
        assert "1440" not in text
    else:
        assert form.fields["minutes"].clean(typed) == said


def test_a_move_keeps_what_stood_there_before_and_nobody_overwrites(cast: Cast, lift: Bay) -> None:
    made = plan(cast)
    change_appointment(by=cast.desk, appointment=made, seen_version=1, changes={"at": "14:00"}, reason="Tide")
    change_appointment(by=cast.tech, appointment=made, seen_version=2, changes={"bay": lift, "remark": "Seal"})
    change_appointment(by=cast.tech, appointment=made, seen_version=3, changes={"remark": "Seal"})
    assert [step.done for step in made.history.order_by("pk")] == ["planned", "moved", "changed"]
    with pytest.raises(Refused, match="no more than 200"), transaction.atomic():
        change_appointment(by=cast.tech, appointment=made, seen_version=3, changes={"remark": "x"}, reason="y" * 201)
    moved = made.history.get(done="moved")
    assert (moved.changes, moved.reason) == ({"at": ["09:00", "14:00"]}, "Tide")
    with pytest.raises(Conflict), transaction.atomic():
        change_appointment(by=cast.desk, appointment=made, seen_version=1, changes={"at": "15:00"})
    text = signed_in(cast.desk).get(f"/appointments/{made.pk}/").content.decode()
    assert "Time: 2:00 PM, before: 9:00 AM" in text
    with pytest.raises(DatabaseError), transaction.atomic():
        AppointmentChange.objects.update(reason="x")


def test_nine_o_clock_stays_nine_o_clock_when_the_shop_moves(cast: Cast) -> None:
    shop_profile()
    ShopProfile.objects.update(time_zone="America/Los_Angeles")
    made = plan(cast)
    assert made.words == "9:00 AM, 1 h"
    assert (made.ends_at - made.starts_at) == timedelta(hours=1)


def test_what_became_of_it(cast: Cast) -> None:
    today = timezone.localdate()
    coming, now, past = (
        plan(cast),
        plan(cast, day=today, when="day", at="", minutes=None),
        plan(cast, day=today - TOMORROW),
    )

    def says(one: Appointment, state: str, reason: str = "") -> str:
        try:
            with transaction.atomic():
                settle_appointment(by=cast.desk, appointment=one, state=state, reason=reason)
        except Refused as refusal:
            return refusal.sentence
        return one.state

    assert "later day" in says(coming, "kept")
    assert "still to come" in says(coming, "missed")
    assert "why" in says(coming, "off")
    assert "Say what" in says(coming, "eaten")
    assert says(coming, "off", "Owner is ill") == "off"
    assert says(coming, "off") == "off"  # said twice, nothing happens
    assert coming.history.filter(done="off").count() == 1
    assert "noted already: called off" in says(coming, "missed")
    assert says(coming, "planned") == "planned"
    assert says(now, "kept") == "kept"
    assert "noted already: happened" in says(now, "missed")
    assert past.is_past
    assert says(past, "missed") == "missed"
    with pytest.raises(Refused, match="not planned any more"), transaction.atomic():
        change_appointment(by=cast.desk, appointment=past, seen_version=past.version, changes={"at": "10:00"})


def test_an_arrival_opens_its_job_with_boat_and_words_and_only_one(cast: Cast) -> None:
    made = plan(cast, remark="Grinding noise at 2000 rpm", technician=cast.tech)
    client = signed_in(cast.desk)
    assert f"/jobs/open/?from=appointment:{made.pk}" in client.get(f"/appointments/{made.pk}/").content.decode()
    page = client.get("/jobs/open/", {"from": f"appointment:{made.pk}"}).content.decode()
    for words in ("Grinding noise at 2000 rpm", "Second Wind", f'value="{cast.tech.pk}" selected'):
        assert words in page
    sent = {
        "choice": f"boat:{cast.vessel.pk}", "from": f"appointment:{made.pk}", "concerns": "1", "location": "slip",
        "concern-0-text": "Grinding noise at 2000 rpm", "step": "open", "entry_id": str(uuid.uuid4()),
    }  # fmt: skip
    for _ in range(2):
        assert client.post("/jobs/open/", sent).status_code == 302
    job = Job.objects.get()
    made.refresh_from_db()
    assert (made.job, made.state) == (job, "kept")
    late = client.post("/jobs/open/", {**sent, "entry_id": str(uuid.uuid4())})
    assert late.status_code == 422
    assert f"Job {job.number} was already opened from this appointment" in late.content.decode()
    assert Job.objects.count() == 1


def test_an_arrival_of_a_boat_not_on_record_carries_name_and_phone(cast: Cast) -> None:
    made = plan(cast, vessel=None, name="Ada Finch", phone="(555) 555-0171", remark="Will not start")
    client = signed_in(cast.desk)
    page = client.get("/jobs/open/", {"from": f"appointment:{made.pk}"}).content.decode()
    for words in ('value="Ada Finch"', "(555) 555-0171", "Will not start"):
        assert words in page
    sent = {
        "choice": "new", "from": f"appointment:{made.pk}", "concerns": "1", "engines": "1", "location": "slip",
        "concern-0-text": "Will not start", "customer-name": "Ada Finch", "boat-name": "Wren", "boat-kind": "inboard",
        "engine-0-position": "single", "engine-0-fuel": "gasoline",
        "step": "open", "entry_id": str(uuid.uuid4()),
    }  # fmt: skip
    answer = client.post("/jobs/open/", sent)
    assert answer.status_code == 302, answer.content.decode()[:3000]
    made.refresh_from_db()
    assert (str(made.vessel), made.job.customer.name, made.state) == ("Wren", "Ada Finch", "kept")  # type: ignore[union-attr]
    for nonsense in ("appointment:x", "appointment:99999", "moon:1", "appointment"):
        assert client.get("/jobs/open/", {"from": nonsense}).status_code == 200


def test_a_job_is_not_taken_by_an_appointment_of_another_boat(cast: Cast, job: Job) -> None:
    other = type(cast.vessel).objects.create(name="Tern", owner=Customer.objects.create(name="Lin Marsh"))
    with pytest.raises(Refused, match="another boat"), transaction.atomic():
        keep_with_job(by=cast.desk, appointment=plan(cast, vessel=other), job=job)


def test_boats_and_jobs_show_a_line_of_what_is_planned(cast: Cast, job: Job, lift: Bay) -> None:
    client = signed_in(cast.desk)
    assert "Nothing is planned for this job." in client.get(f"/jobs/{job.number}/").content.decode()
    made = plan(cast, kind="sea-trial", job=job, vessel=None, bay=lift, technician=cast.tech)
    assert made.vessel == cast.vessel
    for address in (f"/jobs/{job.number}/", f"/vessels/{cast.vessel.pk}/"):
        text = client.get(address).content.decode()
        assert f'href="/appointments/{made.pk}/">Sea trial</a> planned' in text
        assert "9:00 AM, 1 h, Lift, Tomas Reef" in text


def test_the_steps_of_finding_a_boat_keep_what_was_typed(cast: Cast) -> None:
    client = signed_in(cast.tech)
    typed = {"find": "Second", "remark": "Oil leak", "at": "09:00", "minutes": "2", "kind": "launch", "when": "time"}
    found = client.post("/appointments/add/", {**typed, "step": "usual"}).content.decode()
    assert f'value="boat:{cast.vessel.pk}"' in found
    assert "Oil leak" in found
    chosen = client.post("/appointments/add/", {**typed, "step": f"boat:{cast.vessel.pk}"}).content.decode()
    assert f'name="vessel" value="{cast.vessel.pk}"' in chosen
    assert "Oil leak" in chosen
    assert not Appointment.objects.exists()
    assert (
        "No boat found"
        in client.post("/appointments/add/", {**typed, "find": "Zzyzx", "step": "find"}).content.decode()
    )


def test_the_calendar_feed_has_what_is_planned_and_no_name_of_a_customer(cast: Cast, lift: Bay) -> None:
    day = timezone.localdate() + TOMORROW
    timed = plan(cast, bay=lift, technician=cast.tech, remark="Ask Mrs. Harrow")
    days = plan(cast, when="day", at="", minutes=None, days=3, vessel=None, name="Ada Finch", phone="555-0171")
    off = plan(cast, at="12:00")
    settle_appointment(by=cast.desk, appointment=off, state="off", reason="Storm")
    first, second = sorted(events(Asked(day, day)), key=lambda event: not isinstance(event.starts, datetime))
    assert (first.title, first.starts, first.ends) == ("Arrival: Second Wind", timed.starts_at, timed.ends_at)
    assert (first.place, first.words, first.whose, first.reach) == ("Lift", "Tomas Reef.", cast.tech.pk, "")
    assert (second.title, second.starts) == ("Arrival: a boat that is not on record yet", day)
    assert (second.ends, second.words, second.path) == (
        day + timedelta(days=2), "All day, 3 days.", f"/appointments/{days.pk}/",
    )  # fmt: skip
    told = {event.reach for event in events(Asked(day, day, with_reach=True))}
    assert told == {"Wes Harrow, mobile (555) 555-0123", "Ada Finch, 555-0171"}
    assert list(events(Asked(day + timedelta(days=3), day + timedelta(days=9)))) == []
    assert len(list(events(Asked(day + timedelta(days=2), day + timedelta(days=9))))) == 1


def test_bays_are_rows_that_the_shop_edits(cast: Cast, lift: Bay) -> None:
    with pytest.raises(Refused, match="already"), transaction.atomic():
        add_bay(by=cast.owner, name=" lift ")
    with pytest.raises(Refused), transaction.atomic():
        add_bay(by=cast.owner, name=" ")
    with pytest.raises(Refused), transaction.atomic():
        add_bay(by=cast.tech, name="Bay 2")
    change_bay(by=cast.manager, bay=lift, seen_version=1, changes={"name": "Travel lift"})
    end_bay(by=cast.owner, bay=lift)
    end_bay(by=cast.owner, bay=lift)
    assert add_bay(by=cast.owner, name="Travel lift").pk != lift.pk
    client = signed_in(cast.owner)
    assert "No longer used: Travel lift" in client.get("/appointments/bays/").content.decode()
    with asked() as counted:
        client.get("/appointments/add/")
    assert counted.queries <= 12
